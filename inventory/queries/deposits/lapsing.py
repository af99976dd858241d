"""Deposits whose crates are still here, by the day their credit begins to fall."""

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from inventory.models import Crate, Deposit, Location
from inventory.queries.deposits.crate_days import CreditDays, one_day
from inventory.queries.deposits.facts import with_facts
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


def at_stake_cents(rows: Iterable[Lapsing]) -> dict[str, int]:
    """Return what is due within 14 days, in cents by currency."""
    sums: dict[str, int] = {}
    for row in rows:
        if row.days.state == "running":
            currency = row.deposit.currency
            sums[currency] = sums.get(currency, 0) + (row.days.credit_cents or 0)
    return sums


def must_stay(crate: Crate) -> bool:
    """Return whether a packaging hold is in force on a crate read ``with_facts``."""
    return any(hold.released_at is None for hold in crate.packaging_holds.all())


def _lapsing(row: Deposit, today: dt.date) -> Lapsing:
    if row.crate is None:
        return Lapsing(row, CreditDays(row, problem=WITHOUT_CRATE), is_held=False)
    return Lapsing(row, one_day(row.crate, row, today), must_stay(row.crate))


def _falls_first(row: Lapsing) -> tuple[bool, dt.date, dt.date, int]:
    last = row.days.last_full_on
    return last is None, last or dt.date.max, row.deposit.invoiced_on, row.deposit.pk
