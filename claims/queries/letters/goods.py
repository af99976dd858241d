"""What the letters about a claim say of the goods: found, missing, held, offered."""

from datetime import datetime

from claims.models import Claim, ClaimLetter, ClaimLine, Finding, LineDecision
from claims.rules.bench.checklists import LOOKS, RESULTS
from claims.rules.bench.entries import readings_from, readings_words
from claims.rules.bench.places import place_words
from claims.rules.letters.goods import (
    GoodsFacts,
    OpenedCrate,
    PiecesCounted,
    PointRead,
    SalvageOffered,
    SeenFinding,
)
from claims.rules.letters.lines import SHORT
from claims.rules.letters.salvage import SALVAGE_OFFER, OfferChoices
from inventory.models import Crate, Handover, Location, Shipment, Unit, User
from inventory.rules.core import frozen
from inventory.rules.core.text import mid_sentence
from inventory.rules.reckoning.calendars import in_full
from inventory.rules.reckoning.counts import TruckCount, compare_count
from inventory.rules.reckoning.moments import dock_clock, dock_hour

_LABELS = {look.key: look.label for looks in LOOKS.values() for look in looks}


def goods_facts(claim: Claim, lines: list[ClaimLine], *, person: User) -> GoodsFacts:
    """Return what the record says of the goods of these lines, now.

    Findings and readings are those that this person recorded. ``claim`` comes with its
    shipment, and that with its location.
    """
    rows = _recorded(lines, person)
    return GoodsFacts(
        technician=str(person),
        findings=tuple(_seen(row, claim.location) for row in rows),
        opened=_opened(rows, claim.location),
        readings=_points(rows) + _setup_points(rows, person),
        pieces=_pieces(claim.shipment),
        turned_up=_turned_up(claim.shipment, lines),
        held_at=claim.salvage_held or claim.inspect_at,
        offered=_offered(claim),
    )


def _recorded(lines: list[ClaimLine], person: User) -> list[Finding]:
    keys = [line.finding_id for line in lines if line.finding_id]
    return list(
        Finding.objects.filter(pk__in=keys, recorded_by=person)
        .select_related("inspection", "crate", "unit__crate", "shipment")
        .prefetch_related("photos")
        .order_by("number")
    )


def _seen(row: Finding, location: Location) -> SeenFinding:
    where = place_words(row.places)
    damage = row.get_damage_kind_display()
    on = str(row.unit or row.crate or f"freight bill {row.shipment.pro_number}")
    return SeenFinding(
        number=row.number,
        on=f"{on}{f', {where}' if where else ''}",
        what=f"{row.part}, {damage}" if row.part else damage,
        facts=row.facts,
        stage=mid_sentence(row.inspection.get_stage_display()),
        seen=_moment(row.recorded_at, location),
        photos=len(row.photos.all()),
    )


def _moment(at: datetime, location: Location) -> str:
    """Return "November 20, 2026, 9:31 AM" on the dock's own clock."""
    zone = location.zone
    return f"{in_full(dock_clock(at, zone).date())}, {dock_hour(at, zone)}"


def _opened(rows: list[Finding], location: Location) -> tuple[OpenedCrate, ...]:
    crates: dict[int, Crate] = {}
    for row in rows:
        crate = row.crate or (row.unit.crate if row.unit else None)
        if crate and crate.opened_on:
            crates[crate.pk] = crate
    return tuple(
        OpenedCrate(
            str(crate),
            _opening(crate, location),
        )
        for crate in sorted(crates.values(), key=lambda crate: crate.number)
    )


def _opening(crate: Crate, location: Location) -> str:
    if crate.opened_at:
        return _moment(crate.opened_at, location)
    return in_full(crate.opened_on) if crate.opened_on else ""


def _points(rows: list[Finding]) -> tuple[PointRead, ...]:
    """Return each point of the inspections that is not right or has a reading."""
    inspections = {row.inspection_id: row for row in rows}
    found = []
    for row in inspections.values():
        on = str(row.unit or row.crate or "Freight bill")
        for look in row.inspection.looks:
            reading = " ".join((look.get("reading", ""), look.get("unit", ""))).strip()
            if look["result"] == "wrong" or reading:
                point = _LABELS.get(look["key"], look["key"])
                result = mid_sentence(RESULTS[look["result"]])
                found.append(PointRead(on, point, result, reading))
    return tuple(found)


def _setup_points(rows: list[Finding], person: User) -> tuple[PointRead, ...]:
    """Return the readings at setup from which these findings were made."""
    decisions = (
        LineDecision.objects.filter(finding__in=rows, reading__taken_by=person)
        .select_related("reading__setup__unit", "reading__setup__setup_list")
        .order_by("pk")
    )
    found = {}
    for row in decisions:
        setup, reading = row.reading.setup, row.reading
        labels = {line["key"]: line["label"] for line in setup.setup_list.lines}
        found[reading.pk] = PointRead(
            str(setup.unit),
            labels.get(reading.line, reading.line),
            mid_sentence(RESULTS[reading.result]),
            readings_words(readings_from(reading.readings)),
        )
    return tuple(found.values())


def _pieces(shipment: Shipment) -> PiecesCounted:
    trucks = list(
        Handover.objects.filter(shipment=shipment, delivery__withdrawn_at=None)
        .select_related("delivery")
        .order_by("delivery__arrived_at", "pk")
    )
    count = compare_count(
        billed=shipment.pieces_billed,
        unit=shipment.piece_unit,
        trucks=[TruckCount(row.pieces_counted, row.rest_to_follow) for row in trucks],
    )
    last = trucks[-1].delivery.arrived_on if trucks else None
    return PiecesCounted(
        count.state, count.counted, shipment.pieces_billed, shipment.piece_unit, last
    )


def _turned_up(shipment: Shipment, lines: list[ClaimLine]) -> tuple[str, ...]:
    """Return what arrived in another way with a serial or a mark of the missing goods."""
    serials = {
        line.unit.serial_key
        for line in lines
        if line.outcome == SHORT and line.unit and line.unit.serial_key
    }
    units = (
        Unit.objects.filter(serial_key__in=serials)
        .exclude(shipment=shipment)
        .select_related("shipment")
        .order_by("pk")
    )
    marks = Crate.objects.filter(shipment=shipment, is_over=False).exclude(mark_key="")
    over = (
        Crate.objects.filter(
            shipment__location=shipment.location_id,
            mark_key__in=marks.values("mark_key"),
            is_over=True,
        )
        .select_related("shipment")
        .order_by("pk")
    )
    return (
        *(f"{row} is on freight bill {row.shipment.pro_number}." for row in units),
        *(f"{row} was over on freight bill {row.shipment.pro_number}." for row in over),
    )


def _offered(claim: Claim) -> SalvageOffered | None:
    """Return the last offer of the salvage that went out."""
    sent = (
        ClaimLetter.objects.filter(
            claim=claim, kind=SALVAGE_OFFER.key, sent_on__isnull=False
        )
        .order_by("number")
        .last()
    )
    if sent is None or sent.sent_on is None:
        return None
    choices = frozen.from_json(OfferChoices, sent.choices)
    return SalvageOffered(sent.sent_on, choices.answer_by)
