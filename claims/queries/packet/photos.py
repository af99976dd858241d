"""Findings, receipts and files of a claim, for the claim file."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import datetime

from django.db.models import Prefetch

from claims.models import ClaimLine, Finding, FindingPart
from claims.queries.core.facts import estimate_of, minutes_of
from claims.queries.packet.text import (
    amount_text,
    day_text,
    file_kind,
    moment_text,
    size_text,
)
from claims.rules.bench.places import place_words
from claims.rules.packet.content import (
    EvidenceEntry,
    FindingEntry,
    Photo,
    ReceiptExceptions,
)
from inventory.evidence.pictures.drawn import picture_for
from inventory.models import Evidence, Handover, Location, Shipment
from inventory.rules.evidence.remarks import camera_time
from inventory.rules.reckoning.moments import paper_time

RECEIPT_KINDS = ("receipt", "carrier-image")


def photo_of(row: Evidence, location: Location) -> Photo:
    """Return one file as a photo; a document or broken picture has none to draw."""
    taken = camera_time(row.claims)
    return Photo(
        picture=picture_for(row) if row.is_picture else None,
        caption=row.caption or row.get_kind_display(),
        received=moment_text(row.received_at, location),
        camera_time=_camera_words(taken),
        taken_by=str(row.recorded_by),
        sha256=row.original_id,
        file=row.file_name,
        marks=row.marks,
    )


def _camera_words(taken: datetime | None) -> str:
    """Return the camera's time on the camera's own clock, or nothing."""
    if taken is None or taken.tzinfo is None:
        return ""
    return paper_time(taken, taken.tzinfo)


def findings_of(lines: Sequence[ClaimLine]) -> list[Finding]:
    """Return the findings of these lines in order, with all that a claim file prints."""
    ids = [line.finding_id for line in lines if line.finding_id]
    photos = (
        Evidence.objects.select_related("original", "recorded_by")
        .prefetch_related("markups", "readings")
        .order_by("received_at", "id")
    )
    return list(
        Finding.objects.filter(pk__in=ids)
        .select_related(
            "inspection__looked_by", "unit", "crate", "recorded_by", "shipment"
        )
        .prefetch_related(
            Prefetch("photos", photos),
            Prefetch("parts", FindingPart.objects.all()),
            "booked",
        )
        .order_by("number")
    )


def finding_entries(
    findings: Iterable[Finding], location: Location, currency: str
) -> tuple[FindingEntry, ...]:
    """Return each finding with its photos at full size."""
    return tuple(_finding(row, location, currency) for row in findings)


def _finding(row: Finding, location: Location, currency: str) -> FindingEntry:
    seen = "Yes" if row.could_be_seen else "No, concealed damage"
    reason = f". {row.could_be_seen_reason}" if row.could_be_seen_reason else "."
    opinion = f"{row.get_cause_display()}. {row.opinion}".strip()
    return FindingEntry(
        number=str(row.number),
        title=f"{row.part or 'Crate'}: {row.get_damage_kind_display()}",
        subject=_subject(row),
        stage=row.inspection.get_stage_display(),
        severity=row.get_severity_display(),
        found=f"{day_text(row.inspection.looked_on)}, by {row.recorded_by}",
        facts=row.facts,
        visible_at_delivery=f"{seen}{reason}",
        opinion=opinion,
        repair=_repair(row, location, currency),
        faces=tuple(face for face in row.faces.split(",") if face),
        photos=tuple(photo_of(photo, location) for photo in row.photos.all()),
    )


def _subject(row: Finding) -> str:
    """Return what the finding is on, and where on the machine."""
    where = place_words(row.places)
    return f"{row.unit or row.crate or row.shipment}{f': {where}' if where else ''}"


def _repair(row: Finding, location: Location, currency: str) -> str:
    estimate = estimate_of(row, location.shop_rate_cents)
    words = [
        f"{part.quantity} x {part.description}"
        + (f" ({part.part_number})" if part.part_number else "")
        + f" at {amount_text(part.price_cents, currency) or 'no price'}"
        for part in row.parts.all()
    ]
    claimed = minutes_of(row)
    if claimed:
        hours, minutes = divmod(claimed, 60)
        rate = row.rate_cents
        rate = location.shop_rate_cents if rate is None else rate
        words.append(
            f"labor {hours} h {minutes:02d} min at {amount_text(rate, currency)} an hour"
        )
    if not words:
        return ""
    return f"{'; '.join(words)}. Total {amount_text(estimate.total_cents, currency)}."


def receipt_entries(
    shipment: Shipment, files: Sequence[Evidence]
) -> tuple[ReceiptExceptions, ...]:
    """Return the exceptions on each delivery's receipt, verbatim."""
    by_delivery: dict[int | None, list[Evidence]] = defaultdict(list)
    for row in files:
        if row.kind in RECEIPT_KINDS:
            by_delivery[row.delivery_id].append(row)
    handovers = (
        Handover.objects.filter(shipment=shipment)
        .select_related("delivery__carrier")
        .order_by("delivery__arrived_at", "pk")
    )
    found = []
    loose = by_delivery.pop(None, [])
    for handover in handovers:
        photos = [*by_delivery.get(handover.delivery_id, []), *loose]
        loose = []
        found.append(_receipt(handover, shipment.location, photos))
    return tuple(found)


def _receipt(
    row: Handover, location: Location, photos: Sequence[Evidence]
) -> ReceiptExceptions:
    delivery = row.delivery
    counted = "not counted" if row.pieces_counted is None else str(row.pieces_counted)
    return ReceiptExceptions(
        delivery=f"{day_text(delivery.arrived_on)}, {delivery.carrier}, "
        f"{counted} pieces counted",
        words=row.words_full,
        stands_on=row.closing.get_words_stand_on_display(),
        how_signed=_ended(row),
        driver=row.closing.driver_signed_name or delivery.driver_name,
        carrier_image=row.get_carrier_image_display(),
        photos=tuple(photo_of(photo, location) for photo in photos),
    )


def _ended(row: Handover) -> str:
    witness = f". Witness: {row.witness_name}" if row.witness_name else ""
    return f"{row.ending_words}{witness}"


def evidence_entries(
    files: Sequence[Evidence], location: Location
) -> tuple[EvidenceEntry, ...]:
    """Return the list of evidence: one row for each original, by its hash."""
    return tuple(
        EvidenceEntry(
            number=str(number),
            kind=row.caption or row.get_kind_display(),
            file_kind=file_kind(row.original.media_type),
            size=size_text(row.original.size),
            received=moment_text(row.received_at, location),
            sha256=row.original_id,
        )
        for number, row in enumerate(files, start=1)
    )
