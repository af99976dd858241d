"""A bill in another currency than its location: no rate of ours is read in it."""

import pytest
from django.test import TestCase

from claims.actions.bench.decisions import Prices, price_finding
from claims.queries.books.booking import new_booking
from claims.queries.core.facts import finding_cents
from inventory.actions.core.versions import RefusedError
from inventory.models import Event
from tests.claims.booking import set_basis
from tests.claims.stage import AT, claim_it, set_stage
from tests.people import cast

pytestmark = pytest.mark.database


class TestOtherCurrency(TestCase):
    """Parts of 350.00 and two hours, on a bill in Canadian dollars."""

    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.stage = set_stage(cls.who)
        cls.stage.shipment.currency = "CAD"
        cls.stage.shipment.save()
        cls.finding = cls.stage.finding

    def price(self, rate):
        part = self.finding.parts.get()
        return price_finding(
            person=self.who.mina,
            at=AT,
            finding=self.finding,
            version=1,
            prices=Prices(parts={part.pk: 35_000}, rate_cents=rate),
        )

    def test_the_hours_cost_nothing_at_a_rate_in_dollars(self):
        assert finding_cents(self.finding) == 35_000
        with self.assertRaisesMessage(RefusedError, "Its hours have no rate in CAD."):
            claim_it(self.who, self.stage)
        assert claim_it(self.who, self.stage, outcome="total")

    def test_the_rate_is_asked_for_and_kept_with_the_prices(self):
        with self.assertRaisesMessage(RefusedError, "Enter the hourly rate in CAD."):
            self.price(None)
        row = self.price(9_000)
        # 350.00 and two hours at 90.00.
        assert finding_cents(row) == 53_000
        told = Event.objects.get(kind="finding.priced").data
        assert told["amount"] == "CAD 530.00"
        assert told["rate_source"] == "entered with the prices"

    def test_the_page_asks_for_the_rate_only_there(self):
        self.client.force_login(self.who.mina)
        address = f"/findings/{self.finding.pk}/price/"
        self.assertContains(self.client.get(address), "Labor rate per hour, in CAD")
        self.stage.shipment.currency = "USD"
        self.stage.shipment.save()
        self.assertNotContains(self.client.get(address), "Labor rate per hour, in")

    def test_our_cost_of_an_hour_is_not_booked_as_canadian(self):
        set_basis(self.who, "filing", rate=4_200)
        self.price(9_000)
        self.finding.refresh_from_db()
        claim = claim_it(self.who, self.stage)
        setting = self.who.riverside.booking_bases.get()
        booking = new_booking(claim, setting, person=self.who.abel, at=AT)
        assert booking.labor_rate_cents == 0
