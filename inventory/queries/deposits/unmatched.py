"""Charges and crates that do not match: charged without a crate, or not yet charged."""

import datetime as dt
from collections.abc import Iterable, Iterator

from django.db.models import Exists, OuterRef, Q, QuerySet

from inventory.models import Crate, Deposit, Location
from inventory.queries.core.search import keys_numbered
from inventory.queries.ledger.balances import standing_in, with_balances
from inventory.rules.crates.words import ON_HAND
from inventory.rules.deposits.postings import RECEIVABLE

INVOICE_DAYS = 5
"""How many days an invoice may take after its crates before we ask for it."""


def charged_without_crate(locations: Iterable[Location]) -> QuerySet[Deposit]:
    """Return deposits that are open and matched to no crate, the oldest first.

    Crates tracked by count and type have no mark, so none is missing there.
    """
    rows = Deposit.objects.filter(
        location__in=locations, crate=None, is_withdrawn=False
    ).exclude(crate_type__kept_by="count")
    joined = rows.select_related("location", "supplier", "crate_type")
    found = with_balances(joined.filter(standing_in(RECEIVABLE)))
    return found.order_by("invoiced_on", "pk")


def crates_without_charge(
    locations: Iterable[Location], today: dt.date
) -> QuerySet[Crate]:
    """Return reusable crates here that no invoice charged, once one is overdue.

    They were received more than ``INVOICE_DAYS`` ago, were not refused, and are not
    tracked by count and type. The longest here first.
    """
    live = Deposit.objects.filter(crate=OuterRef("pk"), is_withdrawn=False)
    rows = Crate.objects.filter(
        Q(crate_type=None) | Q(crate_type__kept_by="mark"),
        ~Exists(live),
        shipment__location__in=locations,
        kind="reusable",
        state__in=ON_HAND,
        delivery__arrived_on__lt=today - dt.timedelta(days=INVOICE_DAYS),
    ).exclude(look="refused")
    joined = rows.select_related(
        "shipment__location", "shipment__supplier", "delivery", "crate_type"
    )
    return joined.order_by("delivery__arrived_on", "pk")


def charged_though_refused(locations: Iterable[Location]) -> QuerySet[Deposit]:
    """Return open deposits on a crate that was refused, by match or by mark.

    A refused crate is not ours: the supplier must take the charge off.
    """
    rows = Deposit.objects.filter(location__in=locations, is_withdrawn=False)
    standing = rows.filter(standing_in(RECEIVABLE))
    keys = [
        *standing.filter(crate__look="refused").values_list("pk", flat=True),
        *_marked_as_refused(standing.filter(crate=None).exclude(mark="")),
    ]
    joined = Deposit.objects.filter(pk__in=keys).select_related(
        "location", "supplier", "crate_type", "crate"
    )
    return with_balances(joined).order_by("invoiced_on", "pk")


def _marked_as_refused(deposits: QuerySet[Deposit]) -> Iterator[int]:
    """Yield the keys of those whose mark a refused crate of the same supplier bears."""
    asked = list(deposits.order_by().values_list("pk", "mark", "location", "supplier"))
    there = keys_numbered("crate", {mark for _, mark, _, _ in asked})
    refused = Crate.objects.filter(pk__in=there, look="refused").order_by()
    borne = {
        (mark, location, supplier)
        for *marks, location, supplier in refused.values_list(
            *("mark", "grai", "supplier_code"),
            *("shipment__location", "shipment__supplier"),
        )
        for mark in marks
    }
    for key, mark, location, supplier in asked:
        if {(mark, location, supplier), (mark, location, None)} & borne:
            yield key
