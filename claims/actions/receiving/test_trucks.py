"""A truck for practice: started in one act, taken back in one, its history kept."""

from datetime import datetime

from django.db import transaction
from django.db.models import Q

from claims.actions.receiving.looks import route_finding_nowhere
from claims.actions.receiving.withdrawals import take_truck_back
from claims.models import Finding
from claims.queries.core.test_trucks import is_test, test_trucks
from claims.queries.receiving.hanging import TakenBack
from claims.rules.core.first_day import TEST_KIND, TEST_OVER
from inventory.actions.core.events import record_event
from inventory.actions.core.numbers import lock_numbers
from inventory.actions.core.versions import RefusedError
from inventory.actions.receiving.deliveries import day_at, log_delivery
from inventory.actions.receiving.shipments import BillAtDock, add_bill
from inventory.actions.receiving.tailgate import lock_delivery
from inventory.models import Carrier, Delivery, Location, Supplier, User

CRATES = 2
ONE_IS_HERE = (
    "A test truck is at this dock already. Nothing was saved. Open the dock, and go on "
    "with that one or take it back."
)


def start_test(*, person: User, at: datetime, location: Location) -> Delivery:
    """Log a truck for practice with one freight bill of two crates.

    Raise RefusedError without a carrier, and where one stands at this dock already.
    """
    with transaction.atomic():
        place = lock_numbers(location)
        here = Location.objects.filter(pk=place.pk)
        if test_trucks(here, day_at(place, at)).exists():
            raise RefusedError(ONE_IS_HERE)
        carrier = Carrier.objects.order_by("pk").first()
        if carrier is None:
            raise RefusedError(
                "No carrier is entered yet. Nothing was saved. Ask your manager or the "
                "administrator to add one."
            )
        truck = log_delivery(
            person=person,
            at=at,
            location=place,
            arrived_at=at,
            carrier=carrier,
            driver_name="Test driver",
            trailer_number="TEST",
        )
        bill = BillAtDock(
            pro_number=f"TEST-{place.code}",
            pieces_billed=CRATES,
            piece_unit="crate",
            pieces_counted=None,
            crates=CRATES,
            supplier=Supplier.objects.order_by("pk").first(),
        )
        add_bill(person=person, at=at, delivery=truck, bill=bill)
        record_event(
            kind=TEST_KIND,
            at=at,
            actor=person,
            location=place,
            subjects=[truck],
            data={"delivery": truck.pk},
        )
    return truck


def end_test(*, person: User, at: datetime, delivery: Delivery) -> TakenBack:
    """Take a test truck back with all it brought, signed or not.

    Its findings become "no damage, no claim". Raise RefusedError for any other truck,
    and with what hangs on it.
    """
    with transaction.atomic():
        row = lock_delivery(delivery.pk)
        if not is_test(row.pk):
            raise RefusedError(
                "This is not a test truck. Nothing was changed. If it was logged by "
                "mistake, open it and choose that under More."
            )
        bills = row.handovers.values("shipment_id")
        found = Finding.objects.filter(Q(delivery=row) | Q(shipment__in=bills))
        rows = found.exclude(route="nowhere").select_related("shipment__location")
        for finding in rows.order_by("pk"):
            route_finding_nowhere(finding, TEST_OVER, person=person, at=at)
        return take_truck_back(
            row, version=row.version, person=person, at=at, reason=TEST_OVER
        )
