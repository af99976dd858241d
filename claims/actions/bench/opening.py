"""Opening a crate: the moment after which damage is no longer hidden."""

from datetime import datetime

from django.db import transaction

from inventory.actions.core.events import record_event, waited
from inventory.actions.core.versions import RefusedError, change_row
from inventory.models import Crate, Handover, User
from inventory.rules.reckoning.moments import dock_day


def open_crate(
    *, person: User, at: datetime, crate: Crate, tapped: datetime | None = None
) -> Crate:
    """Record that this crate was opened: as it was tapped, else at this moment.

    Raise RefusedError before the receipt is signed, for a refused crate, and for
    one that is already open.
    """
    with transaction.atomic():
        row = (
            Crate.objects.select_for_update(of=("self",))
            .select_related("shipment__location", "delivery")
            .get(pk=crate.pk)
        )
        refusal = why_not_open(row)
        if refusal:
            raise RefusedError(refusal)
        location = row.shipment.location
        change_row(
            row,
            version=row.version,
            opened_at=tapped or at,
            opened_on=dock_day(tapped or at, location.zone),
        )
        subjects = [row.delivery] if row.delivery else []
        record_event(
            kind="crate.opened",
            at=at,
            actor=person,
            location=location,
            subjects=[*subjects, row.shipment, row],
            data={
                "number": row.number,
                "mark": row.mark,
                "on": str(row.opened_on),
                **waited(at=at, tapped=tapped),
            },
        )
        return row


def why_not_open(crate: Crate) -> str:
    """Return the reason why this crate may not be opened now, or ""."""
    if crate.opened_at is not None:
        return f"{crate} is already open. Nothing was changed."
    if crate.look == "refused":
        return f"{crate} was refused, so it is not ours to open. Nothing was changed."
    if crate.is_over:
        return (
            f"{crate} is over: it is held for the carrier and is not ours to open. "
            "Nothing was changed."
        )
    if not Handover.is_closed_for(crate):
        return (
            f"{crate} cannot be opened until the receipt is signed: what you find "
            "before that belongs on the receipt. Nothing was changed."
        )
    return ""
