"""The aging of deposits: crates here by days left, expected credits by days late."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from inventory.models import Deposit, Location
from inventory.queries.core.joined import joined
from inventory.queries.deposits.facts import facts_of, terms_of, with_facts
from inventory.queries.ledger.balances import open_deposits, sums_on
from inventory.rules.deposits import aging as ageing
from inventory.rules.deposits.clock import memo_day
from inventory.rules.deposits.credit import DepositError, days_left_to_full
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
    by_currency: dict[str, list[tuple[Deposit, dt.date]]] = defaultdict(list)
    for row in with_facts(open_deposits(locations, as_of)):
        by_currency[row.currency].append((row, as_of or todays[row.location_id]))
    homes = {one.currency for one in locations}
    return [_aged(one, by_currency[one]) for one in home_first(by_currency, homes)]


def memo_due_on(deposit: Deposit) -> dt.date | None:
    """Return the day the supplier's memo is due, by the return that took the crate.

    Read ``with_facts`` rows; None where no return took it or none was promised. A crate
    that went home before these books began is counted from that day by its terms.
    """
    if deposit.shipped_back_on is not None:
        terms = terms_of(deposit)
        return memo_day(terms, deposit.shipped_back_on) if terms else None
    lines = joined(deposit, "live_lines")
    days = (line.crate_return.memo_due_on for line in lines)
    return next((day for day in days if day is not None), None)


def days_left(deposit: Deposit, today: dt.date) -> int | None:
    """Return the days to the last pick-up for full credit; None: no day counted."""
    terms = terms_of(deposit)
    if terms is None:
        return None
    try:
        return days_left_to_full(terms, facts_of(deposit, today), today)
    except DepositError:
        return None


def _aged(currency: str, rows: list[tuple[Deposit, dt.date]]) -> Ageing:
    summed = [(row, today, sums_on(row)) for row, today in rows]
    here = [
        (ageing.left_bucket(days_left(row, today)), sums.receivable)
        for row, today, sums in summed
        if sums.receivable
    ]
    late = [
        (ageing.overdue_bucket(memo_due_on(row), today), sums.expected)
        for row, today, sums in summed
        if sums.expected
    ]
    disputed = [sums.disputed for _, _, sums in summed if sums.disputed]
    return Ageing(
        currency=currency,
        here=ageing.in_buckets(ageing.LEFT, here),
        expected=ageing.in_buckets(ageing.OVERDUE, late),
        disputed_count=len(disputed),
        disputed_cents=sum(disputed),
    )
