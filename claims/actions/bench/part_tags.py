"""The tags of replaced parts: made, answered by the carrier, and scrapped."""

from collections.abc import Mapping
from datetime import date, datetime

from django.db import transaction
from django.db.models import Max

from claims.models import Finding, PartTag
from claims.queries.bench.part_tags import tags_joined, verdict_on
from claims.rules.bench.holds import WAIVER_KIND
from claims.rules.bench.part_tags import TAG_ENDS
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row
from inventory.models import Evidence, Location, User
from inventory.rules.reckoning.moments import dock_day


def tag_part(
    *, person: User, at: datetime, finding: Finding, part: str, shelf: str
) -> PartTag:
    """Tag a replaced part of a machine, to be kept for the carrier.

    Raise RefusedError without the part, its shelf, or a machine.
    """
    with transaction.atomic():
        if not part.strip() or not shelf.strip() or finding.unit is None:
            raise RefusedError(
                "Enter the part and the shelf of a part from a machine. Nothing was "
                "saved."
            )
        location = Location.objects.select_for_update().get(
            pk=finding.shipment.location_id
        )
        last = PartTag.objects.filter(location=location).aggregate(n=Max("number"))["n"]
        row = PartTag.objects.create(
            location=location,
            number=(last or 0) + 1,
            unit=finding.unit,
            finding=finding,
            part=part,
            shelf=shelf,
            tagged_at=at,
            tagged_on=dock_day(at, location.zone),
            tagged_by=person,
        )
        _record("part.tagged", row, person=person, at=at, data={"shelf": shelf})
        return row


def waive_part(
    *, person: User, at: datetime, tag: PartTag, version: int, waiver: Evidence
) -> PartTag:
    """Record the carrier's written waiver of a tagged part.

    Raise StaleRowError, and RefusedError for a document that is no waiver of this
    freight bill.
    """
    with transaction.atomic():
        row = _locked(tag)
        _refuse_gone(row)
        is_ours = waiver.shipment_id == row.finding.shipment_id
        if waiver.kind != WAIVER_KIND or not is_ours:
            raise RefusedError(
                "That is not the carrier's written waiver for this freight bill. "
                "Nothing was saved. Add the waiver as a photo or PDF."
            )
        change_row(row, version=version, waiver=waiver)
        _record("part.waived", row, person=person, at=at, data={})
        return row


def collect_part(
    *, person: User, at: datetime, tag: PartTag, version: int, on: date, who: str
) -> PartTag:
    """Record that the carrier collected a tagged part.

    Raise StaleRowError, and RefusedError where it is gone already or nobody is named.
    """
    with transaction.atomic():
        row = _locked(tag)
        _refuse_gone(row)
        if not who.strip():
            raise RefusedError("Enter who collected it. Nothing was saved.")
        change_row(row, version=version, collected_on=on, collected_by=who)
        data = {"who": who, "on": on.isoformat()}
        _record("part.collected", row, person=person, at=at, data=data)
        return row


def scrap_part(*, person: User, at: datetime, tag: PartTag, version: int) -> PartTag:
    """Scrap a tagged part, once nobody can ask for it any more.

    Raise StaleRowError, and RefusedError with the reason while it must be kept.
    """
    with transaction.atomic():
        row = _locked(tag)
        verdict = verdict_on(row)
        if not verdict.allowed:
            raise RefusedError(verdict.reason)
        change_row(row, version=version, scrapped_at=at, scrapped_by=person)
        why = TAG_ENDS[verdict.ended_by].lower()
        _record("part.scrapped", row, person=person, at=at, data={"why": why})
        return row


def _locked(tag: PartTag) -> PartTag:
    return tags_joined().select_for_update(of=("self",)).get(pk=tag.pk)


def _refuse_gone(row: PartTag) -> None:
    if row.collected_on is not None or row.scrapped_at is not None:
        raise RefusedError(f"{row} is not here any more. Nothing was changed.")


def _record(
    kind: str, row: PartTag, *, person: User, at: datetime, data: Mapping[str, object]
) -> None:
    record_event(
        kind=kind,
        at=at,
        actor=person,
        location=row.location,
        subjects=[row.unit.shipment, row.unit, row.finding, row],
        data={"tag": str(row), **data},
    )
