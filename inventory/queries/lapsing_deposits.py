"""Deposits whose crates still stand here, by the day their credit begins to fall."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Q

from inventory.models import Deposit, Location
from inventory.queries.balances import open_deposits
from inventory.queries.deposit_facts import facts_of, terms_of, with_facts
from inventory.rules.deposits import Credit, DepositError, credit_on, loss_per_day

SOON_DAYS = 14
"""A crate that lapses within two weeks needs a truck now."""


@dataclass(frozen=True)
class Lapsing:
    """One deposit with its crate here: what leaving today brings, and when it falls.

    Amounts are cents. ``days_left`` counts to the last pick-up for the full credit,
    below zero once it has passed; None where it cannot be told, and ``problem`` says
    why. ``loss_cents`` is what one more day costs.
    """

    deposit: Deposit
    full_day: dt.date | None = None
    last_day: dt.date | None = None
    days_left: int | None = None
    credit_cents: int = 0
    loss_cents: int = 0
    is_held: bool = False
    problem: str = ""

    @property
    def state(self) -> str:
        """Return late, running, calm, or plain where no day can be told."""
        if self.days_left is None:
            return "plain"
        if self.days_left < 0:
            return "late"
        return "running" if self.days_left <= SOON_DAYS else "calm"


def lapsing_deposits(locations: Iterable[Location], today: dt.date) -> list[Lapsing]:
    """Return the deposits still receivable, the one that falls first at the top."""
    rows = with_facts(open_deposits(locations).filter(Q(receivable__gt=0)))
    found = [_lapsing(row, today) for row in rows]
    return sorted(
        found,
        key=lambda one: (
            one.full_day or dt.date.max,
            one.deposit.invoiced_on,
            one.deposit.pk,
        ),
    )


def at_stake_cents(rows: Iterable[Lapsing], currency: str) -> int:
    """Return the credit of one currency that falls within two weeks, in cents."""
    return sum(
        row.credit_cents
        for row in rows
        if row.state == "running" and row.deposit.currency == currency
    )


def _lapsing(row: Deposit, today: dt.date) -> Lapsing:
    held = row.crate is not None and any(
        hold.released_at is None for hold in row.crate.packaging_holds.all()
    )
    try:
        credit = _credit(row, today)
    except DepositError as error:
        return Lapsing(row, is_held=held, problem=str(error))
    full = credit.last_full_day
    return Lapsing(
        deposit=row,
        full_day=full,
        last_day=credit.last_day,
        days_left=None if full is None else (full - today).days,
        credit_cents=credit.credited.cents,
        loss_cents=loss_per_day(credit.terms, credit.facts, today).cents,
        is_held=held,
        problem="" if full else "Held, and the supplier has stopped the clock.",
    )


def _credit(row: Deposit, today: dt.date) -> Credit:
    terms = terms_of(row)
    if terms is None:
        raise DepositError(
            "No terms are kept for this supplier at the invoice's date. Add them."
        )
    return credit_on(terms, facts_of(row, today))
