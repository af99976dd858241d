"""Undoing what one tap did at the dock, until the record closes.

The event of the act says what was before it. The undoing is an event of its own:
nothing is deleted, and a finding stays on record without a claim.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from claims.actions.receiving.looks import route_finding_nowhere
from claims.models import Finding
from inventory.actions.core.versions import RefusedError, change_row
from inventory.actions.receiving.tailgate import lock_open_bill, lock_open_tailgate
from inventory.actions.receiving.undo import (
    record_undone,
    restore,
    undo_count,
    undo_fact,
)
from inventory.models import Crate, Event, Handover, User

UNDONE = "Undone"
"""The reason on a finding whose inspection was undone."""


def _undo_look(*, person: User, at: datetime, event: Event) -> None:
    """Give a crate the state before its inspection. Raise ClosedBillError."""
    with transaction.atomic():
        row = Crate.objects.select_related("shipment__location").get(
            pk=event.data["crate"]
        )
        bill = Handover.objects.get(delivery=row.delivery_id, shipment=row.shipment_id)
        delivery = lock_open_bill(bill.pk).delivery
        row.refresh_from_db(fields=["version"])
        restore(row, event.data["before"], version=event.data["version"])
        for finding in Finding.objects.filter(pk__in=event.data["made"]):
            route_finding_nowhere(finding, UNDONE, person=person, at=at)
        for finding in Finding.objects.filter(pk__in=event.data["turned"]):
            change_row(finding, version=finding.version, route="", route_reason="")
        about = [row.shipment, row]
        record_undone(event, person=person, at=at, delivery=delivery, about=about)


def _undo_clear(*, person: User, at: datetime, event: Event) -> None:
    """Set back the crates that nobody touched since. Raise ClosedTailgateError."""
    with transaction.atomic():
        delivery = lock_open_tailgate(event.data["delivery"])
        versions = dict(zip(event.data["crates"], event.data["versions"], strict=True))
        still_open = delivery.handovers.filter(signed_at=None).values("shipment")
        rows = [
            row
            for row in Crate.objects.filter(pk__in=versions, shipment__in=still_open)
            .select_related("shipment")
            .order_by("shipment", "number")
            if row.version == versions[row.pk]
        ]
        if not rows:
            raise RefusedError(
                "This was undone already, or the crates were inspected after that. "
                "Nothing was changed. Inspect a crate again instead."
            )
        for row in rows:
            change_row(row, version=row.version, look="")
        about = [*dict.fromkeys(row.shipment for row in rows), *rows]
        record_undone(event, person=person, at=at, delivery=delivery, about=about)


@dataclass(frozen=True)
class Undoable:
    """A kind of event that can be undone: who may, and how."""

    permission: str
    undo: Callable[..., None]


UNDOABLE = {
    "handover.counted": Undoable("log-delivery", undo_count),
    "handover.unseen": Undoable("look", undo_count),
    "delivery.fact": Undoable("log-delivery", undo_fact),
    "crate.looked": Undoable("look", _undo_look),
    "crates.cleared": Undoable("look", _undo_clear),
}
"""What the message of an act offers to undo."""
