"""Recording a finding at the bench, and changing it."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.db.models import Model

from claims.actions.bench.holds import hold_for
from claims.actions.bench.inspections import Subject, record_inspection
from claims.actions.bench.words import FindingWords, lay_parts, next_number
from claims.actions.core.deadlines import count_deadlines
from claims.models import Finding, FindingPhoto
from claims.queries.bench.looks import condition_known, last_look
from claims.rules.bench.causes import cause_of, why_not_cause
from claims.rules.bench.holds import REASON
from claims.rules.bench.places import in_order
from claims.rules.bench.safety_parts import safety_part_named
from claims.rules.bench.seen import Seen, could_be_seen
from inventory.actions.core.events import record_event, waited
from inventory.actions.core.versions import RefusedError, change_row
from inventory.models import Delivery, Evidence, Shipment, User
from inventory.rules.core.changes import changed_words

HANDLING_STANDS = (
    '"Our handling" cannot be changed here. A manager answers it, with a reason. '
    "Nothing was saved."
)


def record_finding(
    *,
    person: User,
    at: datetime,
    subject: Subject,
    stage: str,
    words: FindingWords,
    crate_condition: str = "",
    photos: Sequence[Evidence] = (),
    tapped: datetime | None = None,
) -> Finding:
    """Record a finding under the freight bill's next number, dated as it was tapped.

    It belongs to the last inspection of this stage, or makes one. ``photos`` were saved
    before. A transit cause puts the setup of the machines concerned on hold. Raise
    RefusedError where the inspection is not possible, a correction lacks its reason, or
    a photo belongs to another freight bill.
    """
    with transaction.atomic():
        shipment = _lock(subject.shipment)
        _check_photos(shipment, photos)
        standing = last_look(
            shipment=shipment, crate=subject.box, unit=subject.unit, stage=stage
        )
        inspection = standing or record_inspection(
            person=person,
            at=at,
            subject=subject,
            stage=stage,
            crate_condition=crate_condition,
            tapped=tapped,
        )
        condition = crate_condition or condition_known(inspection)
        finding = Finding.objects.create(
            inspection=inspection,
            shipment=shipment,
            delivery=inspection.delivery,
            crate=inspection.crate,
            unit=inspection.unit,
            number=next_number(shipment),
            recorded_at=tapped or at,
            recorded_by=person,
            **_told(words),
            **_seen(words, stage, condition),
        )
        lay_parts(finding, words.parts)
        _attach(finding, photos)
        _hold(finding, person=person, at=at)
        count_deadlines(shipment=shipment, at=at, person=person)
        record_event(
            kind="finding.recorded",
            at=at,
            actor=person,
            location=shipment.location,
            subjects=subjects_of(finding, inspection),
            data={
                "number": finding.number,
                "what": what_of(finding),
                "photos": [str(photo.pk) for photo in photos],
                **waited(at=at, tapped=tapped),
            },
        )
        return finding


def change_finding(
    *,
    person: User,
    at: datetime,
    finding: Finding,
    version: int,
    words: FindingWords,
    photos: Sequence[Evidence] = (),
) -> Finding:
    """Change a finding, and add photos to it.

    "Our handling" cannot be changed: only the manager answers it. Raise
    StaleRowError, and RefusedError as ``record_finding`` does.
    """
    with transaction.atomic():
        shipment = _lock(finding.shipment)
        row = Finding.objects.select_related("inspection").get(pk=finding.pk)
        if cause_of(row.cause).stops_claim and words.cause != row.cause:
            raise RefusedError(HANDLING_STANDS)
        _check_photos(shipment, photos)
        inspection = row.inspection
        condition = condition_known(inspection)
        changed = change_row(
            row,
            version=version,
            **_told(words),
            **_seen(words, inspection.stage, condition),
        )
        if lay_parts(row, words.parts):
            changed.append("parts")
        if _attach(row, photos):
            changed.append("photos")
        _hold(row, person=person, at=at)
        count_deadlines(shipment=shipment, at=at, person=person)
        record_event(
            kind="finding.changed",
            at=at,
            actor=person,
            location=shipment.location,
            subjects=subjects_of(row, inspection),
            data={
                "number": row.number,
                "changed": changed_words(changed),
                "photos": [str(photo.pk) for photo in photos],
            },
        )
        return row


def what_of(finding: Finding) -> str:
    """Return a short name of the finding: the part or thing, and the damage."""
    what = finding.part or str(finding.unit or finding.crate or finding.shipment)
    return f"{what}, {finding.get_damage_kind_display()}"


def subjects_of(finding: Finding, *more: Model) -> list[Model]:
    """Return every row whose history the finding belongs to."""
    delivery: Delivery | None = finding.delivery
    about = (delivery, finding.shipment, finding.crate, finding.unit, *more, finding)
    return [row for row in about if row is not None]


def derived_seen(*, stage: str, condition: str, damage_kind: str) -> Seen:
    """Return whether it could have been seen at delivery, with the reason."""
    return could_be_seen(
        stage=stage, crate_condition=condition, damage_kind=damage_kind
    )


def _lock(shipment: Shipment) -> Shipment:
    rows = Shipment.objects.select_for_update(of=("self",))
    return rows.select_related("location").get(pk=shipment.pk)


def _told(words: FindingWords) -> dict[str, object]:
    refusal = why_not_cause(cause=words.cause, damage_kind=words.damage_kind)
    if refusal:
        raise RefusedError(refusal)
    return {
        "part": words.part,
        "faces": ",".join(words.faces),
        "places": in_order(words.places),
        "damage_kind": words.damage_kind,
        "severity": words.severity,
        "pieces": words.pieces,
        "facts": words.facts,
        "cause": words.cause,
        "opinion": words.opinion,
        "is_safety_part": words.is_safety_part
        or safety_part_named(words.part) is not None,
        "repair_minutes": words.repair_minutes,
    }


def _seen(words: FindingWords, stage: str, condition: str) -> dict[str, object]:
    derived = derived_seen(
        stage=stage, condition=condition, damage_kind=words.damage_kind
    )
    answer = (
        derived.could_be_seen if words.could_be_seen is None else words.could_be_seen
    )
    differs = answer != derived.could_be_seen
    if differs and not words.seen_reason:
        raise RefusedError(
            f"{derived.reason} To change this, enter a reason. Nothing was saved."
        )
    return {
        "could_be_seen": answer,
        "could_be_seen_derived": derived.could_be_seen,
        "could_be_seen_reason": words.seen_reason if differs else "",
    }


def _check_photos(shipment: Shipment, photos: Sequence[Evidence]) -> None:
    trucks = set(shipment.handovers.values_list("delivery_id", flat=True))
    for photo in photos:
        on_truck = photo.shipment_id is None and photo.delivery_id in trucks
        if photo.shipment_id != shipment.pk and not on_truck:
            raise RefusedError(
                "A photo belongs to another freight bill. Nothing was saved. Choose "
                "the photos again."
            )


def _attach(finding: Finding, photos: Sequence[Evidence]) -> bool:
    linked = set(finding.photo_links.values_list("evidence_id", flat=True))
    fresh = [photo for photo in photos if photo.pk not in linked]
    for photo in fresh:
        FindingPhoto.objects.create(finding=finding, evidence=photo)
    return bool(fresh)


def _hold(finding: Finding, *, person: User, at: datetime) -> None:
    if cause_of(finding.cause).holds_unit:
        hold_for(finding, reason=REASON, person=person, at=at)
