"""A truck that brought no freight and only took empties can be closed."""

import pytest
from django.test import TestCase
from django.urls import reverse

from inventory.models import CrateReturn, Delivery, Event
from tests.making import (
    ARRIVED,
    make_carrier,
    make_delivery,
    make_handover,
    make_supplier,
)
from tests.people import cast

pytestmark = pytest.mark.database


class TestEmptiesOnly(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        carrier = make_carrier(mode="supplier-truck")
        cls.truck = make_delivery(carrier=carrier)
        cls.url = reverse("close_empties_truck", args=[cls.truck.pk])

    def setUp(self):
        self.client.force_login(self.who.rosa)

    def shipped(self, state="shipped"):
        return CrateReturn.objects.create(
            location=self.who.riverside,
            supplier=make_supplier(),
            number="R-2026-0003",
            currency="USD",
            state=state,
            delivery=self.truck,
            made_at=ARRIVED,
            made_by=self.who.rosa,
        )

    def close(self, reason=""):
        return self.client.post(self.url, {"version": "1", "reason": reason})

    def test_with_a_return_on_it_one_tap_closes_the_truck(self):
        self.shipped()
        page = self.client.get(reverse("tailgate", args=[self.truck.pk]))
        assert self.url in page.content.decode()

        answer = self.close()

        assert answer.status_code == 302
        truck = Delivery.objects.get()
        assert (truck.how_signed, truck.signed_by) == ("empties", self.who.rosa)
        assert Event.objects.get(kind="delivery.took-empties").data == {
            "returns": "R-2026-0003",
            "reason": "",
        }
        shown = self.client.get(reverse("delivery", args=[self.truck.pk]))
        assert "Took empties only, no freight" in shown.content.decode()
        assert self.url not in shown.content.decode()
        assert self.client.get(self.url).status_code == 302

    def test_without_a_return_a_reason_is_needed(self):
        bare = self.close()
        assert bare.status_code == 422
        assert "Enter why it is closed" in bare.content.decode()

        assert self.close("The driver came for the wrong yard.").status_code == 302

    def test_a_return_that_waits_for_it_must_leave_first(self):
        self.shipped("staging")

        assert "not shipped" in self.client.get(self.url).content.decode()
        assert self.close("Because.").status_code == 422
        assert not Delivery.objects.get().is_signed

    def test_a_truck_with_freight_is_signed_instead(self):
        make_handover(self.truck)

        assert "has a freight bill" in self.close("Because.").content.decode()
        page = self.client.get(reverse("tailgate", args=[self.truck.pk]))
        assert self.url not in page.content.decode()
