"""Listing the crates that a truck brought of a freight bill."""

from datetime import datetime

from django.db import transaction
from django.db.models import Max

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError
from inventory.actions.receiving.tailgate import lock_delivery
from inventory.models import Crate, Delivery, Shipment, User


def make_crates(
    shipment: Shipment,
    delivery: Delivery | None,
    *,
    count: int,
    kind: str,
    is_over: bool = False,
) -> list[Crate]:
    """Make the next crates of a bill, numbered on; the caller records the event."""
    last = shipment.crates.aggregate(last=Max("number"))["last"] or 0
    return [
        Crate.objects.create(
            shipment=shipment,
            delivery=delivery,
            number=number,
            kind=kind,
            state=first_state(kind),
            is_over=is_over,
        )
        for number in range(last + 1, last + count + 1)
    ]


def first_state(kind: str) -> str:
    """Return the state a crate of this kind begins with: a one-way one has none."""
    return "full" if kind == "reusable" else ""


def list_crates(
    *,
    person: User,
    at: datetime,
    shipment: Shipment,
    delivery: Delivery,
    count: int,
    kind: str,
    is_over: bool = False,
) -> list[Crate]:
    """List crates that this truck brought. After the signature they stay unseen.

    Crates that are over, beyond what the bill covers, are held for the carrier: of
    whatever kind, they never enter stock. Raise RefusedError where the truck did not
    bring this bill.
    """
    kind = "one-way" if is_over else kind
    with transaction.atomic():
        truck = lock_delivery(delivery.pk)
        bill = Shipment.objects.select_for_update(of=("self",)).get(pk=shipment.pk)
        handover = bill.handovers.filter(delivery=truck).first()
        if handover is None:
            raise RefusedError(
                "This truck did not bring this freight bill. Nothing was saved."
            )
        crates = make_crates(bill, truck, count=count, kind=kind, is_over=is_over)
        record_event(
            kind="crate.over" if is_over else "crate.added",
            at=at,
            actor=person,
            location=bill.location,
            subjects=[truck, bill, *crates],
            data={
                "pro": bill.pro_number,
                "count": count,
                "numbers": [crate.number for crate in crates],
                "kind": kind,
                "after_signature": truck.is_signed or handover.signed_at is not None,
            },
        )
    return crates
