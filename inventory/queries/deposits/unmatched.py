"""Charges and crates that do not match: charged without a crate, or not yet charged."""

import datetime as dt
from collections.abc import Iterable
from functools import reduce
from operator import or_

from django.db.models import Exists, OuterRef, Q, QuerySet

from inventory.models import Crate, Deposit, Location
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
    same_place = {
        "look": "refused",
        "shipment__location_id": OuterRef("location_id"),
    }
    bears = reduce(
        or_,
        (Q(**{name: OuterRef("mark")}) for name in ("mark", "grai", "supplier_code")),
    )
    theirs = Q(shipment__supplier_id=OuterRef("supplier_id")) | Q(
        shipment__supplier=None
    )
    marked = Crate.objects.filter(bears, theirs, **same_place)
    matched = Q(crate__look="refused")
    by_mark = Q(crate=None) & ~Q(mark="") & Exists(marked)
    rows = Deposit.objects.filter(
        matched | by_mark, location__in=locations, is_withdrawn=False
    )
    joined = rows.select_related("location", "supplier", "crate_type", "crate")
    open_rows = with_balances(joined.filter(standing_in(RECEIVABLE)))
    return open_rows.order_by("invoiced_on", "pk")
