"""Turning a count below the bill into a finding, and keeping it up to date."""

from datetime import datetime

from claims.actions.bench.words import next_number
from claims.models import Finding, Inspection
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import change_row
from inventory.models import Handover, Shipment, User
from inventory.rules.reckoning.counts import Count, TruckCount, compare_count
from inventory.rules.reckoning.moments import dock_day


def settle_shortage(
    *,
    shipment: Shipment,
    at: datetime,
    person: User,
    tapped: datetime | None = None,
) -> None:
    """Make or correct the bill's shortage finding after its receipts were closed.

    Call it in the caller's transaction with the freight bill locked. A shortage that
    a later truck makes good stays on record with no pieces and no claim.
    """
    handovers = list(
        Handover.objects.filter(shipment=shipment)
        .select_related("delivery__location", "shipment")
        .order_by("delivery__arrived_at", "pk")
    )
    if not handovers or not all(row.is_closed for row in handovers):
        return
    count = count_of(shipment, handovers)
    if count.state == "unknown":
        return
    short = _pieces_short(count)
    standing = Finding.objects.filter(shipment=shipment, damage_kind="short").first()
    if standing is None and short:
        _find_short(handovers[-1], count, person=person, at=at, moment=tapped or at)
    elif standing is not None and standing.pieces != short:
        _correct(standing, count, shipment=shipment, person=person, at=at)


def _pieces_short(count: Count) -> int:
    return -count.difference if count.state == "short" else 0


def count_of(shipment: Shipment, handovers: list[Handover]) -> Count:
    """Return these trucks' count compared with the bill."""
    return compare_count(
        billed=shipment.pieces_billed,
        unit=shipment.piece_unit,
        trucks=[
            TruckCount(row.pieces_counted, row.rest_to_follow) for row in handovers
        ],
    )


def _find_short(
    handover: Handover,
    count: Count,
    *,
    person: User,
    at: datetime,
    moment: datetime,
) -> None:
    delivery, shipment = handover.delivery, handover.shipment
    short = _pieces_short(count)
    inspection = Inspection.objects.create(
        shipment=shipment,
        delivery=delivery,
        stage="count",
        looked_at=moment,
        looked_on=dock_day(moment, delivery.location.zone),
        looked_by=person,
    )
    finding = Finding.objects.create(
        inspection=inspection,
        shipment=shipment,
        delivery=delivery,
        number=next_number(shipment),
        damage_kind="short",
        severity="severe",
        pieces=short,
        facts=count.sentence,
        could_be_seen=True,
        could_be_seen_derived=True,
        cause="transit",
        recorded_at=moment,
        recorded_by=person,
    )
    record_event(
        kind="finding.recorded",
        at=at,
        actor=person,
        location=delivery.location,
        subjects=[delivery, shipment, inspection, finding],
        data={"number": finding.number, "what": count.sentence, "pieces": short},
    )


def _correct(
    finding: Finding,
    count: Count,
    *,
    shipment: Shipment,
    person: User,
    at: datetime,
) -> None:
    short = _pieces_short(count)
    route = {} if short else {"route": "nowhere", "route_reason": count.sentence}
    if short and finding.route == "nowhere":
        route = {"route": "", "route_reason": ""}
    change_row(
        finding,
        version=finding.version,
        pieces=short,
        facts=count.sentence,
        **route,
    )
    record_event(
        kind="finding.changed",
        at=at,
        actor=person,
        location=shipment.location,
        subjects=[shipment, finding],
        data={
            "number": finding.number,
            "changed": count.sentence,
        },
    )
