"""What may be added to a delivery receipt once its record is closed."""

from datetime import datetime

from django.db import transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row
from inventory.actions.receiving.tailgate import lock_delivery
from inventory.models import (
    Crate,
    Delivery,
    Evidence,
    Handover,
    ReceiptNote,
    Shipment,
    User,
)
from inventory.models.deliveries import CLOSED
from inventory.rules.core.text import mid_sentence
from inventory.rules.core.vocabulary import CARRIER_IMAGE, DISPOSITIONS


def note_receipt(
    *, person: User, at: datetime, delivery: Delivery, text: str
) -> ReceiptNote:
    """Add a note to the truck's receipts. Raise RefusedError while all are open."""
    with transaction.atomic():
        locked = lock_delivery(delivery.pk)
        closed = Handover.objects.filter(CLOSED, delivery=locked)
        if not (locked.is_signed or closed.exists()):
            raise RefusedError(
                "No receipt of this truck is closed, so it cannot have a note. Nothing "
                "was saved. Correct the delivery record itself."
            )
        note = ReceiptNote.objects.create(
            delivery=locked, text=text, recorded_at=at, recorded_by=person
        )
        record_event(
            kind="receipt.noted",
            at=at,
            actor=person,
            location=locked.location,
            subjects=[locked, *_bills_on(locked)],
            data={"text": text},
        )
    return note


def _bills_on(truck: Delivery) -> list[Shipment]:
    """Return the bills of the truck, without those that were taken off it."""
    rows = Shipment.objects.filter(pk__in=truck.handovers.values("shipment"))
    return list(rows.order_by("pk"))


def compare_image(
    *,
    person: User,
    at: datetime,
    handover: Handover,
    version: int,
    result: str,
    image: Evidence | None = None,
) -> None:
    """Record whether our exceptions are on the carrier's POD.

    ``result`` is matches or words-missing. Raise StaleRowError, and RefusedError
    before the signature, or where no POD is saved for this bill.
    """
    with transaction.atomic():
        delivery = lock_delivery(handover.delivery_id)
        rows = Handover.objects.select_related("shipment", "delivery")
        row = rows.get(pk=handover.pk)
        if not row.is_closed:
            raise RefusedError(
                "The receipt is not signed, so there is no POD to compare. Nothing "
                "was saved."
            )
        kept = Evidence.objects.filter(shipment=row.shipment, kind="carrier-image")
        if image is None and not kept.exists():
            raise RefusedError(
                "No POD is saved for this bill. Nothing was saved. Choose the POD "
                "file and save again."
            )
        change_row(
            row, version=version, carrier_image=result, carrier_image_checked_at=at
        )
        record_event(
            kind="receipt.image-compared",
            at=at,
            actor=person,
            location=delivery.location,
            subjects=[delivery, row.shipment, *([image] if image else [])],
            data={
                "pro": row.shipment.pro_number,
                "result": mid_sentence(CARRIER_IMAGE[result]),
            },
        )


def record_disposition(
    *, person: User, at: datetime, crate: Crate, version: int, disposition: str
) -> None:
    """Record what happens to a refused crate. Raise RefusedError for any other."""
    with transaction.atomic():
        row = Crate.objects.select_related("shipment__location", "delivery").get(
            pk=crate.pk
        )
        if row.look != "refused":
            raise RefusedError(
                f"Crate {row.number} was not refused. Nothing was saved."
            )
        change_row(row, version=version, disposition=disposition)
        record_event(
            kind="crate.disposition",
            at=at,
            actor=person,
            location=row.shipment.location,
            subjects=[
                *([row.delivery] if row.delivery else []),
                row.shipment,
                row,
            ],
            data={
                "number": row.number,
                "disposition": DISPOSITIONS[disposition].lower(),
            },
        )
