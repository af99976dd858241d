"""The input of the return planner for one supplier at one location."""

import datetime as dt
from collections import Counter
from collections.abc import Container, Iterable
from dataclasses import dataclass, replace

from django.db.models import OuterRef, Subquery

from inventory.models import (
    Account,
    Crate,
    Deposit,
    Location,
    OpenSum,
    ReturnCosts,
    Supplier,
)
from inventory.queries.deposits.bare import BareDeposit, BareFacts
from inventory.queries.deposits.facts import currency_of, terms_for
from inventory.queries.deposits.open_book import OpenBook
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
    """The crates for the planner, and those it cannot plan: each with the reason.

    ``deposits`` gives the key of each planned crate's deposit by its name in the plan.
    """

    crates: tuple[PlanCrate, ...]
    deposits: dict[str, int]
    left_out: tuple[tuple[Deposit, str], ...]
    currency: str

    def named(self, names: Iterable[str]) -> dict[str, Deposit]:
        """Return the deposits of these crates of the plan, with what the page shows."""
        keys = {name: self.deposits[name] for name in names}
        rows = _shown(keys.values())
        return {name: rows[key] for name, key in keys.items()}


def plannable_pairs(locations: Iterable[Location]) -> list[tuple[Location, Supplier]]:
    """Return each location with each supplier whose crates on deposit are there."""
    here = OpenSum.objects.filter(
        account=OuterRef("pk"), cents__gt=0, deposit__crate__state__in=ON_HAND
    )
    # The first of each account. Asked whether there is one, PostgreSQL joins all
    # deposits and their crates.
    accounts = (
        Account.objects.filter(location__in=locations, kind=RECEIVABLE)
        .alias(one=Subquery(here.order_by().values("pk")[:1]))
        .filter(one__isnull=False)
        .select_related("location", "supplier")
    )
    pairs = {
        (row.location_id, row.supplier_id): (row.location, row.supplier)
        for row in accounts.order_by("pk")
        if row.supplier is not None
    }
    return sorted(pairs.values(), key=lambda pair: (pair[1].name, pair[0].name))


def gathered(asked: Asked) -> Gathered:
    """Return the supplier's crates here with their credit by day.

    A plan adds amounts, so it is of one currency: that of the supplier's terms.
    """
    currency = currency_of(asked.location, asked.supplier, asked.today)
    book = OpenBook([asked.location], supplier=asked.supplier, states=ON_HAND)
    rows = [row.bare for row in book.receivable()]
    names = _Names(rows)
    crates: list[PlanCrate] = []
    deposits: dict[str, int] = {}
    left_out: dict[int, str] = {}
    for row in rows:
        if row.currency != currency:
            left_out[row.key] = (
                f"Its deposit is in {row.currency}; this plan is in {currency}."
            )
            continue
        name = names.of(row, deposits)
        try:
            crates.append(_plan_crate(name, row, book.facts, asked))
        except DepositError as error:
            left_out[row.key] = str(error)
        else:
            deposits[name] = row.key
    shown = _shown(left_out)
    return Gathered(
        tuple(crates),
        deposits,
        tuple((shown[key], why) for key, why in left_out.items()),
        currency,
    )


def _shown(keys: Iterable[int]) -> dict[int, Deposit]:
    return Deposit.objects.select_related("crate").in_bulk(list(keys))


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


def _plan_crate(
    name: str, row: BareDeposit, facts: BareFacts, asked: Asked
) -> PlanCrate:
    terms = facts.terms_of(row)
    if terms is None:
        raise DepositError("The deposit has no terms. Add the supplier's terms first.")
    is_ready = row.state in (*READY, STAGED)
    wait = 0 if is_ready else asked.ready_days
    available = asked.today + dt.timedelta(days=wait)
    one = facts.facts_of(row, available)
    made = facts.once(
        (row.terms, one, available),
        lambda: plan_crate("", terms, one, available_on=available, last=asked.last),
    )
    return replace(made, key=name, is_held=facts.must_stay(row))


class _Names:
    """The plan's names for crates: the mark, and the bill where two share it."""

    def __init__(self, rows: Iterable[BareDeposit]) -> None:
        keys = [row.crate for row in rows if row.crate is not None]
        crates = Crate.everything.filter(pk__in=keys).order_by()
        self._crates = {
            key: str(Crate(number=number, mark=mark))
            for key, number, mark in crates.values_list("pk", "number", "mark")
        }
        counts = Counter(self._crates.values())
        twice = [key for key, name in self._crates.items() if counts[name] > 1]
        bills = crates.filter(pk__in=twice).values_list("pk", "shipment__pro_number")
        self._pros = dict(bills)

    def of(self, row: BareDeposit, taken: Container[str]) -> str:
        """Return the name of a deposit's crate, beside those that are taken."""
        key = row.crate or 0
        name = self._crates[key]
        if name in taken:
            name = f"{name}, PRO {self._pros[key]}"
        return name if name not in taken else f"{name}, deposit {row.key}"
