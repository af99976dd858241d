"""The list of crates, and the acts on one, at the yard's own pages."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import TestCase
from django.urls import reverse

from inventory.models import CrateCheck, Evidence
from inventory.queries.crates.yard import available_crates
from tests import making
from tests.people import cast
from tests.pictures import jpeg

pytestmark = pytest.mark.database


class Yard(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.shipment = making.make_shipment(location=cls.who.riverside)
        cls.crate = making.make_reusable(cls.shipment)
        cls.panel, cls.lid = cls.crate.crate_type.parts.order_by("pk")

    def setUp(self):
        self.client.force_login(self.who.tomas)

    def page(self, name, crate=None):
        return reverse(name, args=[(crate or self.crate).pk])

    def send(self, name, crate=None, **data):
        crate = crate or self.crate
        crate.refresh_from_db()
        return self.client.post(
            self.page(name, crate), {"version": crate.version, **data}
        )

    def state(self):
        self.crate.refresh_from_db()
        return self.crate.state


class TestActs(Yard):
    def test_the_machine_is_out_by_one_button(self):
        full = making.make_reusable(
            self.shipment, state="full", opened_at=making.ARRIVED
        )
        self.assertRedirects(self.send("empty_crate", full), self.page("crate", full))
        full.refresh_from_db()
        assert full.state == "emptied"

    def test_a_second_click_is_told_and_changes_nothing(self):
        answer = self.client.post(self.page("empty_crate"), follow=True)
        self.assertContains(answer, "It is already empty. Nothing was changed.")

    def test_the_check_page_says_how_it_comes_apart(self):
        page = self.client.get(self.page("check_crate"))
        self.assertContains(page, "Lid first.")
        self.assertContains(page, "Gloves and eye protection on")
        self.assertContains(page, "Side panel: 4 required")

    def test_a_check_keeps_its_parts_and_photos(self):
        shot = SimpleUploadedFile("panel.jpg", jpeg(), "image/jpeg")
        answer = self.send(
            "check_crate",
            photos=shot,
            note="Split at the post.",
            **{f"missing_{self.panel.pk}": "1", f"damaged_{self.lid.pk}": "1"},
        )
        self.assertRedirects(answer, self.page("crate"))
        assert self.state() == "incomplete"
        check = CrateCheck.objects.get()
        assert check.note == "Split at the post."
        assert sum(line.missing + line.damaged for line in check.lines.all()) == 2
        assert Evidence.objects.get().kind == "crate-check"

    def test_too_many_parts_are_told_and_what_was_typed_stays(self):
        answer = self.send(
            "check_crate",
            note="Two of them",
            **{f"missing_{self.lid.pk}": "1", f"damaged_{self.lid.pk}": "1"},
        )
        self.assertContains(answer, "more than the 1 required", status_code=422)
        self.assertContains(answer, "Two of them", status_code=422)
        assert self.state() == "emptied"

    def test_a_crate_of_no_type_leads_to_saying_it_first(self):
        bare = making.make_reusable(self.shipment, crate_type=None)
        page = self.client.get(self.page("check_crate", bare))
        self.assertContains(page, self.page("set_crate_type", bare))
        self.assertNotContains(page, "Record the check")

    def test_a_held_crate_says_why_it_is_not_taken_apart(self):
        making.make_packaging_hold(self.crate)
        page = self.client.get(self.page("check_crate"))
        self.assertContains(page, "The packaging is on hold")
        self.assertNotContains(page, "Record the check")
        assert self.send("check_crate").status_code == 422

    def test_a_type_of_its_own_supplier_is_chosen(self):
        other = making.make_crate_type(self.shipment.supplier)
        answer = self.send("set_crate_type", crate_type=other.pk)
        self.assertRedirects(answer, self.page("crate"))
        self.crate.refresh_from_db()
        assert self.crate.crate_type == other

    def test_a_type_of_another_supplier_is_no_choice(self):
        answer = self.send("set_crate_type", crate_type=making.make_crate_type().pk)
        self.assertContains(answer, "Choose one of those listed", status_code=422)

    def test_scrapping_keeps_its_reason(self):
        answer = self.send("scrap_crate", reason="")
        self.assertContains(answer, "Enter why it is scrapped", status_code=422)
        self.send("scrap_crate", reason="Base rotten through.")
        assert self.state() == "scrapped"
        page = self.client.get(self.page("crate"))
        self.assertContains(page, "Base rotten through.")

    def test_a_stale_page_is_told(self):
        self.send("check_crate")
        data = {"version": 1, "reason": "Rotten, really"}
        answer = self.client.post(self.page("scrap_crate"), data)
        self.assertContains(
            answer, "Someone changed this after you opened it", status_code=422
        )
        self.assertContains(answer, "Rotten, really", status_code=422)

    def test_a_one_way_crate_is_disposed_of_once(self):
        crate = making.make_crate(
            self.shipment, opened_at=making.ARRIVED, opened_on=making.ARRIVED.date()
        )
        answer = self.send("dispose_crate", crate, how="reused")
        self.assertRedirects(answer, self.page("crate", crate))
        answer = self.send("dispose_crate", crate, how="landfill")
        self.assertContains(answer, "already disposed of", status_code=422)

    def test_accounting_does_not_touch_crates(self):
        self.client.force_login(self.who.abel)
        for name in ("check_crate", "scrap_crate", "set_crate_type"):
            assert self.client.get(self.page(name)).status_code == 403
        assert self.client.post(self.page("empty_crate")).status_code == 403

    def test_the_button_takes_no_get(self):
        assert self.client.get(self.page("empty_crate")).status_code == 405


class TestList(Yard):
    def names(self, **query):
        page = self.client.get(reverse("crates"), query)
        assert page.status_code == 200
        return [row.crate.pk for row in page.context["page"].object_list]

    def test_each_narrowing_shows_its_own(self):
        held = making.make_reusable(self.shipment, state="complete")
        making.make_packaging_hold(held)
        ready = making.make_reusable(self.shipment, state="incomplete")
        gone = making.make_reusable(self.shipment, state="credited")
        one_way = making.make_crate(self.shipment, opened_at=making.ARRIVED)
        making.make_reusable(self.shipment, look="refused", state="")
        assert sorted(self.names()) == [self.crate.pk, held.pk, ready.pk]
        assert self.names(which="to-do") == [self.crate.pk]
        assert self.names(which="ready") == [ready.pk]
        assert self.names(which="held") == [held.pk]
        assert self.names(which="credited") == [gone.pk]
        assert self.names(which="one-way") == [one_way.pk]

    def test_a_supplier_narrows_it_and_nonsense_does_not(self):
        other = making.make_shipment(location=self.who.riverside)
        theirs = making.make_reusable(other)
        assert self.names(supplier=other.supplier_id) == [theirs.pk]
        everything = sorted([self.crate.pk, theirs.pk])
        for text in ("", "x", "٣", "9" * 30, "-1"):
            assert sorted(self.names(supplier=text, which="?")) == everything

    def test_a_crate_of_another_location_is_not_there(self):
        far = making.make_shipment(location=self.who.hillcrest)
        making.make_reusable(far)
        assert self.names() == [self.crate.pk]

    def test_the_money_is_for_those_who_see_deposits(self):
        self.assertNotContains(
            self.client.get(reverse("crates")), "Credit if returned today"
        )
        self.client.force_login(self.who.mina)
        self.assertContains(
            self.client.get(reverse("crates")), "Credit if returned today"
        )

    def test_many_come_in_pages_and_a_page_too_far_is_the_last(self):
        for _ in range(30):
            making.make_reusable(self.shipment, crate_type=self.crate.crate_type)
        assert len(self.names()) == 25
        assert len(self.names(page="99")) == 6


class TestAvailable(Yard):
    def test_only_checked_crates_that_are_not_held_can_be_staged(self):
        supplier = self.shipment.supplier
        ready = making.make_reusable(self.shipment, state="damaged")
        held = making.make_reusable(self.shipment, state="complete")
        making.make_packaging_hold(held)
        other = making.make_shipment(location=self.who.riverside)
        making.make_reusable(other, state="complete")
        assert list(available_crates(self.who.riverside, supplier)) == [ready]
        hold = held.packaging_holds.get()
        hold.released_at, hold.released_on = making.ARRIVED, making.ARRIVED.date()
        hold.released_how = "inspected"
        hold.save()
        found = available_crates(self.who.riverside, supplier)
        assert list(found) == [ready, held]
