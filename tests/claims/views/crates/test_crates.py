"""A crate's page tells one story, with its days, its money and each person's acts."""

from datetime import date, timedelta

import pytest
from django.urls import reverse

from inventory.actions.crates.checks import check_crate
from inventory.actions.deposits.ending import charge_deposits
from inventory.actions.returns.staging import make_return, stage_crates
from inventory.models import CrateReturn, CrateTerms, ShortCredit
from tests import making
from tests.claims.crate_stage import Crates

pytestmark = pytest.mark.database


class TestCratePage(Crates):
    def test_it_shows_state_days_and_what_comes_next(self):
        self.charge(50)
        page = self.page()
        self.assertContains(page, "Next: Check it against its parts list.")
        self.assertContains(page, "10 days left.")
        self.assertContains(page, "$185.00")
        self.assertContains(page, "invoice HTI-100", html=False)

    def test_past_its_day_it_says_what_another_day_costs(self):
        self.charge(61)
        page = self.page()
        self.assertContains(page, "Late.")
        self.assertContains(page, "Shipping it tomorrow costs $3.09 more.")

    def test_past_its_last_day_another_day_costs_nothing_and_is_not_named(self):
        self.charge(500)
        page = self.page()
        self.assertContains(page, "Shipped back today it earns $0.00.")
        self.assertNotContains(page, "tomorrow")

    def test_the_technician_sees_days_but_no_money(self):
        self.charge(50)
        self.client.force_login(self.who.tomas)
        page = self.page()
        self.assertContains(page, "10 days left.")
        self.assertNotContains(page, "185.00")
        self.assertNotContains(page, "HTI-100")

    def test_the_story_tells_check_and_charge_in_order(self):
        self.charge(50)
        check_crate(
            person=self.who.tomas, at=making.ARRIVED, crate=self.crate, found=()
        )
        words = self.page().content.decode()
        story = words[words.index('id="story"') :]
        charged = story.index("Deposit of USD 185.00 charged")
        assert charged < story.index("checked against its parts list: complete")

    def test_the_story_leaves_out_the_other_crates_of_its_return(self):
        other = making.make_reusable(self.shipment)
        for crate in (self.crate, other):
            check_crate(person=self.who.tomas, at=making.ARRIVED, crate=crate, found=())
        back = make_return(
            person=self.who.rosa,
            at=making.ARRIVED,
            location=self.who.riverside,
            supplier=self.shipment.supplier,
            today=self.today,
        )
        stage_crates(
            person=self.who.rosa,
            at=making.ARRIVED,
            crate_return=back,
            crates=[self.crate, other],
        )
        words = self.page().content.decode()
        story = words[words.index('id="story"') :]
        assert f"Return {back.number} to" in story
        assert f"Crate {self.crate.number} staged" in story
        assert f"Crate {other.number} staged" not in story

    def test_each_person_is_offered_their_own_acts(self):
        check = reverse("check_crate", args=[self.crate.pk])
        self.client.force_login(self.who.tomas)
        self.assertContains(self.page(), check)
        self.client.force_login(self.who.abel)
        self.assertNotContains(self.page(), check)

    def test_a_checked_crate_leads_to_the_truck_home(self):
        check_crate(
            person=self.who.tomas, at=making.ARRIVED, crate=self.crate, found=()
        )
        new = reverse("make_return")
        self.assertContains(self.page(), f"{new}?supplier={self.shipment.supplier_id}")
        begun = CrateReturn.objects.create(
            currency="USD",
            location=self.who.riverside,
            supplier=self.shipment.supplier,
            number="R-1",
            made_at=making.ARRIVED,
            made_by=self.who.rosa,
        )
        self.assertContains(self.page(), reverse("stage_crates", args=[begun.pk]))
        self.client.force_login(self.who.tomas)
        self.assertNotContains(self.page(), reverse("stage_crates", args=[begun.pk]))

    def test_accounting_is_offered_the_charge_until_it_stands(self):
        self.client.force_login(self.who.abel)
        self.assertContains(self.page(), reverse("charge_deposits"))
        self.charge(5)
        self.assertNotContains(self.page(), reverse("charge_deposits"))

    def test_an_uncharged_crate_says_why_no_day_is_counted(self):
        self.assertContains(self.page(), "No deposit is charged on it yet")

    def test_terms_that_lack_a_date_say_which(self):
        self.charge(50)
        CrateTerms.objects.create(
            currency="USD",
            supplier=self.shipment.supplier,
            starts_on=date(2021, 1, 1),
            clock_starts="shipment",
            clock_stops="pick-up",
            full_days=60,
            decline="none",
            return_freight="us",
            source="Sheet 2",
            added_at=making.ARRIVED,
        )
        other = making.make_reusable(
            making.make_shipment(
                location=self.who.riverside,
                supplier=self.shipment.supplier,
                bol_on=None,
            )
        )
        charge_deposits(
            location=self.who.riverside,
            supplier=self.shipment.supplier,
            invoice_number="HTI-101",
            line_number=1,
            invoiced_on=self.today - timedelta(days=3),
            crate_type=other.crate_type,
            count=1,
            amount_cents=18_500,
            marks=[],
            crates=[other],
            posting_key="test/2",
            person=self.who.abel,
            at=making.ARRIVED,
        )
        self.assertContains(
            self.page(row=other), "The clock starts with the supplier&#x27;s shipment"
        )

    def test_a_one_way_crate_offers_its_disposal(self):
        crate = making.make_crate(
            self.shipment, opened_at=making.ARRIVED, opened_on=date(2026, 3, 10)
        )
        page = self.page(row=crate)
        self.assertContains(page, reverse("dispose_crate", args=[crate.pk]))
        self.assertNotContains(page, "Days and credit")

    def test_a_refused_crate_offers_nothing(self):
        crate = making.make_crate(self.shipment, look="refused")
        page = self.page(row=crate)
        self.assertContains(page, "It never became ours")
        self.assertNotContains(page, reverse("dispose_crate", args=[crate.pk]))

    def test_what_is_short_leads_to_its_own_page(self):
        self.charge(50)
        short = ShortCredit.objects.create(
            currency="USD",
            location=self.who.riverside,
            supplier=self.shipment.supplier,
            deposit=self.crate.deposits.get(),
            cause="price",
            amount_cents=6_500,
            opened_on=self.today,
        )
        link = reverse("short_credit", args=[short.pk])
        self.assertContains(self.page(), link)
        self.client.force_login(self.who.tomas)
        self.assertNotContains(self.page(), link)

    def test_a_kept_panel_is_told(self):
        making.make_packaging_hold(
            self.crate,
            released_at=making.ARRIVED,
            released_on=date(2026, 3, 12),
            released_how="manager",
            panel_kept="Side panel 2",
        )
        self.assertContains(self.page(), "Side panel 2")


class TestBench(Crates):
    def test_crates_to_empty_and_check_stand_on_the_bench(self):
        self.client.force_login(self.who.tomas)
        page = self.client.get(reverse("bench"))
        self.assertContains(page, "Crates to empty, take apart and check: 1")
        self.assertContains(page, reverse("check_crate", args=[self.crate.pk]))
