"""What the pages of deposits and entries show, and which crates can be charged."""

import datetime as dt
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q, QuerySet

from inventory.models import Crate, Deposit, DepositRate, Entry, Leg, Location
from inventory.queries.deposits.facts import facts_of, terms_for, terms_of, with_facts
from inventory.queries.ledger.balances import running_rows, sums_on, with_balances
from inventory.rules.deposits.credit import Credit, DepositError, credit_on


@dataclass(frozen=True, slots=True)
class DepositPage:
    """One deposit: its balance, its legs, and what its crate would earn today.

    ``problem`` says why no credit is counted; ``legs`` carry ``running`` cents.
    """

    row: Deposit
    receivable: int
    expected: int
    disputed: int
    legs: list[Leg]
    credit: Credit | None
    problem: str

    @property
    def is_open(self) -> bool:
        """Return whether anything is still owed on it."""
        return bool(self.receivable or self.expected or self.disputed)


def deposit_page(key: int, today: dt.date) -> DepositPage:
    """Return the content of this deposit's page."""
    row = with_facts(with_balances(Deposit.objects.filter(pk=key))).get()
    sums = sums_on(row)
    credit, problem = _credit(row, today) if sums.receivable else (None, "")
    return DepositPage(
        row=row,
        legs=list(running_rows(Leg.objects.filter(deposit=row))),
        credit=credit,
        problem=problem,
        receivable=sums.receivable,
        expected=sums.expected,
        disputed=sums.disputed,
    )


def _credit(row: Deposit, today: dt.date) -> tuple[Credit | None, str]:
    terms = terms_of(row)
    if terms is None:
        return (
            None,
            "No crate terms of this supplier were in force on the invoice date.",
        )
    try:
        return credit_on(terms, facts_of(row, today)), ""
    except DepositError as error:
        if row.crate is None:
            return (
                None,
                "The days are counted once the deposit is matched to its crate.",
            )
        return None, str(error)


def entries() -> QuerySet[Entry]:
    """Return entries joined to what their page shows."""
    return Entry.objects.select_related(
        "location", "supplier", "carrier", "entered_by", "reverses", "reversed_by"
    )


def legs_of(entry: Entry) -> QuerySet[Leg]:
    """Return the legs of an entry, joined to what its page shows."""
    return entry.legs.select_related("account", "deposit__crate").order_by("position")


def chargeable_crates(locations: QuerySet[Location]) -> QuerySet[Crate]:
    """Return the reusable crates of these locations that have no deposit yet."""
    live = Deposit.objects.filter(crate=OuterRef("pk"), is_withdrawn=False)
    rows = Crate.objects.filter(
        ~Exists(live), shipment__location__in=locations, kind="reusable"
    ).exclude(look="refused")
    joined = rows.select_related("shipment__supplier", "shipment__location")
    return joined.order_by("shipment__pro_number", "number", "pk")


def matching_crates(deposit: Deposit) -> QuerySet[Crate]:
    """Return the crates this deposit may be on."""
    here = Location.objects.filter(pk=deposit.location_id)
    theirs = Q(shipment__supplier=deposit.supplier) | Q(shipment__supplier=None)
    return chargeable_crates(here).filter(theirs)


def other_rate(deposit: Deposit) -> int | None:
    """Return the deposit the terms give for this type, where the invoice differs."""
    if deposit.terms_id is None or deposit.crate_type_id is None:
        return None
    rates = DepositRate.objects.filter(
        terms_id=deposit.terms_id, crate_type_id=deposit.crate_type_id
    )
    cents = rates.values_list("deposit_cents", flat=True).first()
    return None if cents in {None, deposit.amount_cents} else cents


def rate_today(crate: Crate, today: dt.date) -> int | None:
    """Return the deposit that the terms of today give for a crate, in cents."""
    supplier = crate.shipment.supplier
    terms = terms_for(supplier, today) if supplier else None
    if terms is None or crate.crate_type_id is None:
        return None
    rates = terms.rates.filter(crate_type_id=crate.crate_type_id)
    return rates.values_list("deposit_cents", flat=True).first()
