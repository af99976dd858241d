"""By when each crate must leave for its credit, and what waiting costs."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from inventory.models import Crate, Deposit
from inventory.queries.deposits.bare import BareDeposit, BareFacts
from inventory.queries.deposits.facts import facts_of, terms_of, with_facts
from inventory.rules.crates.words import ON_HAND
from inventory.rules.deposits.credit import (
    DepositError,
    Facts,
    Terms,
    credit_on,
    last_full_day,
    loss_per_day,
)

NOT_CHARGED = "No deposit is charged on it yet, so no day is counted."
NO_TERMS = "The deposit has no terms, so no day can be counted. Add the terms first."
LEFT = "Nothing is left to lose on it."
ONE_WAY = "A one-way crate has no deposit, so no day is counted."


@dataclass(frozen=True)
class CreditDays:
    """The days and amounts of one crate on one day, in whole cents.

    ``last_full_on`` is the last pick-up for full credit and ``days_left`` the days to
    it, below zero when it is past (both None while the supplier's clock is stopped).
    ``credit_cents`` is the credit for leaving that day. ``loss_cents`` is the cost of
    one day more: after the last day for full credit, or after today where it is past.
    ``problem`` is why nothing is counted.
    """

    deposit: Deposit | None
    problem: str = ""
    last_full_on: date | None = None
    days_left: int | None = None
    credit_cents: int | None = None
    loss_cents: int | None = None
    held_cents: int = 0
    steps: tuple[str, ...] = ()

    @property
    def currency(self) -> str:
        """Return the currency of the deposit, nothing where there is none."""
        return self.deposit.currency if self.deposit else ""

    @property
    def state(self) -> str:
        """Return the clock's state: late, running within two weeks, else calm."""
        if self.days_left is None:
            return ""
        if self.days_left < 0:
            return "late"
        return "running" if self.days_left <= TWO_WEEKS else "calm"


TWO_WEEKS = 14
"""How many days before the last one a page warns."""


def deposits_of(crates: Iterable[Crate]) -> dict[int, Deposit]:
    """Return the deposit on each crate that is here, joined to all its facts."""
    keys = [crate.pk for crate in crates if crate.state in ON_HAND]
    rows = with_facts(Deposit.objects.filter(crate__in=keys, is_withdrawn=False))
    return {row.crate_id: row for row in rows if row.crate_id is not None}


def days_of(
    crates: Iterable[Crate], todays: Mapping[int, date]
) -> dict[int, CreditDays]:
    """Return the days of each crate by its key; ``todays`` by location.

    The crates come with their shipment. The number of queries is the same for any
    number of crates.
    """
    rows = list(crates)
    deposits = deposits_of(rows)
    return {
        crate.pk: one_day(
            crate, deposits.get(crate.pk), todays[crate.shipment.location_id]
        )
        for crate in rows
    }


def one_day(crate: Crate, deposit: Deposit | None, today: date) -> CreditDays:
    """Return the days of one crate whose deposit is given with its facts joined."""
    problem = uncounted(crate.kind, crate.state, is_charged=deposit is not None)
    if problem or deposit is None:
        return CreditDays(deposit, problem=problem)
    terms = terms_of(deposit)
    if terms is None:
        return CreditDays(deposit, problem=NO_TERMS)
    return counted(terms, facts_of(deposit, today), today, deposit)


def uncounted(kind: str, state: str, *, is_charged: bool) -> str:
    """Return why no day is counted of a crate, or nothing."""
    if kind == "one-way":
        return ONE_WAY
    if state not in ON_HAND:
        return LEFT
    return "" if is_charged else NOT_CHARGED


def counted(
    terms: Terms, facts: Facts, today: date, deposit: Deposit | None = None
) -> CreditDays:
    """Return the days that these terms and facts give."""
    try:
        credit = credit_on(terms, facts)
        last = last_full_day(terms, facts)
        costly = today if last is None else max(today, last)
        loss = loss_per_day(terms, facts, costly)
    except DepositError as error:
        return CreditDays(deposit, problem=str(error))
    return CreditDays(
        deposit=deposit,
        last_full_on=last,
        days_left=None if last is None else (last - today).days,
        credit_cents=credit.credited.cents,
        loss_cents=loss.cents,
        held_cents=credit.hold_loss.cents,
        steps=credit.steps,
    )


def bare_day(row: BareDeposit, book: BareFacts, today: date) -> CreditDays:
    """Return the same days as ``one_day`` of a deposit on a crate, without its row."""
    problem = uncounted(row.kind, row.state, is_charged=True)
    if problem:
        return CreditDays(None, problem=problem)
    terms = book.terms_of(row)
    if terms is None:
        return CreditDays(None, problem=NO_TERMS)
    facts = book.facts_of(row, today)
    return book.once((row.terms, facts, today), lambda: counted(terms, facts, today))
