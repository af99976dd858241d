"""Parents read once are those that a join would give, however many there are."""

import pytest
from django.db import connection
from django.test import TestCase
from django.test.utils import CaptureQueriesContext

from inventory.models import Carrier, Crate, Shipment
from inventory.queries.core.shared import share
from tests import making

pytestmark = pytest.mark.database

PATHS = ("shipment__carrier", "shipment__location", "delivery__carrier", "crate_type")
MANY = 1_200
"""More keys than SQLite takes in one expression."""


def told(crate):
    truck = crate.delivery
    return (
        crate.pk,
        crate.shipment.carrier.name,
        crate.shipment.location.name,
        truck and truck.carrier.name,
        crate.crate_type and crate.crate_type.name,
    )


class TestShare(TestCase):
    def test_the_parents_are_those_of_a_join(self):
        truck = making.make_delivery()
        bills = [making.make_shipment() for _ in range(3)]
        for number in range(9):
            bill = bills[number % 3]
            on = {"delivery": truck} if number % 2 else {}
            make = making.make_reusable if number % 4 else making.make_crate
            make(bill, **on)
        rows = Crate.objects.order_by("pk")
        joined = [told(row) for row in rows.select_related(*PATHS)]
        with CaptureQueriesContext(connection) as asked:
            shared = share(rows, *PATHS)
            assert [told(row) for row in shared] == joined
        # The crates, bills, their carriers and locations, trucks, their carriers, types.
        assert len(asked) == 7
        assert shared[0].shipment is shared[3].shipment

    def test_one_that_was_taken_back_is_joined_too(self):
        crate = making.make_crate()
        carrier = crate.shipment.carrier
        Carrier.everything.filter(pk=carrier.pk).update(withdrawn_at=making.ARRIVED)
        (found,) = share(Crate.objects.all(), "shipment__carrier")
        assert found.shipment.carrier == carrier

    def test_more_parents_than_one_expression_may_name(self):
        model = making.make_crate()
        bill = {
            field.attname: getattr(model.shipment, field.attname)
            for field in Shipment._meta.concrete_fields
            if not field.primary_key
        }
        bills = Shipment.objects.bulk_create(
            Shipment(**bill | {"pro_number": f"PRO-{number}"}) for number in range(MANY)
        )
        Crate.objects.bulk_create(
            Crate(shipment=one, number=1, mark=f"M-{one.pk}") for one in bills
        )
        found = share(Crate.objects.order_by("pk"), "shipment__carrier")
        with self.assertNumQueries(0):
            assert {row.shipment.pro_number for row in found[1:]} == {
                f"PRO-{number}" for number in range(MANY)
            }

    def test_nothing_is_asked_for_no_rows(self):
        with self.assertNumQueries(1):
            assert share(Crate.objects.none() | Crate.objects.all(), *PATHS) == []

    def test_a_path_that_is_no_parent_is_a_mistake_in_the_code(self):
        making.make_crate()
        with pytest.raises(TypeError, match="number of Crate is no parent"):
            share(Crate.objects.all(), "number")
