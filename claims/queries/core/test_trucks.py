"""Which trucks are for practice only; read from the event that says so."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import CharField, Exists, F, OuterRef, QuerySet
from django.db.models.functions import Cast

from claims.rules.core.first_day import TEST_KIND
from inventory.models import Carrier, Delivery, EventSubject, Handover, Location

LISTED_FOR = timedelta(days=60)
"""How long a signed test truck that nobody took back stays on the dock's list."""


def test_event(delivery_id: str = "pk") -> Exists:
    """Return whether the truck with the key in this column is a test."""
    key = Cast(OuterRef(delivery_id), CharField())
    about = EventSubject.objects.filter(noun="delivery", key=key)
    return Exists(about.filter(event__kind=TEST_KIND))


def is_test(delivery_id: int) -> bool:
    """Return whether this truck is for practice only."""
    rows = Delivery.everything.filter(pk=delivery_id)
    return rows.filter(test_event()).exists()


def is_test_bill(shipment_id: int) -> bool:
    """Return whether a truck for practice brought this freight bill."""
    rows = Handover.objects.filter(shipment=shipment_id)
    return rows.filter(test_event("delivery_id")).exists()


def test_trucks(places: QuerySet[Location], since: date) -> QuerySet[Delivery]:
    """Return the test trucks here that arrived since this day and were not taken back."""
    rows = Delivery.objects.filter(location__in=places, arrived_on__gte=since)
    return (
        rows.filter(test_event()).select_related("location", "carrier").order_by("pk")
    )


@dataclass(frozen=True)
class Practice:
    """What a dock has to do with test trucks: try one first, or take one back."""

    is_offered: bool
    to_end: list[Delivery]


def practice_at(places: QuerySet[Location], today: date) -> Practice:
    """Return what is to do at these docks: a test until a receipt was signed there."""
    if not places.exists():
        return Practice(is_offered=False, to_end=[])
    here = list(test_trucks(places, today - LISTED_FOR))
    is_offered = not here and Carrier.objects.exists() and not has_signed_truck(places)
    return Practice(is_offered, [row for row in here if row.is_signed])


def has_signed_truck(places: QuerySet[Location] | None = None) -> bool:
    """Return whether a receipt was ever signed, on a truck taken back or not."""
    rows = Delivery.everything.filter(signed_at__isnull=False)
    if places is not None:
        rows = rows.filter(location__in=places)
    return rows.order_by(F("pk")).exists()
