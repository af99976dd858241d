"""The delivery record of one truck: open until its receipt is signed, then closed."""

from inventory.actions.core.versions import RefusedError
from inventory.models import Delivery


class ClosedTailgateError(RefusedError):
    """The receipt is signed, so the delivery record is closed."""

    def __init__(self) -> None:
        super().__init__(
            "The receipt of this truck is already signed, so its delivery record is "
            "closed. Nothing was changed. Add a note to the receipt instead."
        )


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
    """Return the delivery, locked until the transaction ends."""
    rows = Delivery.objects.select_for_update(of=("self",))
    return rows.select_related("location", "carrier").get(pk=delivery_id)
