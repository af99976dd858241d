"""How one payment on a deposit is applied: expected first, then disputed, then extra."""

from dataclasses import dataclass

from inventory.rules.deposits.postings import (
    CHARGES,
    DISPUTED,
    EXPECTED,
    SUPPLIER,
    SUSPENSE,
    Line,
    check_lines,
)


@dataclass(frozen=True)
class Payment:
    """Cents of one payment, by what they pay.

    ``surplus`` is more than was open, within what was charged; ``beyond`` is more
    than was ever charged, so it belongs to no deposit and is held in suspense.
    ``rest`` remains expected.
    """

    amount: int
    to_expected: int
    to_disputed: int
    surplus: int
    beyond: int
    rest: int

    def lines(self, deposit: int, *, surplus_to: str = CHARGES) -> tuple[Line, ...]:
        """Return the lines that post it. Raise PostingError for no amount."""
        own = self.amount - self.beyond
        sides = [
            Line(SUPPLIER, own, deposit),
            Line(EXPECTED, -self.to_expected, deposit),
            Line(DISPUTED, -self.to_disputed, deposit),
            Line(surplus_to, -self.surplus, deposit),
            Line(SUPPLIER, self.beyond),
            Line(SUSPENSE, -self.beyond),
        ]
        lines = tuple(line for line in sides if line.cents)
        check_lines(lines)
        return lines


def payment_of(amount: int, *, expected: int, disputed: int, room: int) -> Payment:
    """Return how ``amount`` is applied to what is open; all in cents, none negative.

    ``room`` is what was charged and not paid back yet.
    """
    to_expected = min(amount, expected)
    to_disputed = min(amount - to_expected, disputed)
    more = amount - to_expected - to_disputed
    surplus = max(0, min(more, room - to_expected - to_disputed))
    return Payment(
        amount=amount,
        to_expected=to_expected,
        to_disputed=to_disputed,
        surplus=surplus,
        beyond=more - surplus,
        rest=expected - to_expected,
    )
