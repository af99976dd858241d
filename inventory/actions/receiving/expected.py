"""Recording what suppliers announce, and taking it over when the bill is logged."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import IntegrityError, transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row
from inventory.actions.receiving.listed_crates import first_state
from inventory.models import (
    Carrier,
    Crate,
    ExpectedCrate,
    ExpectedDelivery,
    Location,
    Shipment,
    Supplier,
    User,
)
from inventory.rules.codes.normal_keys import normal_key
from inventory.rules.receiving.announced import Announced


@dataclass(frozen=True)
class Arriving:
    """An announced bill that is logged now, and the marks that were seen on it."""

    expected: ExpectedDelivery
    marks: tuple[str, ...] = ()


def announce_deliveries(
    *,
    person: User,
    at: datetime,
    location: Location,
    supplier: Supplier,
    bills: Sequence[Announced],
    file_name: str = "",
) -> list[ExpectedDelivery]:
    """Record the announced bills of one supplier, all or none.

    Raise RefusedError where one is recorded already, or its carrier is not listed.
    """
    carriers = {row.name.casefold(): row for row in Carrier.objects.order_by("pk")}
    try:
        with transaction.atomic():
            made = [
                _announce(
                    bill,
                    carrier=_carrier_of(bill, carriers),
                    location=location,
                    supplier=supplier,
                    file_name=file_name,
                    person=person,
                    at=at,
                )
                for bill in bills
            ]
            record_event(
                kind="expected.announced",
                at=at,
                actor=person,
                location=location,
                subjects=made,
                data={
                    "supplier": supplier.name,
                    "count": len(made),
                    "crates": sum(bill.pieces for bill in bills),
                    "file": file_name or "entered by hand",
                },
            )
    except IntegrityError as error:
        raise RefusedError(
            f"One of these bills of {supplier} is expected already. Nothing was saved. "
            "Open the list of expected bills."
        ) from error
    return made


def _carrier_of(bill: Announced, carriers: dict[str, Carrier]) -> Carrier | None:
    if not bill.carrier:
        return None
    found = carriers.get(bill.carrier.casefold())
    if found is None:
        raise RefusedError(
            f"Carrier {bill.carrier} is not on the list. Nothing was saved. Add it "
            "first, or leave the carrier empty."
        )
    return found


def _announce(
    bill: Announced,
    *,
    carrier: Carrier | None,
    location: Location,
    supplier: Supplier,
    file_name: str,
    person: User,
    at: datetime,
) -> ExpectedDelivery:
    made = ExpectedDelivery.objects.create(
        location=location,
        supplier=supplier,
        carrier=carrier,
        pro_number=bill.pro,
        bol_number=bill.bol,
        expected_on=bill.expected_on,
        file_name=file_name,
        made_at=at,
        made_by=person,
    )
    ExpectedCrate.objects.bulk_create(
        ExpectedCrate(
            delivery=made,
            position=place,
            mark=crate.mark,
            model=crate.model,
            pieces=crate.pieces,
            kind=crate.kind,
            file_row=crate.row or None,
        )
        for place, crate in enumerate(bill.crates, start=1)
    )
    return made


def withdraw_expected(
    *,
    person: User,
    at: datetime,
    expected: ExpectedDelivery,
    version: int,
    reason: str,
) -> None:
    """Take back an announcement that will not come.

    Raise StaleRowError, and RefusedError for one that has arrived.
    """
    with transaction.atomic():
        row = _lock(expected)
        if row.shipment_id is not None:
            raise RefusedError(
                f"{row} has arrived, so the announcement stays. Nothing was changed."
            )
        change_row(
            row,
            version=version,
            withdrawn_at=at,
            withdrawn_by_id=person.pk,
            withdrawn_reason=reason,
        )
        record_event(
            kind="expected.withdrawn",
            at=at,
            actor=person,
            location=row.location,
            subjects=[row],
            data={"number": str(row), "reason": reason},
        )


def _lock(expected: ExpectedDelivery) -> ExpectedDelivery:
    rows = ExpectedDelivery.objects.select_for_update(of=("self",))
    row = rows.select_related("location", "supplier").filter(pk=expected.pk).first()
    if row is None:
        raise RefusedError(
            f"{expected} is no longer expected. Nothing was saved. Add the bill without "
            "the announcement."
        )
    return row


def take_over(
    arriving: Arriving, shipment: Shipment, crates: Sequence[Crate]
) -> ExpectedDelivery:
    """Fill a bill from its announcement, in the transaction that logs it.

    The supplier and the BOL are filled where the bill has none, the marks given to the
    crates in their order. Raise RefusedError where it is not that bill's.
    """
    row = _lock(arriving.expected)
    _check(row, shipment, arriving.marks, crates)
    change_row(
        shipment,
        version=shipment.version,
        supplier_id=shipment.supplier_id or row.supplier_id,
        bol_number=shipment.bol_number or row.bol_number,
    )
    kinds = {normal_key(one.mark): one.kind for one in row.crates.exclude(mark="")}
    for crate, mark in zip(crates, arriving.marks, strict=False):
        kind = kinds.get(normal_key(mark), "") or crate.kind
        change_row(
            crate, version=crate.version, mark=mark, kind=kind, state=first_state(kind)
        )
    if row.shipment_id is None:
        change_row(row, version=row.version, shipment_id=shipment.pk)
    return row


def release_expected(bills: Sequence[Shipment]) -> list[ExpectedDelivery]:
    """Let the announcements of bills that are taken back wait for their bill again.

    The caller's event covers them.
    """
    rows = list(ExpectedDelivery.objects.filter(shipment__in=bills).order_by("pk"))
    for row in rows:
        change_row(row, version=row.version, shipment_id=None)
    return rows


def _check(
    row: ExpectedDelivery,
    shipment: Shipment,
    marks: Sequence[str],
    crates: Sequence[Crate],
) -> None:
    if row.location_id != shipment.location_id or (
        row.carrier_id not in {None, shipment.carrier_id}
    ):
        raise RefusedError(
            f"{row} is expected at another dock or from another carrier. Nothing was "
            "saved. Check the number."
        )
    if row.shipment_id not in {None, shipment.pk}:
        raise RefusedError(
            f"{row} has arrived already, as {row.shipment}. Nothing was saved."
        )
    if len(marks) > len(crates):
        raise RefusedError(
            f"More marks are ticked ({len(marks)}) than crates are listed "
            f"({len(crates)}). Nothing was saved. Untick the marks that did not come, "
            "or correct the count."
        )
