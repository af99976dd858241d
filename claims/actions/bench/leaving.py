"""A machine leaves the house, or is back."""

from collections.abc import Mapping
from datetime import date, datetime

from django.db import transaction

from claims.actions.bench.sign_offs import release_unsigned
from claims.models import Departure
from claims.queries.bench.departures import departure_of, leaving_of
from claims.rules.bench.leaving import BACK, LEAVES, why_not_leave
from inventory.access import may
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError
from inventory.models import Unit, User
from inventory.rules.core.text import mid_sentence
from inventory.rules.reckoning.moments import dock_day


def leave(
    *,
    person: User,
    at: datetime,
    unit: Unit,
    way: str,
    to: str,
    left_on: date,
    checks: Mapping[str, str] | None = None,
    note: str = "",
    reason: str = "",
) -> Departure:
    """Record that a machine left: sold, transferred, or returned to the supplier.

    ``reason`` is the manager's for one that is not released: it is released by it. Raise
    RefusedError for one that has left, is on hold, is not released, or stood and was not
    checked again.
    """
    with transaction.atomic():
        Unit.objects.select_for_update(of=("self",)).get(pk=unit.pk)
        if departure_of(unit):
            raise RefusedError(f"{unit} has left already. Nothing was changed.")
        leaving = leaving_of(unit)
        is_by_manager = may(person, unit.shipment.location_id, "decide")
        if reason and is_by_manager and not (leaving.release or leaving.hold_reason):
            release_unsigned(person=person, at=at, unit=unit, reason=reason)
            leaving = leaving_of(unit)
        found = dict(checks or {})
        reasons = why_not_leave(leaving.facts(way=way, left_on=left_on, checks=found))
        if reasons:
            raise RefusedError(" ".join(reasons))
        return _record(
            Departure(
                unit=unit,
                way=way,
                to=to,
                release=leaving.release,
                checks=found,
                note=note,
                moved_on=left_on,
            ),
            "machine.left",
            {"way": mid_sentence(LEAVES[way]), "to": to, "on": left_on.isoformat()},
            person=person,
            at=at,
        )


def take_back(*, person: User, at: datetime, unit: Unit, reason: str) -> Departure:
    """Record that a machine that left is back, or never left. Raise RefusedError."""
    with transaction.atomic():
        Unit.objects.select_for_update(of=("self",)).get(pk=unit.pk)
        if departure_of(unit) is None:
            raise RefusedError(f"{unit} is here. Nothing was changed.")
        today = dock_day(at, unit.shipment.location.zone)
        row = Departure(unit=unit, way=BACK, note=reason, moved_on=today)
        return _record(row, "machine.back", {"reason": reason}, person=person, at=at)


def _record(
    row: Departure, kind: str, data: Mapping[str, object], *, person: User, at: datetime
) -> Departure:
    row.recorded_at, row.recorded_by = at, person
    row.save()
    unit = row.unit
    record_event(
        kind=kind,
        at=at,
        actor=person,
        location=unit.shipment.location,
        subjects=[unit.shipment, unit],
        data={"unit": str(unit), **data},
    )
    return row
