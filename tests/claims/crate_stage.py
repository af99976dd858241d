"""One reusable crate with a transit finding, and a short way to charge it."""

from datetime import date, timedelta

from django.test import TestCase
from django.urls import reverse

from inventory.actions.deposits.ending import charge_deposits
from inventory.models import CrateTerms
from inventory.views.core.clock import today_at
from tests import making
from tests.people import cast


class Crates(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        delivery = making.make_signed_delivery(location=cls.who.riverside)
        cls.shipment = making.make_shipment(
            location=cls.who.riverside, carrier=delivery.carrier
        )
        making.make_handover(delivery, cls.shipment)
        cls.crate = making.make_reusable(cls.shipment, delivery=delivery)
        cls.unit = making.make_unit(cls.shipment, crate=cls.crate)
        look = making.make_inspection(crate=cls.crate, unit=cls.unit)
        cls.finding = making.make_finding(look)
        cls.today = today_at(cls.who.riverside)

    def setUp(self):
        self.client.force_login(self.who.mina)

    def charge(self, days_ago):
        """Charge 185.00 so many days ago; full for 60, half to day 120."""
        CrateTerms.objects.create(
            currency="USD",
            supplier=self.shipment.supplier,
            starts_on=date(2020, 1, 1),
            clock_starts="invoice",
            clock_stops="pick-up",
            full_days=60,
            decline="straight",
            ends_day=120,
            return_freight="us",
            source="Sheet 1",
            added_at=making.ARRIVED,
        )
        charge_deposits(
            location=self.who.riverside,
            supplier=self.shipment.supplier,
            invoice_number="HTI-100",
            line_number=1,
            invoiced_on=self.today - timedelta(days=days_ago),
            crate_type=self.crate.crate_type,
            count=1,
            amount_cents=18_500,
            marks=[],
            crates=[self.crate],
            posting_key="test/1",
            person=self.who.abel,
            at=making.ARRIVED,
        )

    def page(self, name="crate", row=None):
        return self.client.get(reverse(name, args=[(row or self.crate).pk]))
