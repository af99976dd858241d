"""Adding freight bills to a truck, and completing their paperwork."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from inventory.above import objections_to_undoing
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row
from inventory.actions.receiving.expected import Arriving, take_over
from inventory.actions.receiving.listed_crates import make_crates
from inventory.actions.receiving.tailgate import lock_open_tailgate
from inventory.models import (
    Crate,
    Delivery,
    Handover,
    Shipment,
    Supplier,
    Unit,
    User,
)
from inventory.rules.core.changes import changed_words
from inventory.rules.reckoning.counts import pieces_in_words

PAPERS = (
    "supplier_id",
    "regime",
    "pro_number",
    "bol_number",
    "bol_on",
    "origin",
    "delivery_terms",
    "freight_payer",
    "contract_carriage",
    "pieces_billed",
    "piece_unit",
    "billed_weight",
    "weight_unit",
    "currency",
    "freight_charge_cents",
    "freight_borne_cents",
    "released_value_cents_per_lb",
)
"""The columns of a freight bill's paperwork."""


@dataclass(frozen=True)
class BillAtDock:
    """What is needed before the driver can sign: number, count, crates."""

    pro_number: str
    pieces_billed: int | None
    piece_unit: str
    pieces_counted: int | None
    rest_to_follow: bool = False
    crates: int = 0
    crate_kind: str = "one-way"
    supplier: Supplier | None = None
    handling_billed: int | None = None
    handling_unit: str = "skid"
    arriving: Arriving | None = None


def add_bill(
    *, person: User, at: datetime, delivery: Delivery, bill: BillAtDock
) -> Handover:
    """Add a freight bill to this truck; a bill from an earlier truck is joined.

    Raise ClosedTailgateError, and RefusedError where the number is in use at
    another location, is already on this truck, or was billed differently before.
    """
    with transaction.atomic():
        locked = lock_open_tailgate(delivery.pk)
        shipment, was_new = _bill_of(locked, bill)
        handover = Handover.objects.create(
            delivery=locked,
            shipment=shipment,
            pieces_counted=bill.pieces_counted,
            rest_to_follow=bill.rest_to_follow,
        )
        crates = make_crates(shipment, locked, count=bill.crates, kind=bill.crate_kind)
        announced = []
        if bill.arriving is not None:
            announced = [take_over(bill.arriving, shipment, crates)]
        record_event(
            kind="shipment.added" if was_new else "shipment.joined",
            at=at,
            actor=person,
            location=locked.location,
            subjects=[locked, shipment, *crates, *announced],
            data={
                "pro": shipment.pro_number,
                "counted": counted_in_words(bill.pieces_counted, shipment.piece_unit),
                "rest_to_follow": bill.rest_to_follow,
                "crates": [crate.number for crate in crates],
            },
        )
    return handover


def _bill_of(delivery: Delivery, bill: BillAtDock) -> tuple[Shipment, bool]:
    earlier = (
        Shipment.objects.select_for_update()
        .filter(carrier=delivery.carrier, pro_number=bill.pro_number)
        .first()
    )
    if earlier is None:
        return _new_bill(delivery, bill), True
    _check_joinable(earlier, delivery, bill)
    if earlier.pieces_billed is None and bill.pieces_billed is not None:
        change_row(
            earlier,
            version=earlier.version,
            pieces_billed=bill.pieces_billed,
            piece_unit=bill.piece_unit,
        )
    return earlier, False


def _new_bill(delivery: Delivery, bill: BillAtDock) -> Shipment:
    return Shipment.objects.create(
        location=delivery.location,
        carrier=delivery.carrier,
        supplier=bill.supplier,
        currency=delivery.location.currency,
        pro_number=bill.pro_number,
        pieces_billed=bill.pieces_billed,
        piece_unit=bill.piece_unit,
        handling_billed=bill.handling_billed,
        handling_unit=bill.handling_unit,
    )


def _check_joinable(earlier: Shipment, delivery: Delivery, bill: BillAtDock) -> None:
    number = earlier.pro_number
    if earlier.location_id != delivery.location_id:
        raise RefusedError(
            f"PRO {number} of {delivery.carrier} already exists at another location. "
            "Nothing was saved. Check the number on the bill, or ask your manager."
        )
    if earlier.handovers.filter(delivery=delivery).exists():
        raise RefusedError(
            f"PRO {number} is already on this truck. Nothing was saved. Change its "
            "count instead, or check the number."
        )
    billed = earlier.pieces_billed
    if billed and bill.pieces_billed and billed != bill.pieces_billed:
        raise RefusedError(
            f"PRO {number} was added before with "
            f"{pieces_in_words(billed, earlier.piece_unit)} billed. Nothing was "
            "saved. Leave the billed pieces empty here, or correct them on the "
            "freight bill first."
        )


def change_shipment(
    *, person: User, at: datetime, shipment: Shipment, version: int, **papers: object
) -> list[str]:
    """Complete or correct the paperwork of a freight bill; return what changed.

    Raise StaleRowError, and RefusedError where a constraint forbids it.
    """
    with transaction.atomic():
        row = Shipment.objects.select_for_update(of=("self",)).get(pk=shipment.pk)
        if papers.get("currency", row.currency) != row.currency:
            _refuse_other_currency(row)
        changed = change_row(row, version=version, **papers)
        record_event(
            kind="shipment.changed",
            at=at,
            actor=person,
            location=row.location,
            subjects=[row],
            data={
                "pro": row.pro_number,
                "changed": changed_words(changed),
            },
        )
    return changed


def _refuse_other_currency(row: Shipment) -> None:
    """Raise RefusedError where an amount of the bill was entered in its currency."""
    priced = Unit.everything.filter(shipment=row).exclude(invoice_cents=None)
    on_deposit = Crate.everything.filter(shipment=row).exclude(deposit_cents=None)
    reasons = [
        *(["a machine has its value"] if priced.exists() else []),
        *(["a crate has its deposit"] if on_deposit.exists() else []),
        *objections_to_undoing(Shipment, [row]),
    ]
    if reasons:
        raise RefusedError(
            f"The currency of {row} stays {row.currency}: {', and '.join(reasons)} in it. "
            "Nothing was saved. Take that out first, or leave the currency."
        )


def counted_in_words(counted: int | None, unit: str) -> str:
    """Return "4 crates", or that nothing was counted yet."""
    return "nothing yet" if counted is None else pieces_in_words(counted, unit)
