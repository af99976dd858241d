"""Undoing an act from its message: its event says what the row was before."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.db.models import Model

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row
from inventory.actions.receiving.tailgate import lock_open_bill, lock_open_tailgate
from inventory.models import Delivery, Event, User
from inventory.models.versions import Versioned
from inventory.queries.core.history import sentence_of


def before(row: Versioned, *names: str) -> dict[str, object]:
    """Return these columns as an event's data keeps them, to be given back later."""
    values = {name: getattr(row, name) for name in names}
    return {
        name: value.isoformat() if isinstance(value, datetime) else value
        for name, value in values.items()
    }


def restore(row: Versioned, values: dict[str, object], *, version: int) -> None:
    """Give the row these columns back. Raise RefusedError where it changed since."""
    if row.version != version:
        raise RefusedError(
            "This was undone already, or somebody changed it after that. Nothing was "
            "changed. Open it and correct it there."
        )
    read = {
        name: row._meta.get_field(name).to_python(value)  # type: ignore[union-attr]
        for name, value in values.items()
    }
    change_row(row, version=version, **read)


def undo_count(*, person: User, at: datetime, event: Event) -> None:
    """Undo what was recorded of one bill on one truck. Raise ClosedBillError."""
    with transaction.atomic():
        row = lock_open_bill(event.data["handover"])
        restore(row, event.data["before"], version=event.data["version"])
        record_undone(
            event, person=person, at=at, delivery=row.delivery, about=[row.shipment]
        )


def undo_fact(*, person: User, at: datetime, event: Event) -> None:
    """Undo one fact of a truck. Raise ClosedTailgateError."""
    with transaction.atomic():
        row = lock_open_tailgate(event.data["delivery"])
        restore(row, event.data["before"], version=event.data["version"])
        record_undone(event, person=person, at=at, delivery=row, about=[])


def record_undone(
    event: Event,
    *,
    person: User,
    at: datetime,
    delivery: Delivery,
    about: Sequence[Model],
) -> None:
    """Record that an act was undone, in the words of the act."""
    record_event(
        kind="act.undone",
        at=at,
        actor=person,
        location=delivery.location,
        subjects=[delivery, *about],
        data={
            "what": sentence_of(event, delivery.location.zone),
            "event": event.sequence,
        },
    )
