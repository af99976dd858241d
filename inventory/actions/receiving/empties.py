"""Closing a truck that brought no freight and only took empty crates."""

from datetime import datetime

from django.db import transaction

from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row
from inventory.actions.receiving.tailgate import lock_open_tailgate
from inventory.models import CrateReturn, Delivery, User
from inventory.rules.returns.life import CANCELLED

STILL_STAGED = CrateReturn.life.starts("ship")


def close_empties_truck(
    *, person: User, at: datetime, delivery: Delivery, version: int, reason: str
) -> Delivery:
    """Close the record of a truck without freight; there is no receipt to sign.

    Raise ClosedTailgateError, StaleRowError, and RefusedError where it brought
    freight, where a return for it is not shipped, or where it took nothing and no
    reason is given.
    """
    with transaction.atomic():
        truck = lock_open_tailgate(delivery.pk)
        loads = list(truck.returns.exclude(state=CANCELLED).order_by("pk"))
        refusal = why_not_empties_only(truck, loads)
        if refusal:
            raise RefusedError(refusal)
        if not loads and not reason:
            raise RefusedError(
                "No return was shipped on this truck. Nothing was changed. Enter why "
                "it is closed without one."
            )
        change_row(
            truck,
            version=version,
            how_signed="empties",
            signed_at=at,
            signed_by_id=person.pk,
        )
        record_event(
            kind="delivery.took-empties",
            at=at,
            actor=person,
            location=truck.location,
            subjects=[truck, *loads],
            data={
                "returns": ", ".join(load.number for load in loads) or "no return",
                "reason": reason,
            },
        )
    return truck


def why_not_empties_only(truck: Delivery, loads: list[CrateReturn]) -> str:
    """Return why this truck cannot be closed as one without freight, or ""."""
    if truck.handovers.exists():
        return (
            "This truck has a freight bill, so its receipt is signed instead. Nothing "
            "was changed. If the bill is a mistake, take it off the truck first."
        )
    waiting = next((load for load in loads if load.state in STILL_STAGED), None)
    if waiting:
        return (
            f"{waiting} is planned for this truck and not shipped. Nothing was changed. "
            "Ship it first, or plan it for another truck."
        )
    return ""
