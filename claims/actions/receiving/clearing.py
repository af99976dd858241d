"""One tap for the crates that nobody inspected one by one: no visible damage."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from claims.actions.receiving.looks import inspect_crate
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row
from inventory.actions.receiving.tailgate import lock_open_tailgate
from inventory.models import Crate, Delivery, Evidence, Shipment, User
from inventory.rules.reckoning.counts import pieces_in_words

OUTSIDE_ONLY = "Outside only."
"""The note of an inspection that is one tap for many crates."""


def crates_left(delivery: Delivery) -> list[Crate]:
    """Return the crates of open bills on this truck that are not inspected."""
    open_bills = delivery.handovers.filter(signed_at=None).values("shipment")
    rest = Crate.objects.filter(delivery=delivery, look="", shipment__in=open_bills)
    return list(rest.order_by("shipment", "number"))


def clear_rest(
    *, person: User, at: datetime, delivery: Delivery, count: int
) -> list[Crate]:
    """Record no visible damage on every crate not inspected: one act, with their number.

    It says so of the outside only. Raise ClosedTailgateError, and RefusedError when
    the number has changed, a bill is not counted, or the load was not photographed.
    """
    with transaction.atomic():
        truck = lock_open_tailgate(delivery.pk)
        _check_ready(truck)
        rest = crates_left(truck)
        if len(rest) != count or not rest:
            raise RefusedError(
                f"{pieces_in_words(len(rest), 'crate')} left to inspect now, not {count}. "
                "Nothing was changed. Check the list again."
            )
        for crate in rest:
            change_row(crate, version=crate.version, look="clear")
            inspect_crate(truck, crate, "clear", OUTSIDE_ONLY, person=person, at=at)
        record_event(
            kind="crates.cleared",
            at=at,
            actor=person,
            location=truck.location,
            subjects=[truck, *_bills(rest), *rest],
            data={
                "count": count,
                "delivery": truck.pk,
                "crates": [crate.pk for crate in rest],
                "versions": [crate.version for crate in rest],
            },
        )
    return rest


def _check_ready(truck: Delivery) -> None:
    if truck.handovers.filter(signed_at=None, pieces_counted=None).exists():
        raise RefusedError(
            "A freight bill is not counted yet. Nothing was changed. Count it first."
        )
    if not Evidence.objects.filter(delivery=truck, kind="load").exists():
        raise RefusedError(
            "There is no photo of the load yet. Nothing was changed. Take one first."
        )


def _bills(crates: Sequence[Crate]) -> list[Shipment]:
    ids = sorted({crate.shipment_id for crate in crates})
    return list(Shipment.objects.filter(pk__in=ids).order_by("pk"))
