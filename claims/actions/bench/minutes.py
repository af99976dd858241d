"""Time booked at the bench: setup, or damage of a finding; and taken back."""

from collections.abc import Mapping
from datetime import date, datetime

from django.db import transaction
from django.db.models import Sum

from claims.models import BookedMinutes, Finding
from claims.rules.bench.minutes import WORK, Booked, why_not_booked
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError
from inventory.models import Unit, User
from inventory.rules.reckoning.moments import dock_day


def book_minutes(
    *,
    person: User,
    at: datetime,
    unit: Unit,
    work: str,
    minutes: int,
    finding: Finding | None = None,
    note: str = "",
    done_on: date | None = None,
) -> BookedMinutes:
    """Book time on a machine: setup is our own cost, damage belongs to its finding.

    Minutes below zero take back a mistake. Raise RefusedError where they cannot be
    booked so.
    """
    with transaction.atomic():
        Unit.objects.select_for_update(of=("self",)).get(pk=unit.pk)
        if finding is not None and finding.unit_id != unit.pk:
            raise RefusedError("This finding is on another machine. Nothing was saved.")
        same = BookedMinutes.objects.filter(unit=unit, finding=finding, work=work)
        refusal = why_not_booked(
            Booked(work, minutes, finding.pk if finding else None),
            already=same.aggregate(sum=Sum("minutes"))["sum"] or 0,
        )
        if refusal:
            raise RefusedError(refusal)
        location = unit.shipment.location
        row = BookedMinutes.objects.create(
            unit=unit,
            finding=finding,
            work=work,
            minutes=minutes,
            note=note,
            done_on=done_on or dock_day(at, location.zone),
            booked_at=at,
            booked_by=person,
        )
        _record("minutes.booked", row, person=person, at=at, data={"minutes": minutes})
        return row


def reverse_minutes(
    *, person: User, at: datetime, row: BookedMinutes, reason: str
) -> BookedMinutes:
    """Take back time booked by mistake, whole, by a row of its own; both stay.

    Raise RefusedError without the reason, and for a row that is taken back or takes
    one back.
    """
    with transaction.atomic():
        unit = Unit.objects.select_for_update(of=("self",)).get(pk=row.unit_id)
        if not reason.strip():
            raise RefusedError("Enter the reason. Nothing was saved.")
        is_taken_back = BookedMinutes.objects.filter(reverses=row).exists()
        if is_taken_back or row.minutes < 0:
            raise RefusedError("This time is taken back already. Nothing was changed.")
        back = BookedMinutes.objects.create(
            unit=unit,
            finding=row.finding,
            work=row.work,
            minutes=-row.minutes,
            note=reason,
            reverses=row,
            done_on=row.done_on,
            booked_at=at,
            booked_by=person,
        )
        data = {"minutes": row.minutes, "reason": reason}
        _record("minutes.reversed", back, person=person, at=at, data=data)
        return back


def _record(
    kind: str,
    row: BookedMinutes,
    *,
    person: User,
    at: datetime,
    data: Mapping[str, object],
) -> None:
    unit = row.unit
    more = [row.finding] if row.finding else []
    record_event(
        kind=kind,
        at=at,
        actor=person,
        location=unit.shipment.location,
        subjects=[unit.shipment, unit, *more],
        data={"unit": str(unit), "work": WORK[row.work].lower(), **data},
    )
