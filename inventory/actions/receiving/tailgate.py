"""The delivery record of one truck: open until its receipt is signed, then closed."""

from datetime import datetime

from inventory.actions.core.versions import RefusedError, change_row
from inventory.models import Delivery, Handover, User


class ClosedTailgateError(RefusedError):
    """The receipt is signed, so the delivery record is closed."""

    def __init__(self) -> None:
        super().__init__(
            "The receipt of this truck is already signed, so its delivery record is "
            "closed. Nothing was changed. Add a note to the receipt instead."
        )


class ClosedBillError(RefusedError):
    """The receipt of this freight bill is signed, so its record is closed."""

    def __init__(self, handover: Handover) -> None:
        super().__init__(
            f"The receipt of {handover.shipment} is already signed, so its record is "
            "closed. Nothing was changed. Add a note to the receipt instead."
        )


def lock_open_bill(handover_id: int) -> Handover:
    """Return what a truck delivered of a bill, its truck locked, if it is not closed.

    Raise ClosedBillError. Everything that changes a bill at the dock calls this first,
    so that a change and a signature never cross.
    """
    rows = Handover.objects.select_related("shipment__supplier")
    lock_delivery(rows.get(pk=handover_id).delivery_id)
    handover = rows.select_related("delivery__location", "delivery__carrier").get(
        pk=handover_id
    )
    if handover.is_closed:
        raise ClosedBillError(handover)
    return handover


def lock_open_tailgate(delivery_id: int) -> Delivery:
    """Return the delivery, locked until the transaction ends, if it is not signed.

    Raise ClosedTailgateError. Everything that changes a delivery record calls this
    first, so that a change and a signature never cross.
    """
    delivery = lock_delivery(delivery_id)
    if delivery.is_signed:
        raise ClosedTailgateError
    return delivery


def lock_delivery(delivery_id: int) -> Delivery:
    """Return the delivery, locked until the transaction ends.

    Raise Delivery.DoesNotExist for one that was taken back.
    """
    rows = Delivery.objects.select_for_update(of=("self",))
    return rows.select_related("location", "carrier").get(pk=delivery_id)


def close_with_its_bills(delivery: Delivery, *, person: User, at: datetime) -> None:
    """Close the truck's record once every bill's is; it says what they have in common.

    Call it with the truck locked, before the event of the act that closed a bill or
    took the last open one back.
    """
    handovers = list(delivery.handovers.order_by("pk"))
    if not handovers or not all(row.signed_at for row in handovers):
        return
    change_row(
        delivery,
        version=delivery.version,
        how_signed=_shared(handovers, "how_signed") or "by-bill",
        driver_signed_name=_shared(handovers, "driver_signed_name"),
        words_stand_on=_shared(handovers, "words_stand_on"),
        no_photo_reason=_shared(handovers, "no_photo_reason"),
        signed_at=max(at, *(row.signed_at for row in handovers if row.signed_at)),
        signed_by_id=person.pk,
    )


def _shared(handovers: list[Handover], name: str) -> str:
    """Return the value that all of these have, or nothing."""
    values = {str(getattr(row, name)) for row in handovers}
    return values.pop() if len(values) == 1 else ""
