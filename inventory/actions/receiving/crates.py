"""Listing crates of a freight bill and keeping their marks and deposits."""

from datetime import datetime

from django.db import transaction
from django.db.models import Max

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row
from inventory.actions.receiving.tailgate import lock_delivery
from inventory.models import Crate, Delivery, Shipment, User
from inventory.rules.core.changes import changed_words
from inventory.rules.crates.life import decide


def make_crates(
    shipment: Shipment, delivery: Delivery | None, *, count: int, kind: str
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
        )
        for number in range(last + 1, last + count + 1)
    ]


def first_state(kind: str) -> str:
    """Return the state a crate of this kind begins with: a one-way one has none."""
    return "full" if kind == "reusable" else ""


def _state_as(row: Crate, kind: str) -> str:
    """Return the state of the crate as this kind; refuse what its life forbids."""
    if kind == row.kind:
        return row.state
    if row.look == "refused":
        return ""
    if row.deposits.filter(is_withdrawn=False).exists():
        raise RefusedError(
            "A deposit stands on this crate, so it stays reusable. Nothing was saved. "
            "Accounting takes the deposit back first."
        )
    act = "follow" if kind == "reusable" else "unfollow"
    verdict = decide(row.state, act)
    if verdict.new_state is None:
        raise RefusedError(f"{row}: {verdict.reason}")
    return verdict.new_state


def list_crates(
    *,
    person: User,
    at: datetime,
    shipment: Shipment,
    delivery: Delivery,
    count: int,
    kind: str,
) -> list[Crate]:
    """List crates that this truck brought. After the signature they stay unseen.

    Raises RefusedError where the truck did not bring this bill.
    """
    with transaction.atomic():
        truck = lock_delivery(delivery.pk)
        bill = Shipment.objects.select_for_update(of=("self",)).get(pk=shipment.pk)
        if not bill.handovers.filter(delivery=truck).exists():
            raise RefusedError(
                "This truck did not bring this freight bill. Nothing was saved."
            )
        crates = make_crates(bill, truck, count=count, kind=kind)
        record_event(
            kind="crate.added",
            at=at,
            actor=person,
            location=bill.location,
            subjects=[truck, bill, *crates],
            data={
                "pro": bill.pro_number,
                "count": count,
                "numbers": [crate.number for crate in crates],
                "kind": kind,
                "after_signature": truck.is_signed,
            },
        )
    return crates


def change_crate(
    *,
    person: User,
    at: datetime,
    crate: Crate,
    version: int,
    mark: str,
    kind: str,
    deposit_cents: int | None,
) -> None:
    """Keep a crate's mark, kind and deposit. Raises StaleRowError and RefusedError."""
    with transaction.atomic():
        row = Crate.objects.select_related("shipment__location").get(pk=crate.pk)
        if deposit_cents is not None and row.look == "refused":
            raise RefusedError(
                "A refused crate never became ours, so it carries no deposit. Nothing "
                "was saved. Leave the deposit empty."
            )
        if deposit_cents is not None and kind == "one-way":
            raise RefusedError(
                "A one-way crate carries no deposit. Nothing was saved. Leave the "
                "deposit empty, or say that the crate is reusable."
            )
        changed = change_row(
            row,
            version=version,
            mark=mark,
            kind=kind,
            deposit_cents=deposit_cents,
            state=_state_as(row, kind),
        )
        record_event(
            kind="crate.changed",
            at=at,
            actor=person,
            location=row.shipment.location,
            subjects=[row.shipment, row],
            data={
                "number": row.number,
                "changed": changed_words(changed),
            },
        )
