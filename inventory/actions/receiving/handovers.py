"""Counting what one truck delivered of one freight bill."""

from datetime import datetime

from django.db import transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import change_row
from inventory.actions.receiving.shipments import counted_in_words
from inventory.actions.receiving.tailgate import lock_open_tailgate
from inventory.models import Handover, User


def count_handover(
    *,
    person: User,
    at: datetime,
    handover: Handover,
    version: int,
    pieces_counted: int | None,
    rest_to_follow: bool,
) -> None:
    """Record this truck's count, refused pieces included.

    Raise ClosedTailgateError and StaleRowError.
    """
    with transaction.atomic():
        delivery = lock_open_tailgate(handover.delivery_id)
        row = Handover.objects.select_related("shipment").get(pk=handover.pk)
        changed = change_row(
            row,
            version=version,
            pieces_counted=pieces_counted,
            rest_to_follow=rest_to_follow,
        )
        record_event(
            kind="handover.counted",
            at=at,
            actor=person,
            location=delivery.location,
            subjects=[delivery, row.shipment],
            data={
                "pro": row.shipment.pro_number,
                "counted": counted_in_words(pieces_counted, row.shipment.piece_unit),
                "changed": changed,
            },
        )
