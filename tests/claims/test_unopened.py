"""Closed crates, each with the last day on which opening it is safe."""

from datetime import UTC, date, datetime

import pytest
from django.test import TestCase

from claims.models import Deadline, DeadlineOverride
from claims.queries.bench.unopened import last_day_to_open, unopened_crates
from tests import making
from tests.people import cast

pytestmark = pytest.mark.database

TODAY = date(2026, 3, 12)
AT = datetime(2026, 3, 12, 15, 0, tzinfo=UTC)


def make_deadline(crate, **over):
    values = {
        "location": crate.shipment.location,
        "shipment": crate.shipment,
        "delivery": crate.delivery,
        "duty": "concealed-notice",
        "owed_by": "claimant",
        "record_key": "test",
        "rule_version": "1",
        "inputs": {},
        "due": date(2026, 3, 17),
        "safe": date(2026, 3, 17),
        "send_by": date(2026, 3, 16),
        "effect": "The burden shifts.",
        "authority": "None",
        "confidence": "from memory",
        "counted_at": AT,
    }
    return Deadline.objects.create(**{**values, **over})


class UnopenedTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.shipment = making.make_shipment(location=cls.people.riverside)
        cls.truck = making.make_signed_delivery(location=cls.people.riverside)

    def crate(self, value=100_000, **over):
        crate = making.make_crate(
            over.pop("shipment", self.shipment), **{"delivery": self.truck, **over}
        )
        making.make_unit(crate=crate, invoice_cents=value)
        return crate

    def rows(self, person=None):
        return unopened_crates(person or self.people.tomas, TODAY)

    def test_a_crate_stands_here_from_the_signature_until_it_is_opened(self):
        unsigned = making.make_delivery(location=self.people.riverside)
        shown = self.crate()
        self.crate(delivery=unsigned)
        self.crate(delivery=None)
        self.crate(opened_at=AT, opened_on=TODAY)
        self.crate(look="refused", refused_for="leaking")
        assert [row.crate for row in self.rows()] == [shown]

    def test_the_dearest_comes_first_then_the_oldest(self):
        older = making.make_signed_delivery(
            location=self.people.riverside, arrived_on=date(2026, 3, 2)
        )
        cheap = self.crate(50_000)
        new = self.crate(90_000)
        old = self.crate(90_000, delivery=older)
        unknown = self.crate(None)
        assert [row.crate for row in self.rows()] == [old, new, cheap, unknown]

    def test_the_earlier_of_carrier_and_supplier_is_the_last_day(self):
        crate = self.crate()
        make_deadline(crate)
        make_deadline(crate, duty="supplier-damage", safe=date(2026, 3, 13))
        make_deadline(crate, duty="claim", safe=date(2026, 3, 11))
        row = self.rows()[0]
        assert (row.last_day, row.set_by) == (date(2026, 3, 13), "supplier-damage")
        assert last_day_to_open(crate) == (date(2026, 3, 13), "supplier-damage")

    def test_a_superseded_count_is_not_the_last_day(self):
        crate = self.crate()
        make_deadline(crate, safe=date(2026, 3, 11), superseded_at=AT)
        row = self.rows()[0]
        assert (row.last_day, row.days_left, row.state) == (None, None, "plain")

    def test_another_trucks_clock_is_not_this_crates(self):
        crate = self.crate()
        other = making.make_signed_delivery(location=self.people.riverside)
        make_deadline(crate, delivery=other)
        assert self.rows()[0].last_day is None

    def test_our_own_date_only_ever_brings_it_forward(self):
        crate = self.crate()
        deadline = make_deadline(crate)
        for due, expected in (
            (date(2026, 3, 20), date(2026, 3, 17)),
            (date(2026, 3, 14), date(2026, 3, 14)),
        ):
            with self.subTest(due):
                DeadlineOverride.objects.create(
                    deadline=deadline,
                    due=due,
                    reason="So.",
                    decided_at=AT,
                    decided_by=self.people.mina,
                )
                assert self.rows()[0].last_day == expected

    def test_the_state_follows_the_days_left(self):
        crate = self.crate()
        deadline = make_deadline(crate)
        for safe, state in (
            (date(2026, 3, 11), "late"),
            (date(2026, 3, 12), "running"),
            (date(2026, 3, 14), "running"),
            (date(2026, 3, 15), "calm"),
        ):
            with self.subTest(safe):
                Deadline.objects.filter(pk=deadline.pk).update(safe=safe)
                assert self.rows()[0].state == state

    def test_another_location_sees_none_of_them(self):
        self.crate()
        assert self.rows(self.people.nell) == []
