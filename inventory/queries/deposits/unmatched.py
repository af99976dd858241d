"""Charges and crates that do not match: charged without a crate, or not yet charged."""

import datetime as dt
from collections.abc import Iterable, Iterator

from django.db.models import Exists, OuterRef, Q, QuerySet

from inventory.models import Account, Crate, Deposit, Location, OpenSum
from inventory.queries.core.search import keys_numbered
from inventory.queries.deposits.open_book import OpenBook
from inventory.queries.ledger.balances import with_balances
from inventory.rules.crates.words import ON_HAND
from inventory.rules.deposits.postings import RECEIVABLE

INVOICE_DAYS = 5
"""How many days an invoice may take after its crates before we ask for it."""


def charged_without_crate(loose: Iterable[int]) -> QuerySet[Deposit]:
    """Return which of these open deposits lack a crate by mistake, the oldest first.

    Crates tracked by count and type have no mark, so none is missing there. The keys
    are those of ``OpenBook.loose`` or of ``loose_at``.
    """
    rows = Deposit.objects.filter(pk__in=loose, is_withdrawn=False).exclude(
        crate_type__kept_by="count"
    )
    joined = rows.select_related("location", "supplier", "crate_type")
    return with_balances(joined).order_by("invoiced_on", "pk")


def loose_at(locations: Iterable[Location]) -> list[int]:
    """Return the keys of the deposits here that stand and are on no crate."""
    accounts = Account.objects.filter(location__in=locations, kind=RECEIVABLE)
    keys = list(accounts.order_by().values_list("pk", flat=True))
    sums = OpenSum.objects.filter(account__in=keys, cents__gt=0).order_by()
    standing = list(sums.values_list("deposit_id", flat=True))
    loose = Deposit.objects.filter(pk__in=standing, crate=None).order_by("pk")
    return list(loose.values_list("pk", flat=True))


def crates_without_charge(
    book: OpenBook, locations: Iterable[Location], today: dt.date
) -> QuerySet[Crate]:
    """Return reusable crates here that no invoice charged, once one is overdue.

    They were received more than ``INVOICE_DAYS`` ago, were not refused, and are not
    tracked by count and type. The longest here first. Those that ``book`` holds as
    charged need not be looked at.
    """
    on_hand = Crate.everything.filter(state__in=ON_HAND).order_by()
    others = {*on_hand.values_list("pk", flat=True)} - book.charged()
    live = Deposit.objects.filter(crate=OuterRef("pk"), is_withdrawn=False)
    rows = Crate.objects.filter(
        Q(crate_type=None) | Q(crate_type__kept_by="mark"),
        ~Exists(live),
        pk__in=others,
        shipment__location__in=locations,
        kind="reusable",
        state__in=ON_HAND,
        delivery__arrived_on__lt=today - dt.timedelta(days=INVOICE_DAYS),
    ).exclude(look="refused")
    joined = rows.select_related(
        "shipment__location", "shipment__supplier", "delivery", "crate_type"
    )
    return joined.order_by("delivery__arrived_on", "pk")


def charged_though_refused(book: OpenBook) -> QuerySet[Deposit]:
    """Return open deposits on a crate that was refused, by match or by mark.

    A refused crate is not ours: the supplier must take the charge off.
    """
    standing = Deposit.objects.filter(is_withdrawn=False)
    loose = standing.filter(pk__in=book.loose()).exclude(mark="")
    refused = [row.bare.key for row in book.receivable() if row.look == "refused"]
    keys = [*refused, *_marked_as_refused(loose)]
    joined = standing.filter(pk__in=keys).select_related(
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
