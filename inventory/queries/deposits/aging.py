"""The aging of deposits: crates here by days left, expected credits by days late."""

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from inventory.models import Deposit, Location
from inventory.queries.core.joined import joined
from inventory.queries.deposits.bare import BareFacts
from inventory.queries.deposits.facts import terms_of
from inventory.queries.deposits.open_book import OpenBook, OpenDeposit
from inventory.rules.deposits import aging as ageing
from inventory.rules.deposits.clock import memo_day
from inventory.rules.deposits.credit import DepositError, Terms, days_left_to_full
from inventory.rules.reckoning.money import home_first


@dataclass(frozen=True, slots=True)
class Ageing:
    """The aging in one currency. Disputed credits are separate, without a date."""

    currency: str
    here: tuple[ageing.Bucket, ...]
    expected: tuple[ageing.Bucket, ...]
    disputed_count: int
    disputed_cents: int


def ageing_of(
    locations: Iterable[Location],
    todays: Mapping[int, dt.date],
    as_of: dt.date | None = None,
) -> list[Ageing]:
    """Return the aging of what is open, one for each currency, those at home first.

    ``todays`` gives each location's own date by its key; ``as_of`` is a day whose
    balances are aged instead, counted to that day. What is receivable is aged by
    the days left to full credit; what is expected from the day the memo was due.
    """
    places = list(locations)
    book = OpenBook(places, as_of)
    days = todays if as_of is None else dict.fromkeys(todays, as_of)
    return ageing_in(book, days, {one.currency for one in places})


def ageing_in(
    book: OpenBook, todays: Mapping[int, dt.date], homes: Collection[str]
) -> list[Ageing]:
    """Return the aging of an open book, one for each currency, those at home first."""
    by_currency: dict[str, list[OpenDeposit]] = defaultdict(list)
    for row in book.rows:
        by_currency[row.bare.currency].append(row)
    return [
        _aged(book.facts, one, by_currency[one], todays)
        for one in home_first(by_currency, homes)
    ]


def memo_due_on(deposit: Deposit) -> dt.date | None:
    """Return the day the supplier's memo is due, by the return that took the crate.

    Read ``with_facts`` rows; None where no return took it or none was promised. A crate
    that went home before these books began is counted from that day by its terms.
    """
    lines = joined(deposit, "live_lines")
    days = (line.crate_return.memo_due_on for line in lines)
    return _due(deposit.shipped_back_on, terms_of(deposit), days)


def _due(
    shipped_back_on: dt.date | None,
    terms: Terms | None,
    days: Iterable[dt.date | None],
) -> dt.date | None:
    if shipped_back_on is not None:
        return memo_day(terms, shipped_back_on) if terms else None
    return next((day for day in days if day is not None), None)


def _left(facts: BareFacts, row: OpenDeposit, today: dt.date) -> int | None:
    """Return the days to the last pick-up for full credit; None: no day counted."""
    terms = facts.terms_of(row.bare)
    if terms is None:
        return None
    try:
        return days_left_to_full(terms, facts.facts_of(row.bare, today), today)
    except DepositError:
        return None


def _aged(
    facts: BareFacts,
    currency: str,
    rows: Iterable[OpenDeposit],
    todays: Mapping[int, dt.date],
) -> Ageing:
    here, late, disputed = [], [], []
    for row in rows:
        today = todays[row.location]
        if row.receivable:
            left = ageing.left_bucket(_left(facts, row, today))
            here.append((left, row.receivable))
        if row.expected:
            terms, days = facts.terms_of(row.bare), facts.memo_days_of(row.bare)
            due = _due(row.shipped_back_on, terms, days)
            late.append((ageing.overdue_bucket(due, today), row.expected))
        if row.disputed:
            disputed.append(row.disputed)
    return Ageing(
        currency=currency,
        here=ageing.in_buckets(ageing.LEFT, here),
        expected=ageing.in_buckets(ageing.OVERDUE, late),
        disputed_count=len(disputed),
        disputed_cents=sum(disputed),
    )
