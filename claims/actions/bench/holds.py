"""Placing and releasing a machine's setup hold."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from claims.models import Finding, FindingPhoto
from claims.queries.core.test_trucks import is_test_bill
from claims.rules.bench import holds as rules
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError
from inventory.actions.crates.packaging import (
    has_proof,
    hold_packaging,
    release_packaging,
)
from inventory.models import Crate, Evidence, Hold, PackagingHold, Unit, User
from inventory.rules.core.vocabulary import HOLD_RELEASES


def place_hold(*, unit: Unit, reason: str, person: User, at: datetime) -> Hold:
    """Put the setup of this machine on hold; return the hold in force.

    Repeatable: where one is already in force nothing is written.
    """
    with transaction.atomic():
        Unit.objects.select_for_update().get(pk=unit.pk)
        standing = Hold.objects.filter(unit=unit, released_at=None).first()
        if standing:
            return standing
        hold = Hold.objects.create(
            unit=unit, reason=reason, placed_at=at, placed_by=person
        )
        record_event(
            kind="hold.placed",
            at=at,
            actor=person,
            location=unit.shipment.location,
            subjects=[unit.shipment, unit, hold],
            data={"unit": str(unit), "reason": reason},
        )
        return hold


def hold_for(finding: Finding, *, reason: str, person: User, at: datetime) -> None:
    """Hold the machines a finding concerns, and their packaging.

    Nothing of a test truck is held: no carrier comes to inspect it.
    """
    if is_test_bill(finding.shipment_id):
        return
    for unit in units_concerned(finding):
        place_hold(unit=unit, reason=reason, person=person, at=at)
    for crate in crates_concerned(finding):
        hold_packaging(crate=crate, person=person, at=at)


def release_hold(
    *,
    hold: Hold,
    how: str,
    reason: str,
    person: User,
    at: datetime,
    evidence: Sequence[Evidence] = (),
) -> Hold:
    """Release a hold: inspected, waived in writing, or by the manager.

    ``evidence`` was saved for this release. Raise RefusedError where it is
    already released or where the required proof is missing.
    """
    with transaction.atomic():
        row = Hold.objects.select_for_update().get(pk=hold.pk)
        unit = Unit.objects.select_related("shipment__location").get(pk=row.unit_id)
        if row.released_at is not None:
            raise RefusedError(
                "Someone already released this hold. Nothing was changed."
            )
        verdict = rules.may_release(
            how=how,
            reason=reason,
            has_waiver=_has_waiver(unit, evidence),
            photos=_photo_count(unit, evidence),
        )
        if not verdict.allowed:
            raise RefusedError(verdict.reason)
        row.released_at = at
        row.released_by = person
        row.released_how = how
        row.release_reason = reason
        row.save()
        record_event(
            kind="hold.released",
            at=at,
            actor=person,
            location=unit.shipment.location,
            subjects=[unit.shipment, unit, row],
            data={
                "unit": str(unit),
                "how": HOLD_RELEASES[how].lower(),
                "reason": reason,
                "evidence": [str(one.pk) for one in evidence],
            },
        )
        _let_packaging_go(row, unit, person=person, at=at, evidence=evidence)
        return row


def _let_packaging_go(
    hold: Hold,
    unit: Unit,
    *,
    person: User,
    at: datetime,
    evidence: Sequence[Evidence],
) -> None:
    """Release the packaging hold too, where the carrier's document is saved for it.

    Not while another machine of the same crate is still on hold, and never on the
    manager's own decision: the packaging needs photos of its own.
    """
    standing = PackagingHold.objects.filter(
        crate=unit.crate_id, crate__isnull=False, released_at=None
    )
    packaging = standing.select_related("crate").first()
    if packaging is None or hold.released_how == "manager":
        return
    others = Hold.objects.filter(unit__crate=packaging.crate, released_at=None)
    if others.exists() or not has_proof(packaging.crate, hold.released_how, evidence):
        return
    release_packaging(
        person=person,
        at=at,
        hold=packaging,
        version=packaging.version,
        how=hold.released_how,
        reason=hold.release_reason,
        evidence=evidence,
    )


def units_concerned(finding: Finding) -> list[Unit]:
    """Return the machines a finding concerns: its own, or all of its crate's."""
    rows = Unit.objects.select_related("shipment__location").order_by("pk")
    if finding.unit_id is not None:
        return list(rows.filter(pk=finding.unit_id))
    if finding.crate_id is not None:
        return list(rows.filter(crate_id=finding.crate_id))
    return []


def crates_concerned(finding: Finding) -> list[Crate]:
    """Return the crates a finding concerns: its own, and that of its machine."""
    keys = {finding.crate_id, *(unit.crate_id for unit in units_concerned(finding))}
    rows = Crate.objects.select_related("shipment__location")
    return list(rows.filter(pk__in=[key for key in keys if key]).order_by("pk"))


def _has_waiver(unit: Unit, evidence: Sequence[Evidence]) -> bool:
    """Return whether a waiver is saved for this machine, its crate or its whole bill."""
    if any(one.kind == rules.WAIVER_KIND for one in evidence):
        return True
    kept = Evidence.objects.filter(shipment=unit.shipment, kind=rules.WAIVER_KIND)
    return any(
        one.unit_id in {None, unit.pk} and one.crate_id in {None, unit.crate_id}
        for one in kept
    )


def _photo_count(unit: Unit, evidence: Sequence[Evidence]) -> int:
    given = sum(one.original.media_type.startswith("image/") for one in evidence)
    linked = FindingPhoto.objects.filter(finding__unit=unit)
    return given + linked.filter(evidence__in=Evidence.objects.all()).count()
