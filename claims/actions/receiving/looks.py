"""Inspecting crates at delivery, while the driver waits."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from claims.actions.bench.words import next_number
from claims.models import Finding, FindingPhoto, Inspection
from claims.rules.receiving.advice import may_refuse, names_battery
from claims.rules.receiving.receipt_words import Damage, damage_in_words, plain_facts
from inventory.actions.core.events import record_event, waited
from inventory.actions.core.versions import RefusedError, change_row
from inventory.actions.receiving.listed_crates import first_state
from inventory.actions.receiving.tailgate import lock_open_bill
from inventory.actions.receiving.undo import before
from inventory.models import Crate, Delivery, Evidence, Handover, Shipment, User
from inventory.rules.core.vocabulary import LOOKS, REFUSAL_REASONS
from inventory.rules.reckoning.moments import dock_day

CONDITION = {"clear": "sound", "exception": "marked", "refused": "marked"}
LOOKED = ("look", "refused_for", "disposition", "deposit_cents", "state")
"""The columns of a crate that an inspection sets."""


@dataclass(frozen=True)
class Look:
    """The clerk's inspection of one crate. ``damage`` is None for no visible damage.

    ``no_photo_reason`` is given where no photo was taken; ``reason`` says why a crate
    with an exception has no visible damage.
    """

    look: str
    damage: Damage | None = None
    refused_for: str = ""
    no_photo_reason: str = ""
    reason: str = ""


def look_at_crate(
    *,
    person: User,
    at: datetime,
    crate: Crate,
    version: int,
    look: Look,
    photos: Sequence[Evidence] = (),
    tapped: datetime | None = None,
) -> Inspection:
    """Record a crate's inspection; an exception or a refusal makes a finding as well.

    ``photos`` were saved before. It is dated by the tap, which may have waited on a
    phone: ``tapped``, else ``at``. Raise ClosedBillError, StaleRowError, and
    RefusedError where the refusal has no ground or a photo is of another crate.
    """
    with transaction.atomic():
        delivery = lock_open_bill(_handover_id(crate)).delivery
        shipment = Shipment.objects.select_for_update(of=("self",)).get(
            pk=crate.shipment_id
        )
        row = Crate.objects.select_related("shipment__supplier").get(pk=crate.pk)
        _check(row, look, photos)
        was = before(row, *LOOKED)
        turned = _turn_to_nothing(row, look, person, at) if look.look == "clear" else []
        change_row(row, version=version, **_crate_changes(row, look))
        note = f"No photo: {look.no_photo_reason}" if look.no_photo_reason else ""
        moment = tapped or at
        inspection = inspect_crate(
            delivery, row, look.look, note, person=person, at=moment
        )
        findings = [_find(inspection, shipment, look.damage)] if look.damage else []
        for finding in findings:
            _attach(finding, photos)
        _record(
            inspection,
            row,
            look,
            findings=[*turned, *findings],
            delivery=delivery,
            at=at,
            undo={
                "crate": row.pk,
                "before": was,
                "version": row.version,
                "made": [finding.pk for finding in findings],
                "turned": [finding.pk for finding in turned],
            },
        )
    return inspection


def _handover_id(crate: Crate) -> int:
    rows = Handover.objects.filter(
        delivery=crate.delivery_id, shipment=crate.shipment_id
    )
    found = rows.values_list("pk", flat=True).first()
    if found is None:
        raise RefusedError("This crate is not on any truck yet. Nothing was saved.")
    return found


def _check(crate: Crate, look: Look, photos: Sequence[Evidence]) -> None:
    if any(photo.crate_id != crate.pk for photo in photos):
        raise RefusedError(
            "A photo is of another crate. The inspection was not saved. Choose the "
            "photo again."
        )
    if look.look != "refused":
        return
    supplier = crate.shipment.supplier
    against = may_refuse(
        reason=look.refused_for,
        damage_kinds=[look.damage.kind] if look.damage else [],
        standing_order=supplier.standing_order if supplier else "none",
        has_battery=names_battery(
            [
                crate.mark,
                look.damage.note if look.damage else "",
                *crate.units.values_list("model", flat=True),
            ]
        ),
    )
    if against:
        raise RefusedError(f"{against} The inspection was not saved.")


def _crate_changes(crate: Crate, look: Look) -> dict[str, object]:
    if look.look == "refused":
        return {
            "look": "refused",
            "refused_for": look.refused_for,
            "deposit_cents": None,
            "state": "",
        }
    return {
        "look": look.look,
        "refused_for": "",
        "disposition": "",
        "state": crate.state or first_state(crate.kind),
    }


def inspect_crate(
    delivery: Delivery,
    crate: Crate,
    look: str,
    note: str,
    *,
    person: User,
    at: datetime,
) -> Inspection:
    """Write the inspection of one crate at delivery; the caller records the event."""
    return Inspection.objects.create(
        shipment_id=crate.shipment_id,
        delivery=delivery,
        crate=crate,
        stage="tailgate",
        crate_condition=CONDITION[look],
        note=note,
        looked_at=at,
        looked_on=dock_day(at, delivery.location.zone),
        looked_by=person,
    )


def _find(inspection: Inspection, shipment: Shipment, damage: Damage) -> Finding:
    is_sign_only = damage.kind == "indicator"
    return Finding.objects.create(
        inspection=inspection,
        shipment=shipment,
        delivery=inspection.delivery,
        crate=inspection.crate,
        number=next_number(shipment),
        faces=",".join(damage.faces),
        damage_kind=damage.kind,
        severity=damage.severity,
        facts=damage.note or plain_facts(damage),
        could_be_seen=True,
        could_be_seen_derived=True,
        cause="unknown" if is_sign_only else "transit",
        recorded_at=inspection.looked_at,
        recorded_by=inspection.looked_by,
    )


def _attach(finding: Finding, photos: Sequence[Evidence]) -> None:
    for photo in photos:
        FindingPhoto.objects.create(finding=finding, evidence=photo)


def _turn_to_nothing(
    crate: Crate, look: Look, person: User, at: datetime
) -> list[Finding]:
    """Set the crate's findings to no damage, no claim; they stay on record."""
    standing = list(
        crate.findings.filter(inspection__stage="tailgate").exclude(route="nowhere")
    )
    if standing and not look.reason:
        raise RefusedError(
            f"Crate {crate.number} has an exception. Enter why it has no visible "
            "damage. Nothing was saved."
        )
    for finding in standing:
        route_finding_nowhere(finding, look.reason, person=person, at=at)
    return standing


def route_finding_nowhere(
    finding: Finding, reason: str, *, person: User, at: datetime
) -> None:
    """Set one finding to no damage, no claim, with the reason."""
    change_row(finding, version=finding.version, route="nowhere", route_reason=reason)
    record_event(
        kind="finding.routed",
        at=at,
        actor=person,
        location=finding.shipment.location,
        subjects=[one for one in (finding.shipment, finding.crate, finding) if one],
        data={"number": finding.number, "route": "nowhere", "reason": reason},
    )


def _record(
    inspection: Inspection,
    crate: Crate,
    look: Look,
    *,
    findings: Sequence[Finding],
    delivery: Delivery,
    at: datetime,
    undo: dict[str, object],
) -> None:
    words = LOOKS[look.look].lower()
    if look.refused_for:
        words += f", {REFUSAL_REASONS[look.refused_for].lower()}"
    if look.damage:
        words += f". {damage_in_words(look.damage).capitalize()}"
    record_event(
        kind="crate.looked",
        at=at,
        actor=inspection.looked_by,
        location=delivery.location,
        subjects=[delivery, crate.shipment, crate, inspection, *findings],
        data={
            "number": crate.number,
            "look": words,
            "no_photo_reason": look.no_photo_reason,
            "findings": [finding.number for finding in findings],
            **waited(at=at, tapped=inspection.looked_at),
            **undo,
        },
    )
