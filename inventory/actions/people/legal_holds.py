"""Placing a legal hold and lifting it."""

from datetime import datetime

from django.db import transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError
from inventory.models import LegalHold, User


def place_hold(*, person: User, at: datetime, matter: str, reason: str) -> LegalHold:
    """Let nothing of the house be ended until this hold is lifted."""
    with transaction.atomic():
        row = LegalHold(matter=matter, reason=reason, placed_at=at, placed_by=person)
        row.save(force_insert=True)
        _record("legal-hold.placed", row, person=person, at=at, reason=reason)
    return row


def lift_hold(*, person: User, at: datetime, hold: LegalHold, reason: str) -> None:
    """End a hold. Raise RefusedError where it was lifted meanwhile."""
    with transaction.atomic():
        row = LegalHold.objects.select_for_update(of=("self",)).get(pk=hold.pk)
        if row.lifted_at:
            raise RefusedError("This hold was lifted already. Nothing was changed.")
        row.lifted_at, row.lifted_by, row.lifted_because = at, person, reason
        row.save(update_fields=["lifted_at", "lifted_by", "lifted_because"])
        _record("legal-hold.lifted", row, person=person, at=at, reason=reason)


def _record(
    kind: str, row: LegalHold, *, person: User, at: datetime, reason: str
) -> None:
    record_event(
        kind=kind,
        at=at,
        actor=person,
        location=None,
        subjects=[row],
        data={"matter": row.matter, "reason": reason},
    )
