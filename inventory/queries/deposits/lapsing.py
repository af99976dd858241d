"""Deposits whose crates are still here, by the day their credit begins to fall."""

import datetime as dt
import heapq
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from inventory.models import Crate, Deposit, Location
from inventory.queries.deposits.crate_days import CreditDays, bare_day, one_day
from inventory.queries.deposits.facts import with_facts
from inventory.queries.deposits.open_book import OpenBook, OpenDeposit
from inventory.queries.ledger.balances import open_deposits, standing_in
from inventory.rules.deposits.postings import RECEIVABLE

WITHOUT_CRATE = "Charged, but not matched to a crate, so no day is counted."


@dataclass(frozen=True)
class Lapsing:
    """One deposit still receivable: its days, and whether its crate is on hold."""

    deposit: Deposit
    days: CreditDays
    is_held: bool


def lapsing_deposits(
    locations: Iterable[Location], todays: Mapping[int, dt.date]
) -> list[Lapsing]:
    """Return the deposits still receivable, the first one due at the top.

    ``todays`` gives each location's own date by its key.
    """
    rows = with_facts(open_deposits(locations).filter(standing_in(RECEIVABLE)))
    found = [_lapsing(row, todays[row.location_id]) for row in rows]
    return sorted(found, key=_falls_first)


@dataclass(frozen=True)
class DueFirst:
    """What is still receivable: its first rows, and counts and sums of all of it.

    ``at_stake`` is what is due within 14 days, in cents by currency.
    """

    rows: list[Lapsing]
    count: int
    late_count: int
    at_stake: dict[str, int]


def due_first(book: OpenBook, todays: Mapping[int, dt.date], most: int) -> DueFirst:
    """Return the first of ``lapsing_deposits`` of an open book, and the sums of all."""
    rows = book.receivable()
    days = {row.bare.key: _bare_days(book, row, todays[row.location]) for row in rows}
    order = {
        row.bare.key: _order(days[row.bare.key], row.bare.invoiced_on, row.bare.key)
        for row in rows
    }
    at_stake: dict[str, int] = {}
    for row in rows:
        found, currency = days[row.bare.key], row.bare.currency
        if found.state == "running":
            sums = at_stake.get(currency, 0)
            at_stake[currency] = sums + (found.credit_cents or 0)
    first = heapq.nsmallest(most, order, key=order.__getitem__)
    joined = with_facts(Deposit.objects.filter(pk__in=first))
    shown = [_lapsing(row, todays[row.location_id]) for row in joined]
    return DueFirst(
        rows=sorted(shown, key=_falls_first),
        count=len(rows),
        late_count=sum(one.state == "late" for one in days.values()),
        at_stake=at_stake,
    )


def _bare_days(book: OpenBook, row: OpenDeposit, today: dt.date) -> CreditDays:
    if row.bare.crate is None:
        return CreditDays(None, problem=WITHOUT_CRATE)
    return bare_day(row.bare, book.facts, today)


def must_stay(crate: Crate) -> bool:
    """Return whether a packaging hold is in force on a crate read ``with_facts``."""
    return any(hold.released_at is None for hold in crate.packaging_holds.all())


def _lapsing(row: Deposit, today: dt.date) -> Lapsing:
    if row.crate is None:
        return Lapsing(row, CreditDays(row, problem=WITHOUT_CRATE), is_held=False)
    return Lapsing(row, one_day(row.crate, row, today), must_stay(row.crate))


def _falls_first(row: Lapsing) -> tuple[bool, dt.date, dt.date, int]:
    return _order(row.days, row.deposit.invoiced_on, row.deposit.pk)


def _order(
    days: CreditDays, invoiced_on: dt.date, key: int
) -> tuple[bool, dt.date, dt.date, int]:
    last = days.last_full_on
    return last is None, last or dt.date.max, invoiced_on, key
