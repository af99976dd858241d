"""Listing the machines of a freight bill."""

from datetime import datetime

from django.db import transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row
from inventory.models import Crate, Shipment, Unit, User
from inventory.rules.core.changes import changed_words


def list_unit(
    *,
    person: User,
    at: datetime,
    shipment: Shipment,
    model: str,
    serial: str = "",
    engine_serial: str = "",
    crate: Crate | None = None,
    invoice_cents: int | None = None,
    weight: str = "",
    weight_unit: str = "lb",
) -> Unit:
    """List one machine.

    Raise RefusedError for a serial already listed on this bill, or another bill's
    crate.
    """
    with transaction.atomic():
        bill = Shipment.objects.select_for_update(of=("self",)).get(pk=shipment.pk)
        _check(bill, serial=serial, crate=crate, but=None)
        unit = Unit.objects.create(
            shipment=bill,
            crate=crate,
            model=model,
            serial=serial,
            engine_serial=engine_serial,
            invoice_cents=invoice_cents,
            weight=weight,
            weight_unit=weight_unit,
        )
        record_event(
            kind="unit.added",
            at=at,
            actor=person,
            location=bill.location,
            subjects=[bill, unit, *([crate] if crate else [])],
            data={"unit": str(unit)},
        )
    return unit


def change_unit(
    *,
    person: User,
    at: datetime,
    unit: Unit,
    version: int,
    crate: Crate | None,
    serial: str,
    **details: object,
) -> None:
    """Correct a machine's line. Raise StaleRowError and RefusedError."""
    with transaction.atomic():
        bill = Shipment.objects.select_for_update(of=("self",)).get(pk=unit.shipment_id)
        row = Unit.objects.get(pk=unit.pk)
        _check(bill, serial=serial, crate=crate, but=row)
        changed = change_row(
            row,
            version=version,
            serial=serial,
            crate_id=crate.pk if crate else None,
            **details,
        )
        record_event(
            kind="unit.changed",
            at=at,
            actor=person,
            location=bill.location,
            subjects=[bill, row, *([crate] if crate else [])],
            data={
                "unit": str(row),
                "changed": changed_words(changed),
            },
        )


def _check(
    bill: Shipment, *, serial: str, crate: Crate | None, but: Unit | None
) -> None:
    if crate and crate.shipment_id != bill.pk:
        raise RefusedError(
            "That crate belongs to another freight bill. Nothing was saved. Choose "
            "a crate of this bill."
        )
    if crate and crate.is_over:
        raise RefusedError(
            f"{crate} is over: it is held for the carrier, so nothing in it is ours. "
            "Nothing was saved. Choose another crate."
        )
    same = bill.units.filter(serial=serial).exclude(pk=but.pk if but else 0)
    if serial and same.exists():
        raise RefusedError(
            f"Serial {serial} is already on this freight bill. Nothing was saved. "
            "Check the serial plate and enter it again."
        )
