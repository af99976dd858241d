"""What each fact of a crate's deposit does to the accounts: lines that sum to zero.

Whole cents; debits above zero, credits below. A line that concerns one crate's
deposit names it, so that the balance of every deposit is known.
"""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import accumulate, groupby

RECEIVABLE = "deposits-receivable"
EXPECTED = "credits-expected"
DISPUTED = "disputed-credits"
SUPPLIER = "supplier-account"
CHARGES = "crate-charges"
FORFEITED = "forfeited-deposits"
WRITTEN_OFF = "deposits-written-off"
FREIGHT = "return-freight"
CARRIER = "carrier-losses"
OPENING = "opening-balances"
SUSPENSE = "supplier-suspense"
KEPT = "credits-kept"

NEVER_NEGATIVE = (RECEIVABLE, EXPECTED, DISPUTED)
"""Kinds of account in which no single deposit may be below zero, on any day."""

LARGEST = 10**15
"""The largest amount of one line, in cents."""

_ACCEPTED_INTO = {
    "missing-part": CHARGES,
    "price": CHARGES,
    "late": FORFEITED,
    "not-on-memo": FORFEITED,
    "hold": FORFEITED,
}


class PostingError(ValueError):
    """The lines are not a valid entry; the message is one sentence."""


@dataclass(frozen=True, slots=True)
class Line:
    """Cents posted to one kind of account, for one deposit where it is known."""

    account: str
    cents: int
    deposit: int | None = None

    def reversed(self) -> "Line":
        """Return the line that reverses this one."""
        return Line(self.account, -self.cents, self.deposit)


Lines = tuple[Line, ...]


def check_lines(lines: Sequence[Line]) -> None:
    """Raise PostingError unless there are two lines or more that sum to zero."""
    if len(lines) < 2:
        raise PostingError("An entry needs at least two lines.")
    if any(type(line.cents) is not int or not line.cents for line in lines):
        raise PostingError("Every line must be a whole amount other than zero.")
    if any(abs(line.cents) > LARGEST for line in lines):
        raise PostingError("That amount is too large. Check the number of digits.")
    if sum(line.cents for line in lines):
        raise PostingError("The lines do not sum to zero.")


def amount_of(lines: Iterable[Line]) -> int:
    """Return what an entry moves: the sum of its debits, in cents."""
    return sum(line.cents for line in lines if line.cents > 0)


def _entry(deposit: int | None, *sides: tuple[str, int]) -> Lines:
    lines = tuple(Line(account, cents, deposit) for account, cents in sides if cents)
    check_lines(lines)
    return lines


def _not_negative(*amounts: int) -> None:
    if any(cents < 0 for cents in amounts):
        raise PostingError("An amount cannot be less than zero.")


def charged(deposit: int, cents: int) -> Lines:
    """Return the lines of a deposit charged on the supplier's invoice."""
    _not_negative(cents)
    return _entry(deposit, (RECEIVABLE, cents), (SUPPLIER, -cents))


def opened(deposit: int, cents: int) -> Lines:
    """Return the lines of a deposit brought in from the books kept before."""
    _not_negative(cents)
    return _entry(deposit, (RECEIVABLE, cents), (OPENING, -cents))


def opened_as_expected(deposit: int, cents: int) -> Lines:
    """Return the lines of a credit that the books kept before expect already."""
    _not_negative(cents)
    return _entry(deposit, (EXPECTED, cents), (OPENING, -cents))


def credit_expected(
    deposit: int, *, expected: int, late: int = 0, parts: int = 0, hold: int = 0
) -> Lines:
    """Return the lines of a crate that ships back; the four amounts are its deposit.

    ``late`` is the late loss without the part that a packaging hold caused, which
    is ``hold``: that part can be disputed, so it stays an asset.
    """
    _not_negative(expected, late, parts, hold)
    return _entry(
        deposit,
        (EXPECTED, expected),
        (FORFEITED, late),
        (CHARGES, parts),
        (DISPUTED, hold),
        (RECEIVABLE, -(expected + late + parts + hold)),
    )


def memo_paid(
    deposit: int, *, paid: int, expected: int, surplus_to: str = CHARGES
) -> Lines:
    """Return the lines of a memo line that pays ``paid`` where ``expected`` is open.

    A surplus reduces the cost it was withheld for; an underpayment stays in
    credits expected.
    """
    _not_negative(paid, expected)
    if surplus_to not in {CHARGES, FORFEITED}:
        raise PostingError("A surplus reduces crate charges or forfeited deposits.")
    met = min(paid, expected)
    return _entry(deposit, (SUPPLIER, paid), (EXPECTED, -met), (surplus_to, met - paid))


def short_accepted(deposit: int, cents: int, cause: str) -> Lines:
    """Return the lines of a short-paid credit accepted as a loss, by its cause."""
    _not_negative(cents)
    if cause not in _ACCEPTED_INTO:
        raise PostingError("A crate lost in return transit is owed by the carrier.")
    return _entry(deposit, (_ACCEPTED_INTO[cause], cents), (EXPECTED, -cents))


def short_disputed(deposit: int, cents: int) -> Lines:
    """Return the lines of a short-paid credit that we dispute."""
    _not_negative(cents)
    return _entry(deposit, (DISPUTED, cents), (EXPECTED, -cents))


def dispute_won(deposit: int, cents: int) -> Lines:
    """Return the lines of a disputed credit that the supplier pays."""
    _not_negative(cents)
    return _entry(deposit, (SUPPLIER, cents), (DISPUTED, -cents))


def written_off(deposit: int, cents: int, *, out_of: str = DISPUTED) -> Lines:
    """Return the lines of a written-off credit, out of the account that holds it.

    Entries from before there was an account of their own stand on forfeited deposits.
    """
    _not_negative(cents)
    if out_of not in {DISPUTED, EXPECTED}:
        raise PostingError("Only an expected or disputed credit can be written off.")
    return _entry(deposit, (WRITTEN_OFF, cents), (out_of, -cents))


def lost_by_carrier(deposit: int, *, expected: int, disputed: int = 0) -> Lines:
    """Return the lines of a crate lost by a carrier: all that was open on it."""
    _not_negative(expected, disputed)
    return _entry(
        deposit,
        (CARRIER, expected + disputed),
        (EXPECTED, -expected),
        (DISPUTED, -disputed),
    )


def forfeited(deposit: int, cents: int) -> Lines:
    """Return the lines of a forfeited deposit: not returned in time, or scrapped."""
    _not_negative(cents)
    return _entry(deposit, (FORFEITED, cents), (RECEIVABLE, -cents))


def held(cents: int) -> Lines:
    """Return the lines of a memo's credit that is not ours: held until it is decided."""
    _not_negative(cents)
    return _entry(None, (SUPPLIER, cents), (SUSPENSE, -cents))


def held_returned(cents: int) -> Lines:
    """Return the lines of a held credit that goes back to the supplier."""
    _not_negative(cents)
    return _entry(None, (SUSPENSE, cents), (SUPPLIER, -cents))


def held_taken(cents: int) -> Lines:
    """Return the lines of a held credit taken as income, once it is proved to be ours."""
    _not_negative(cents)
    return _entry(None, (SUSPENSE, cents), (KEPT, -cents))


def held_matched(cents: int, paying: Lines) -> Lines:
    """Return the lines of a held credit that pays for a crate after all.

    ``paying`` are the lines of its payment. The supplier account stays as it is: the
    credit leaves it without a deposit and comes back to it on the deposit.
    """
    lines = (*held_returned(cents), *paying)
    check_lines(lines)
    return lines


def freight_billed(cents: int) -> Lines:
    """Return the lines of return freight that the supplier bills us."""
    _not_negative(cents)
    return _entry(None, (FREIGHT, cents), (SUPPLIER, -cents))


def undone(lines: Iterable[Line]) -> Lines:
    """Return the lines of a reversal."""
    return tuple(line.reversed() for line in lines)


def lowest_from(dated: Iterable[tuple[dt.date, int]], first: dt.date) -> int:
    """Return the lowest balance at the end of any day from ``first`` on, in cents.

    ``dated`` are the day and the cents of every line, in any order.
    """
    days = groupby(sorted([*dated, (first, 0)]), key=lambda pair: pair[0])
    totals = [(day, sum(cents for _, cents in lines)) for day, lines in days]
    before = sum(cents for day, cents in totals if day < first)
    return before + min(accumulate(cents for day, cents in totals if day >= first))


def needs_second_person(
    cents: int, *, currency: str, limit: int, limit_currency: str
) -> bool:
    """Return whether a write-off needs a second person's approval.

    A limit says nothing about another currency, so there it always does.
    """
    return currency != limit_currency or cents > limit
