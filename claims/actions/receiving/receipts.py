"""Signing a delivery receipt, which closes the delivery record, and what follows."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from claims.actions.bench.holds import hold_for
from claims.actions.core.deadlines import count_deadlines
from claims.actions.receiving.shortages import settle_shortage
from claims.models import Finding
from claims.queries.receiving.receipts import BillAtTailgate, bills_at_tailgate
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row
from inventory.actions.receiving.tailgate import lock_delivery, lock_open_tailgate
from inventory.models import (
    Crate,
    Delivery,
    Evidence,
    Handover,
    ReceiptNote,
    Shipment,
    User,
)
from inventory.rules.core.text import mid_sentence
from inventory.rules.core.vocabulary import (
    CARRIER_IMAGE,
    DISPOSITIONS,
    HOW_SIGNED,
    WORDS_STAND_ON,
)

_HOLD_REASON = "Damage was written on the delivery receipt. The carrier may inspect."


@dataclass(frozen=True)
class Signature:
    """How the receipt was signed: vocabulary keys, and the driver's name."""

    how_signed: str
    driver_signed_name: str = ""
    words_stand_on: str = ""
    no_photo_reason: str = ""


def sign_receipt(
    *,
    person: User,
    at: datetime,
    delivery: Delivery,
    version: int,
    signature: Signature,
) -> Delivery:
    """Close the delivery record: freeze each bill's exceptions, counts and deadlines.

    Raise ClosedTailgateError, StaleRowError, and RefusedError for a truck without
    a freight bill. Adds nothing that is missing: a receipt may be signed with
    crates not inspected, and then its text says so.
    """
    with transaction.atomic():
        locked = lock_open_tailgate(delivery.pk)
        bills = bills_at_tailgate(locked, ending=signature.how_signed)
        if not bills:
            raise RefusedError(
                "This truck has no freight bill. Nothing was signed. Add the bill "
                "by its PRO number first."
            )
        change_row(
            locked,
            version=version,
            how_signed=signature.how_signed,
            driver_signed_name=signature.driver_signed_name,
            words_stand_on=signature.words_stand_on,
            no_photo_reason=signature.no_photo_reason,
            signed_at=at,
            signed_by_id=person.pk,
        )
        for bill in bills:
            _freeze(bill)
        _stop_set_up(locked, person=person, at=at)
        shipments = [bill.handover.shipment for bill in bills]
        for shipment in _locked(shipments):
            settle_shortage(shipment=shipment, at=at, person=person)
            count_deadlines(shipment=shipment, at=at, person=person)
        record_event(
            kind="receipt.signed",
            at=at,
            actor=person,
            location=locked.location,
            subjects=[locked, *shipments],
            data=_told(signature, bills),
        )
    return locked


def _locked(shipments: list[Shipment]) -> list[Shipment]:
    rows = Shipment.objects.select_for_update(of=("self",)).filter(
        pk__in=[row.pk for row in shipments]
    )
    return list(rows.select_related("location", "carrier", "supplier").order_by("pk"))


def _freeze(bill: BillAtTailgate) -> None:
    change_row(
        bill.handover,
        version=bill.handover.version,
        words_full=bill.words.full,
        words_short=bill.words.short,
    )


def _stop_set_up(delivery: Delivery, *, person: User, at: datetime) -> None:
    """Hold every crate with transit damage written, and the machines in it."""
    findings = (
        Finding.objects.filter(delivery=delivery, cause="transit", crate__isnull=False)
        .exclude(route="nowhere")
        .exclude(crate__look="refused")
        .select_related("crate")
        .order_by("pk")
    )
    for finding in findings:
        hold_for(finding, reason=_HOLD_REASON, person=person, at=at)


def _told(signature: Signature, bills: list[BillAtTailgate]) -> dict[str, object]:
    how = HOW_SIGNED[signature.how_signed].lower()
    if signature.driver_signed_name:
        how += f", by {signature.driver_signed_name}"
    stand_on = WORDS_STAND_ON.get(signature.words_stand_on, "")
    return {
        "how": how,
        "words_stand_on": stand_on,
        "no_photo_reason": signature.no_photo_reason,
        "words": {bill.handover.shipment.pro_number: bill.words.full for bill in bills},
        "counted": {
            bill.handover.shipment.pro_number: bill.handover.pieces_counted
            for bill in bills
        },
    }


def note_receipt(
    *, person: User, at: datetime, delivery: Delivery, text: str
) -> ReceiptNote:
    """Add a note to a signed receipt. Raise RefusedError before the signature."""
    with transaction.atomic():
        locked = lock_delivery(delivery.pk)
        if not locked.is_signed:
            raise RefusedError(
                "The receipt is not signed, so it cannot have a note. Nothing was "
                "saved. Correct the delivery record itself."
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
        if not delivery.is_signed:
            raise RefusedError(
                "The receipt is not signed, so there is no POD to compare. Nothing "
                "was saved."
            )
        row = Handover.objects.select_related("shipment").get(pk=handover.pk)
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
