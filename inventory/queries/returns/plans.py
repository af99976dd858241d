"""The input of the return planner for one supplier at one location."""

import datetime as dt
from collections.abc import Container, Iterable
from dataclasses import dataclass, replace

from django.db.models import QuerySet

from inventory.models import Deposit, Location, ReturnCosts, Supplier
from inventory.queries.deposits.facts import (
    currency_of,
    facts_of,
    terms_for,
    terms_of,
    with_facts,
)
from inventory.queries.deposits.lapsing import must_stay
from inventory.queries.ledger.balances import open_deposits, standing_in
from inventory.rules.crates.words import ON_HAND, READY
from inventory.rules.deposits.credit import DepositError
from inventory.rules.deposits.postings import RECEIVABLE
from inventory.rules.plans.plan import Costs, Horizon, PlanCrate, PlanError, plan_crate
from inventory.rules.reckoning.calendars import calendar_named, is_business_day
from inventory.rules.reckoning.money import Money
from inventory.rules.reckoning.rates import Rate

STAGED = "staged"


@dataclass(frozen=True)
class Asked:
    """One question to the planner: whose crates, from when, how far ahead.

    ``ready_days`` is how long a crate that is still full or unchecked needs before it
    can leave.
    """

    location: Location
    supplier: Supplier
    today: dt.date
    weeks: int
    ready_days: int

    @property
    def last(self) -> dt.date:
        """Return the last day planned."""
        return self.today + dt.timedelta(weeks=self.weeks)


@dataclass(frozen=True)
class Gathered:
    """The crates for the planner, and those it cannot plan: each with the reason."""

    crates: tuple[PlanCrate, ...]
    deposits: dict[str, Deposit]
    left_out: tuple[tuple[Deposit, str], ...]
    currency: str


def plannable_pairs(locations: Iterable[Location]) -> list[tuple[Location, Supplier]]:
    """Return each location with each supplier whose crates on deposit are there."""
    rows = _here(open_deposits(locations))
    pairs = {(row.location_id, row.supplier_id): row for row in rows}
    found = [(row.location, row.supplier) for row in pairs.values()]
    return sorted(found, key=lambda pair: (pair[1].name, pair[0].name))


def gathered(asked: Asked) -> Gathered:
    """Return the supplier's crates here with their credit by day.

    A plan adds amounts, so it is of one currency: that of the supplier's terms.
    """
    currency = currency_of(asked.location, asked.supplier, asked.today)
    rows = _here(open_deposits([asked.location])).filter(supplier=asked.supplier)
    crates: list[PlanCrate] = []
    deposits: dict[str, Deposit] = {}
    left_out: list[tuple[Deposit, str]] = []
    for row in with_facts(rows):
        if row.currency != currency:
            why = f"Its deposit is in {row.currency}; this plan is in {currency}."
            left_out.append((row, why))
            continue
        key = _key(row, deposits)
        try:
            crates.append(_plan_crate(key, row, asked))
        except DepositError as error:
            left_out.append((row, str(error)))
        else:
            deposits[key] = row
    return Gathered(tuple(crates), deposits, tuple(left_out), currency)


def costs_row(asked: Asked) -> ReturnCosts | None:
    """Return the stored costs of a truck, or None."""
    return ReturnCosts.objects.filter(
        location=asked.location, supplier=asked.supplier
    ).first()


def costs_of(
    asked: Asked, row: ReturnCosts | None, currency: str, rate: Rate | None
) -> Costs:
    """Return the costs; where the supplier pays the freight, only the yard.

    Those of another currency are turned into the plan's at the rate; raise PlanError
    where nobody entered one.
    """
    if row is not None and row.currency == currency:
        rate = None
    elif row is not None and (rate is None or rate.home != row.currency):
        raise PlanError(
            f"The cost of a truck is in {row.currency} and the deposits are in {currency}, "
            "and nobody entered an exchange rate. Accounting enters one under Deposits, "
            "Exchange rates."
        )
    terms = terms_for(asked.supplier, asked.today)
    theirs = terms is not None and terms.return_freight == "supplier"
    freight = 0 if row is None or theirs else row.per_crate_cents
    pickup = 0 if row is None or theirs else row.pickup_cents
    yard = 0 if row is None else row.yard_cents_per_day
    pickup, freight, yard = (
        rate.abroad(cents) if rate else cents for cents in (pickup, freight, yard)
    )
    return Costs(
        per_pickup=Money(pickup, currency),
        freight_per_crate=Money(freight, currency),
        yard_per_day=Money(yard, currency),
        capacity=row.trailer_crates if row else None,
        minimum=terms.minimum_per_pickup if terms else 0,
    )


def horizon_of(asked: Asked) -> Horizon:
    """Return the days planned; no truck goes on weekends and holidays."""
    calendar = calendar_named(asked.location.calendar)
    count = (asked.last - asked.today).days + 1
    days = (asked.today + dt.timedelta(days=number) for number in range(count))
    closed = frozenset(day for day in days if not is_business_day(day, calendar))
    return Horizon(first=asked.today, last=asked.last, closed=closed)


def _here(rows: QuerySet[Deposit]) -> QuerySet[Deposit]:
    return rows.filter(standing_in(RECEIVABLE), crate__state__in=ON_HAND)


def _plan_crate(key: str, row: Deposit, asked: Asked) -> PlanCrate:
    terms = terms_of(row)
    if terms is None:
        raise DepositError("The deposit has no terms. Add the supplier's terms first.")
    if row.crate is None:
        raise DepositError("No crate is matched to it.")
    is_ready = row.crate.state in (*READY, STAGED)
    wait = 0 if is_ready else asked.ready_days
    available = asked.today + dt.timedelta(days=wait)
    made = plan_crate(
        key,
        terms,
        facts_of(row, available),
        available_on=available,
        last=asked.last,
    )
    return replace(made, is_held=must_stay(row.crate))


def _key(row: Deposit, taken: Container[str]) -> str:
    """Return the plan's name for a crate: its mark, and its bill where two share it."""
    crate = row.crate
    name = str(crate)
    if crate is not None and name in taken:
        name = f"{name}, PRO {crate.shipment.pro_number}"
    return name if name not in taken else f"{name}, deposit {row.pk}"
