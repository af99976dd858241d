"""The history of one delivery, freight bill, machine or claim, in time order."""

from datetime import date

from django.db.models import Exists, Model, OuterRef, Q, QuerySet

from claims.models import Claim, Deadline, Finding, FindingPhoto
from claims.queries.core.labels import deadline_label
from claims.queries.deadlines.lapses import day_that_counts, standing_on
from inventory.models import (
    Crate,
    Delivery,
    Evidence,
    Handover,
    Hold,
    Shipment,
    Unit,
)
from inventory.models.evidence import OF_STANDING_ROWS
from inventory.models.withdrawn import Withdrawable
from inventory.queries.core.joined import joined
from inventory.rules.reckoning.counts import Count, TruckCount, compare_count


def handovers_of(row: Delivery | Shipment) -> QuerySet[Handover]:
    """Return the handovers of a truck or a bill with both ends joined."""
    return row.handovers.select_related(
        "delivery__carrier", "shipment__supplier", "shipment__carrier"
    ).order_by("pk")


def crates_of(row: Delivery | Shipment) -> QuerySet[Crate]:
    """Return the crates of a truck or a bill with their machines."""
    return (
        row.crates.select_related("shipment", "delivery")
        .prefetch_related("units")
        .order_by("shipment_id", "number")
    )


def units_of(shipment: Shipment) -> QuerySet[Unit]:
    """Return the machines of a bill with their crates."""
    return shipment.units.select_related("crate").order_by("pk")


def evidence_of(**about: object) -> list[dict[str, object]]:
    """Return the photos and documents of a row, for the photo grid.

    Those of a row that was taken back are shown on its own page alone. A photo of
    damage, or of a crate with an exception, that no finding names comes last: it was
    taken and not used.
    """
    gone = any(
        isinstance(row, Withdrawable) and row.is_withdrawn for row in about.values()
    )
    of_a_finding = Exists(FindingPhoto.objects.filter(evidence=OuterRef("pk")))
    of_damage = Q(kind="damage") | Q(
        kind="look", crate__look__in=("exception", "refused")
    )
    rows = (
        Evidence.objects.filter(Q() if gone else OF_STANDING_ROWS, **about)
        .select_related("original", "recorded_by", "crate", "location")
        .prefetch_related("markups", "readings")
        .annotate(is_unused=of_damage & ~of_a_finding)
        .order_by("is_unused", "received_at", "pk")
    )
    return [photo_card(row, is_unused=joined(row, "is_unused")) for row in rows]


def photo_card(row: Evidence, *, is_unused: bool = False) -> dict[str, object]:
    """Return one photo or document as the photo grid shows it."""
    what = row.caption or row.get_kind_display()
    return {
        "pk": row.pk,
        "has_picture": row.has_preview,
        "is_marked": bool(row.marks),
        "alt": f"{what}{f', {row.crate}' if row.crate else ''}",
        "caption": what,
        "taken_at": row.received_at,
        "location": row.location,
        "by": row.recorded_by,
        "is_unused": is_unused,
    }


def findings_of(**about: Model) -> QuerySet[Finding]:
    """Return the findings of a row with what a list prints."""
    return (
        Finding.objects.filter(**about)
        .select_related("unit", "crate", "shipment", "inspection")
        .order_by("shipment_id", "number")
    )


def deadlines_of(shipment: Shipment) -> QuerySet[Deadline]:
    """Return the current duties of a bill, the earliest first."""
    return (
        shipment.deadlines.filter(superseded_at=None)
        .select_related("delivery", "claim")
        .prefetch_related("overrides")
        .order_by("safe", "pk")
    )


def labelled(rows: QuerySet[Deadline], today: date) -> list[dict[str, object]]:
    """Return the duties as a table prints them on this day."""
    return [_labelled(row, today) for row in rows]


def _labelled(row: Deadline, today: date) -> dict[str, object]:
    """Return one duty; what the carrier owes has no day by which we send, nor a safe one."""
    is_ours = row.owed_by == "claimant"
    return {
        "label": deadline_label(row),
        "owed_by": row.owed_by,
        "due": row.due,
        "safe": day_that_counts(row) if is_ours else None,
        "send_by": row.send_by if is_ours else None,
        "met_on": row.met_on,
        "state": standing_on(row, today).state,
        "authority": row.authority,
    }


def count_of(shipment: Shipment) -> Count:
    """Return the bill's count over all its trucks."""
    trucks = [
        TruckCount(row.pieces_counted, row.rest_to_follow)
        for row in shipment.handovers.order_by("delivery__arrived_at", "pk")
    ]
    return compare_count(
        billed=shipment.pieces_billed, unit=shipment.piece_unit, trucks=trucks
    )


def claims_of(shipment: Shipment) -> QuerySet[Claim]:
    """Return the claims on a bill, the newest first."""
    return shipment.claims.order_by("-made_at", "-pk")


def holds_of(unit: Unit) -> QuerySet[Hold]:
    """Return the holds on a machine, the newest first."""
    return unit.holds.select_related("placed_by", "released_by").order_by("-pk")
