"""What waited on a phone is dated by its tap; a phone whose clock is off is told."""

from datetime import UTC, datetime

import pytest
import time_machine
from django.test import TestCase
from django.urls import reverse

from inventory.models import Delivery, Event
from tests.making import make_carrier, make_delivery
from tests.people import cast

pytestmark = pytest.mark.database

NOW = datetime(2026, 3, 10, 16, 0, tzinfo=UTC)  # 11:00 at Riverside


@time_machine.travel(NOW, tick=False)
class TestPhoneClocks(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.carrier = make_carrier(name="Gannet Overland")
        cls.truck = make_delivery(carrier=cls.carrier)

    def setUp(self):
        self.client.force_login(self.who.rosa)

    def send(self, page, data, shows="", saved=""):
        headers = {"Dock-Phone": "1"}
        if shows:
            headers |= {"Phone-Clock": shows, "Phone-Saved": saved or shows}
        return self.client.post(page, data, headers=headers)

    def log(self, arrived="2026-03-10 08:30", **clock):
        data = {"carrier": str(self.carrier.pk), "arrived_at": arrived}
        return self.send(reverse("log_delivery"), data, **clock)

    def tap(self, **clock):
        page = reverse("record_fact", args=[self.truck.pk])
        self.send(page, {"now": "departed_at"}, **clock)
        self.truck.refresh_from_db()
        return self.truck.departed_at

    def said(self):
        return [
            str(one) for one in self.client.get(reverse("dock")).context["messages"]
        ]

    def test_a_clock_that_is_off_is_said_and_both_times_are_kept(self):
        self.log(shows="2026-03-10T13:57:00.000Z")

        truck = Delivery.objects.exclude(pk=self.truck.pk).get()
        event = Event.objects.get(kind="delivery.phone-clock")
        assert truck.arrived_at == datetime(2026, 3, 10, 13, 30, tzinfo=UTC)
        assert event.data == {
            "off": "2 h 3 min behind",
            "told": "Tue 10 Mar 2026, 8:30 AM",
            "received": "Tue 10 Mar 2026, 11:00 AM",
        }
        assert event.recorded_at == NOW
        assert any(
            "This phone's clock is 2 h 3 min behind." in one for one in self.said()
        )

    def test_a_few_minutes_are_not_spoken_of(self):
        self.log(shows="2026-03-10T16:04:30.000Z")

        assert not Event.objects.filter(kind="delivery.phone-clock").exists()
        assert not any("clock" in one for one in self.said())

    def test_a_clock_ahead_is_named_where_the_arrival_is_refused(self):
        answer = self.log("2026-03-10 11:40", shows="2026-03-10T16:42:00.000Z")

        assert answer.status_code == 422
        self.assertContains(answer, "clock is 42 min ahead. Set it", status_code=422)

    def test_a_form_that_did_not_wait_is_not_judged(self):
        self.log()

        assert not Event.objects.filter(kind="delivery.phone-clock").exists()

    def test_now_is_when_it_was_tapped_whatever_the_phones_clock_shows(self):
        waited = {"shows": "2020-01-01T03:30:00.000Z", "saved": "2020-01-01T03:00:00Z"}

        assert self.tap(**waited) == datetime(2026, 3, 10, 15, 30, tzinfo=UTC)

    def test_a_clock_that_was_set_meanwhile_says_nothing(self):
        for saved in ("2026-03-10T17:00:00Z", "2026-01-01T00:00:00Z", "yesterday", ""):
            with self.subTest(saved=saved):
                shows = "2026-03-10T16:00:00Z"
                assert self.tap(shows=shows, saved=saved) == NOW

    def test_a_moment_without_an_offset_is_none(self):
        bare = {"shows": "2026-03-10T16:00:00", "saved": "2026-03-10T15:00:00"}

        assert self.tap(**bare) == NOW
