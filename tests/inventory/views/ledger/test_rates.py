"""Rates of exchange: entered by a person, shown beside a total, and never posted."""

from datetime import date
from decimal import Decimal
from types import SimpleNamespace

import pytest
import time_machine
from django.db import IntegrityError, transaction
from django.test import TestCase
from django.urls import reverse

from inventory.models import Event, ExchangeRate, Leg, ReturnCosts
from inventory.queries.ledger.rates import about_of, rates_at
from inventory.rules.reckoning.money import Money
from inventory.rules.reckoning.rates import Rate
from tests import making
from tests.ledger import charge, make_terms
from tests.people import cast

pytestmark = pytest.mark.database

TODAY = date(2026, 3, 20)
TOLD = {
    "currency": "cad",
    "rate": "0.7315",
    "rated_on": "2026-03-19",
    "source": "The central bank's list",
}
SHOWN = (
    "about $87.78, at the rate of 1 CAD = 0.7315 USD of Thu 19 Mar 2026, "
    "The central bank&#x27;s list, entered by Abel Strand"
)


@time_machine.travel("2026-03-20 15:00:00+00:00", tick=False)
class TestRates(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        supplier = making.make_supplier()
        shipment = making.make_shipment(location=cls.who.riverside, supplier=supplier)
        cls.book = SimpleNamespace(
            who=cls.who,
            location=cls.who.riverside,
            supplier=supplier,
            crate_type=making.make_crate_type(supplier),
        )
        make_terms(supplier, currency="CAD")
        crate = making.make_reusable(shipment, crate_type=cls.book.crate_type)
        charge(cls.book, crates=[crate], marks=[crate.mark])  # 120.00 CAD

    def setUp(self):
        self.client.force_login(self.who.abel)

    def enter(self, **over):
        page = self.client.get(reverse("enter_rate"))
        once = page.context["form"].initial.get("once_id") or ""
        given = {"location": self.who.riverside.pk, "once": once, **TOLD, **over}
        return self.client.post(reverse("enter_rate"), _sent(page, given), follow=True)

    def plan(self):
        pair = f"{self.who.riverside.pk}-{self.book.supplier.pk}"
        asked = {"pair": pair, "weeks": 8, "ready_days": 3}
        return self.client.get(reverse("plan_returns"), asked)

    def test_a_total_is_told_at_home_only_at_a_rate_that_somebody_entered(self):
        desk = self.client.get(reverse("deposits"))
        self.assertContains(desk, "120.00 CAD")
        self.assertNotContains(desk, "about")
        legs = Leg.objects.count()
        page = self.enter()
        self.assertContains(page, "1 CAD = 0.7315 USD saved.")
        self.assertContains(
            self.client.get(reverse("deposits")), f"Total open: {SHOWN}."
        )
        self.assertContains(self.client.get(reverse("balances")), SHOWN)
        assert Leg.objects.count() == legs
        told = Event.objects.get(kind="rate.entered")
        assert told.actor == self.who.abel
        assert told.data["rate"] == "0.7315 USD"

    def test_the_last_entry_of_the_last_day_counts(self):
        for on, rate in ((19, "0.70"), (19, "0.80"), (18, "0.10"), (21, "0.90")):
            making.make_rate(rated_on=date(2026, 3, on), rate=rate)
        making.make_rate(location=self.who.hillcrest, rated_on=TODAY)
        found = rates_at([self.who.riverside], TODAY)
        assert {key: one.rate for key, one in found.items()} == {
            (self.who.riverside.pk, "CAD"): Decimal("0.80")
        }

    def test_a_rate_of_the_own_currency_of_a_later_day_or_of_nothing_is_refused(self):
        for wrong, said in (
            ({"currency": "USD"}, "own currency. Nothing was saved."),
            ({"rated_on": "2026-03-21"}, "That day is in the future."),
            ({"rate": "0"}, "above 0"),
            ({"rate": "1e5"}, "above 0"),
            ({"source": ""}, "Enter where the rate is from."),
        ):
            self.assertContains(self.enter(**wrong), said, status_code=422)
        assert not ExchangeRate.objects.exists()

    def test_the_database_refuses_a_changed_rate_and_one_of_the_own_currency(self):
        making.make_rate()
        with pytest.raises(Exception, match="append-only"), transaction.atomic():
            ExchangeRate.objects.update(rate="0.9")
        with pytest.raises(IntegrityError), transaction.atomic():
            making.make_rate(currency="USD")

    def test_a_plan_reads_no_dollars_as_canadian_ones(self):
        ReturnCosts.objects.create(
            location=self.who.riverside,
            supplier=self.book.supplier,
            currency="USD",
            pickup_cents=15_000,
        )
        page = self.plan()
        self.assertContains(page, "in USD and the deposits are in CAD")
        assert "plan" not in page.context
        making.make_rate()
        page = self.plan()
        # 150.00 USD at 0.75 USD a CAD are 200.00 CAD.
        assert page.context["costs"].per_pickup == Money(20_000, "CAD")
        self.assertContains(page, "1 CAD = 0.75 USD")

    def test_deposits_of_another_currency_are_left_out_of_a_plan(self):
        crate = making.make_reusable(
            making.make_shipment(supplier=self.book.supplier),
            crate_type=self.book.crate_type,
        )
        charge(self.book, crates=[crate], marks=[crate.mark], currency="USD")
        page = self.plan()
        self.assertContains(page, "Its deposit is in USD; this plan is in CAD.")


def _sent(page, given):
    """Return the form's own hidden fields with what is typed."""
    form = page.context["form"]
    hidden = {field.html_name: field.value() or "" for field in form.hidden_fields()}
    return {**hidden, **given}


RATE = Rate("CAD", "USD", Decimal("0.7315"), TODAY, "A list", "Abel Strand")
YEN = Rate("JPY", "USD", Decimal("0.0067"), TODAY, "A list", "Abel Strand")


class TestArithmetic:
    """Worked by hand: 100.05 x 0.7315 = 73.186575, half up to the cent."""

    def test_an_amount_is_turned_once_and_rounded_half_up(self):
        assert RATE.at_home(10_005) == 7_319
        assert RATE.at_home(-10_005) == -7_319
        # 1,500 yen have no cents: 1500 x 0.0067 = 10.05.
        assert YEN.at_home(1_500) == 1_005
        # 73.15 / 0.7315 = 100.
        assert RATE.abroad(7_315) == 10_000
        assert YEN.abroad(67) == 100

    def test_a_sum_of_which_one_part_has_no_rate_is_not_told(self):
        amounts = [(1, "CAD", 10_000), (2, "CAD", 10_000), (1, "JPY", 1_500)]
        rates = {(1, "CAD"): RATE, (1, "JPY"): YEN}
        assert set(about_of(amounts, rates)) == {"JPY"}
        both = about_of(amounts, {**rates, (2, "CAD"): RATE})["CAD"]
        assert (both.cents, both.rates) == (14_630, (RATE,))
        euros = Rate("CAD", "EUR", Decimal("0.67"), TODAY, "A list", "Abel Strand")
        assert "CAD" not in about_of(amounts, {**rates, (2, "CAD"): euros})
