"""How a deposit is split when its crate ships back: four sums that add up to it."""

from dataclasses import dataclass

from inventory.rules.deposits.credit import Credit
from inventory.rules.deposits.postings import Line, credit_expected

NO_TERMS = (
    "No crate terms are on file for this charge, so the whole deposit is expected back."
)


@dataclass(frozen=True)
class Expected:
    """Expected back, lost by lateness, lost by parts, and lost to a hold.

    Each in whole cents of ``currency``.

    ``late`` is without the part that a packaging hold caused, which is ``hold``.
    """

    expected: int
    late: int
    parts: int
    hold: int
    currency: str
    steps: tuple[str, ...]

    @property
    def whole(self) -> int:
        """Return the sum of the four: what leaves the deposits receivable."""
        return self.expected + self.late + self.parts + self.hold

    def lines(self, deposit: int) -> tuple[Line, ...]:
        """Return the lines that post it."""
        return credit_expected(
            deposit,
            expected=self.expected,
            late=self.late,
            parts=self.parts,
            hold=self.hold,
        )


def expected_of(credit: Credit) -> Expected:
    """Return the four sums of a credit. They add up to its deposit, to the cent.

    A hold's part of the loss excludes what deductions would have taken
    anyway, so it is never more than the late loss.
    """
    hold = min(credit.hold_loss.cents, credit.late_loss.cents)
    return Expected(
        expected=credit.credited.cents,
        late=credit.late_loss.cents - hold,
        parts=credit.deductions.cents,
        hold=hold,
        currency=credit.credited.currency,
        steps=credit.steps,
    )


def whole_deposit(cents: int, currency: str, why: str = NO_TERMS) -> Expected:
    """Return what is expected where no credit can be calculated: the whole deposit."""
    return Expected(cents, 0, 0, 0, currency, (why,))
