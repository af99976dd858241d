"""What the carrier answered about a crate that is over."""

from datetime import date, datetime

from django.db import transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError
from inventory.models import Crate, User
from inventory.rules.core.vocabulary import OVER_ANSWERS


def record_over_answer(
    *, person: User, at: datetime, crate: Crate, answer: str, on: date, note: str
) -> Crate:
    """Record the carrier's answer in the history; the crate itself does not change.

    Raise RefusedError for a crate that is not over.
    """
    with transaction.atomic():
        rows = Crate.objects.select_for_update(of=("self",))
        row = rows.select_related("shipment__location", "delivery").get(pk=crate.pk)
        if not row.is_over:
            raise RefusedError(f"{row} is not over. Nothing was saved.")
        about = [row.delivery] if row.delivery else []
        record_event(
            kind="crate.over-answered",
            at=at,
            actor=person,
            location=row.shipment.location,
            subjects=[*about, row.shipment, row],
            data={
                "number": row.number,
                "answer": OVER_ANSWERS[answer].lower(),
                "on": on.isoformat(),
                "note": note,
            },
        )
    return row
