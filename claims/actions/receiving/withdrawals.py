"""Taking back a truck, a freight bill or a crate that was recorded by mistake.

The rows stay, marked with who took them back and why; no list shows them. Nothing is
taken back once something legal or of money hangs on it: then a note is added.
"""

from datetime import datetime

from django.db import transaction
from django.db.models import Model

from claims.actions.core.deadlines import record_differences
from claims.actions.receiving.shortages import settle_shortage
from claims.queries.receiving.hanging import (
    TakenBack,
    why_it_stays,
    with_bill,
    with_crate,
    with_truck,
)
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row
from inventory.actions.receiving.expected import release_expected
from inventory.actions.receiving.tailgate import close_with_its_bills, lock_delivery
from inventory.models import Crate, Delivery, Handover, Location, Shipment, User
from inventory.models.withdrawn import Withdrawable


def withdraw_delivery(
    *, person: User, at: datetime, delivery: Delivery, version: int, reason: str
) -> TakenBack:
    """Take back a truck with what it brought, and the bills that were only on it.

    Raise StaleRowError, and RefusedError with what hangs on it.
    """
    with transaction.atomic():
        row = lock_delivery(delivery.pk)
        return take_truck_back(
            row, version=version, person=person, at=at, reason=reason
        )


def take_truck_back(
    row: Delivery, *, version: int, person: User, at: datetime, reason: str
) -> TakenBack:
    """Take back a truck that the caller has locked, in the caller's transaction.

    Raise as ``withdraw_delivery`` does.
    """
    _lock_bills([one.shipment_id for one in row.handovers.order_by("pk")])
    gone = with_truck(row)
    _take_back(gone, row, version=version, person=person, at=at, reason=reason)
    _tell(
        "delivery.withdrawn",
        gone,
        location=row.location,
        person=person,
        at=at,
        data={"carrier": row.carrier.name, "reason": reason},
    )
    _settle(gone, person=person, at=at)
    return gone


def withdraw_bill(
    *, person: User, at: datetime, handover: Handover, version: int, reason: str
) -> TakenBack:
    """Take a freight bill off this truck; one on no other truck is taken back itself.

    Where it was the last one open, the truck's record is closed with the others.
    Raise StaleRowError, and RefusedError with what hangs on it.
    """
    with transaction.atomic():
        truck = lock_delivery(handover.delivery_id)
        _lock_bills([handover.shipment_id])
        rows = Handover.objects.select_related("shipment", "delivery")
        row = rows.get(pk=handover.pk)
        gone = with_bill(row)
        _take_back(gone, row, version=version, person=person, at=at, reason=reason)
        if not truck.is_signed:
            close_with_its_bills(truck, person=person, at=at)
        _tell(
            "shipment.withdrawn" if gone.bills else "shipment.taken-off",
            gone,
            location=truck.location,
            person=person,
            at=at,
            data={"pro": row.shipment.pro_number, "reason": reason},
            beside=[truck, row.shipment],
        )
        _settle(gone, person=person, at=at)
    return gone


def withdraw_crate(
    *, person: User, at: datetime, crate: Crate, version: int, reason: str
) -> TakenBack:
    """Take back a crate too many. Raise StaleRowError and RefusedError."""
    with transaction.atomic():
        if crate.delivery_id is not None:
            lock_delivery(crate.delivery_id)
        _lock_bills([crate.shipment_id])
        rows = Crate.objects.select_related("shipment__location", "delivery")
        row = rows.get(pk=crate.pk)
        gone = with_crate(row)
        _take_back(gone, row, version=version, person=person, at=at, reason=reason)
        _tell(
            "crate.withdrawn",
            gone,
            location=row.shipment.location,
            person=person,
            at=at,
            data={
                "number": row.number,
                "pro": row.shipment.pro_number,
                "reason": reason,
            },
            beside=[one for one in (row.delivery, row.shipment) if one],
        )
    return gone


def _lock_bills(keys: list[int]) -> None:
    """Lock the bills, then their crates: a deposit or a machine waits for us."""
    bills = Shipment.objects.select_for_update(of=("self",)).filter(pk__in=keys)
    list(bills.order_by("pk"))
    crates = Crate.objects.select_for_update(of=("self",)).filter(shipment__in=keys)
    list(crates.order_by("pk"))


def _take_back(
    gone: TakenBack,
    first: Withdrawable,
    *,
    version: int,
    person: User,
    at: datetime,
    reason: str,
) -> None:
    """Mark every row; ``first`` only if it still is the version the person saw."""
    refusal = why_it_stays(gone)
    if refusal:
        raise RefusedError(refusal)
    release_expected(gone.bills)
    for row in gone.rows():
        change_row(
            row,
            version=version if row == first else row.version,
            withdrawn_at=at,
            withdrawn_by_id=person.pk,
            withdrawn_reason=reason,
        )


def _tell(
    kind: str,
    gone: TakenBack,
    *,
    location: Location,
    person: User,
    at: datetime,
    data: dict[str, object],
    beside: list[Model] | None = None,
) -> None:
    subjects = {(type(row), row.pk): row for row in [*(beside or []), *gone.rows()]}
    counts = {
        "bills": len(gone.bills),
        "crates": len(gone.crates),
        "machines": len(gone.machines),
    }
    record_event(
        kind=kind,
        at=at,
        actor=person,
        location=location,
        subjects=subjects.values(),
        data=data | counts,
    )


def _settle(gone: TakenBack, *, person: User, at: datetime) -> None:
    """Count again what stays: a bill that other trucks brought too.

    A test truck may be signed, so the deadlines of its own bills end here.
    """
    taken = {row.pk for row in gone.bills}
    for ended in gone.bills if gone.is_test else ():
        record_differences(shipment=ended, at=at, person=person)
    for handover in gone.handovers:
        if handover.shipment_id not in taken:
            bill = Shipment.objects.select_related("location", "carrier", "supplier")
            row = bill.get(pk=handover.shipment_id)
            settle_shortage(shipment=row, at=at, person=person)
            record_differences(shipment=row, at=at, person=person)
