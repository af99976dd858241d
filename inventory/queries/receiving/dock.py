"""What the dock needs: which trucks, which carriers, and what paperwork is missing."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Count, Exists, F, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from inventory.access import scoped, scoped_in_order
from inventory.models import (
    Carrier,
    Crate,
    Delivery,
    Handover,
    Location,
    OpenWork,
    Shipment,
    Unit,
    User,
)
from inventory.models.deliveries import CLOSED
from inventory.queries.core.counts import count_of
from inventory.queries.core.shared import share
from inventory.queries.receiving.thumbs import Thumb, thumbs_of_bills
from inventory.rules.core.paperwork import PaperFacts, missing_papers

IMAGE_AFTER = timedelta(days=2)
"""How long to wait for the carrier's POD."""

MOST_SHOWN = 50


def carriers_last_used_first(location: Location) -> list[Carrier]:
    """Return every carrier, the last ones at this dock at the top."""
    here = Delivery.objects.filter(location=location, carrier=OuterRef("pk"))
    last = here.order_by("-arrived_at").values("arrived_at")[:1]
    rows = Carrier.objects.annotate(last_came=Subquery(last))
    return list(rows.order_by(F("last_came").desc(nulls_last=True), "name", "pk"))


def last_dock_of(person: User) -> int | None:
    """Return the key of the location where this person signed last, if anywhere."""
    signed = Delivery.objects.filter(signed_by=person).order_by("-signed_at", "-pk")
    return signed.values_list("location_id", flat=True).first()


def _with_counts(rows: QuerySet[Delivery]) -> QuerySet[Delivery]:
    crates = Crate.objects.all()
    return rows.select_related("carrier", "location").annotate(
        bill_count=count_of(Handover.objects.all(), "delivery"),
        crate_count=count_of(crates, "delivery"),
        unseen_count=count_of(crates.filter(look=""), "delivery"),
        noted_count=count_of(
            crates.filter(look__in=["exception", "refused"]), "delivery"
        ),
    )


def delivery_rows(person: User) -> QuerySet[Delivery]:
    """Return the deliveries this person can see, latest first, with their counts."""
    rows = scoped_in_order(Delivery.objects.all(), person)
    return _with_counts(rows).order_by("-arrived_at", "-pk")


def trucks_at_dock(person: User, days: Mapping[int, date]) -> list[Delivery]:
    """Return today's trucks and every one not signed for, those first.

    ``days`` gives today's date by location key. Each has its ``bill_count``.
    """
    of_today = Q()
    for location_id, day in days.items():
        of_today |= Q(location_id=location_id, arrived_on=day)
    rows = scoped(Delivery.objects.all(), person).filter(
        of_today | Q(pk__in=OpenWork.keys("truck"))
    )
    order = (F("signed_at").desc(nulls_first=True), "-arrived_at", "-pk")
    keys = list(rows.order_by(*order).values_list("pk", flat=True)[:MOST_SHOWN])
    bills = count_of(Handover.objects.all(), "delivery")
    found = Delivery.objects.filter(pk__in=keys).annotate(bill_count=bills)
    return share(found.order_by(*order), "carrier", "location")


def looks_of(trucks: Sequence[Delivery]) -> dict[int, list[list[str]]]:
    """Return for each truck the states of its crates, bill by bill. One query."""
    found: dict[int, dict[int, list[str]]] = {row.pk: {} for row in trucks}
    # By the bill's key, latest first, as bills are sorted: it need not be joined.
    rows = Crate.objects.filter(delivery__in=found).order_by("-shipment_id", "number")
    for delivery_id, bill, look in rows.values_list(
        "delivery_id", "shipment_id", "look"
    ):
        if delivery_id is not None:
            found[delivery_id].setdefault(bill, []).append(look)
    return {pk: list(bills.values()) for pk, bills in found.items()}


def refused_to_settle(person: User) -> list[Crate]:
    """Return refused crates of closed bills of which nobody has said where they went."""
    closed = Handover.objects.filter(
        CLOSED, delivery=OuterRef("delivery"), shipment=OuterRef("shipment")
    )
    rows = scoped_in_order(
        Crate.objects.filter(pk__in=OpenWork.keys("refused-crate")), person
    ).filter(Exists(closed))
    found = rows.select_related("shipment__location", "delivery__carrier")
    return list(found.order_by("-delivery__arrived_at", "pk")[:MOST_SHOWN])


PAPERS = ("freight-bill", "bill-of-lading", "packing-list", "receipt", "label")
"""The kinds of photo that help to complete a freight bill's paperwork, the best first."""


@dataclass(frozen=True)
class ToFill:
    """A freight bill with its missing paperwork."""

    shipment: Shipment
    missing: tuple[str, ...]
    thumb: Thumb | None


def bills_to_fill(person: User) -> list[ToFill]:
    """Return the bills of trucks here with missing paperwork, latest first, pictured."""
    lacks = Shipment.objects.filter(pk__in=OpenWork.keys("paperwork"))
    rows = scoped_in_order(lacks, person).order_by("-pk")[:MOST_SHOWN]
    found = with_paper_counts(rows)
    thumbs = thumbs_of_bills([row.pk for row in found], PAPERS)
    return [ToFill(row, lacking(row), thumbs.get(row.pk)) for row in found]


_GAPS = ("unit_count", "unserialled", "unvalued")


def with_paper_counts(rows: Iterable[Shipment]) -> list[Shipment]:
    """Join what `lacking` reads: supplier, carrier, and the machines' gaps, read once."""
    found = share(rows, "supplier", "carrier", "location")
    units = Unit.everything.filter(shipment__in=[row.pk for row in found]).order_by()
    counted = units.values_list("shipment_id").annotate(
        unit_count=Count("pk"),
        unserialled=Count("pk", filter=Q(serial="")),
        unvalued=Count("pk", filter=Q(invoice_cents=None)),
    )
    gaps = {bill: counts for bill, *counts in counted}
    for row in found:
        counts = gaps.get(row.pk, (0, 0, 0))
        vars(row).update(zip(_GAPS, counts, strict=True))
    return found


def lacking(shipment: Shipment) -> tuple[str, ...]:
    """Return what a bill read by `with_paper_counts` still lacks."""
    counts = vars(shipment)
    return missing_papers(
        PaperFacts(
            supplier=shipment.supplier.name if shipment.supplier else "",
            bol_number=shipment.bol_number,
            has_bol_date=shipment.bol_on is not None,
            delivery_terms=shipment.delivery_terms,
            freight_payer=shipment.freight_payer,
            pieces_billed=shipment.pieces_billed,
            billed_weight=shipment.billed_weight,
            freight_charge_cents=shipment.freight_charge_cents,
            units=counts["unit_count"],
            units_without_serial=counts["unserialled"],
            units_without_value=counts["unvalued"],
        )
    )


def images_to_ask_for(person: User, at: datetime) -> QuerySet[Handover]:
    """Return signed receipts whose POD is overdue or lacks our exceptions.

    Those that lack our exceptions come first, then the longest awaited.
    """
    closed_at = Coalesce("signed_at", "delivery__signed_at")
    overdue = Q(carrier_image="awaited", closed_at__lte=at - IMAGE_AFTER)
    waiting = Handover.objects.filter(pk__in=OpenWork.keys("pod"))
    rows = scoped_in_order(waiting, person).annotate(closed_at=closed_at)
    rows = rows.filter(
        overdue | Q(carrier_image="words-missing"), closed_at__isnull=False
    )
    return rows.select_related(
        "shipment", "delivery__carrier", "delivery__location"
    ).order_by("-carrier_image", "closed_at", "pk")
