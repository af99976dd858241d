"""Time at the bench on its pages: setup is ours, damage reaches the claim as labor."""

import pytest
from django.db import connection
from django.test import TestCase
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from claims.models import BookedMinutes, Claim, ClaimLine
from inventory.rules.reckoning.moments import dock_day
from inventory.views.core.clock import now, today_at
from tests import making
from tests.claims.stage import claim_it, set_stage
from tests.people import cast

pytestmark = pytest.mark.database


class TimePages(TestCase):
    """A machine whose deck shell (350.00) takes 2 h at 125.00: 600.00."""

    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.stage = set_stage(cls.people)
        cls.unit, cls.finding = cls.stage.unit, cls.stage.finding

    def as_(self, name):
        self.client.force_login(getattr(self.people, name))
        return self.client

    def page(self, name, row, who="mina"):
        return self.as_(who).get(reverse(name, args=[row.pk]))

    def book(self, work, minutes, /, who="tomas", **over):
        data = {
            "work": work,
            "minutes": str(minutes),
            "finding": str(self.finding.pk) if work != "setup" else "",
            "done_on": today_at(self.people.riverside).isoformat(),
        }
        address = reverse("book_minutes", args=[self.unit.pk])
        return self.as_(who).post(address, {**data, **over})

    def back(self, row, reason="Booked on the wrong machine.", who="tomas"):
        address = reverse("reverse_minutes", args=[row.pk])
        return self.as_(who).post(address, {"reason": reason})


class Setup(TimePages):
    def test_time_for_setup_never_reaches_a_claim(self):
        for minutes in (30, 240, 7):
            self.book("setup", minutes)
        self.assertContains(self.page("minutes", self.unit), "Setup: 4 h 37 min")
        self.assertContains(self.page("finding", self.finding), "600.00")
        claim = claim_it(self.people, self.stage)
        assert claim.lines.get().repair_cents == 60_000
        self.book("setup", 60)
        page = self.page("claim", claim)
        self.assertContains(page, "<div>2 h <span")
        self.assertNotContains(page, "Estimate changed")
        assert ClaimLine.objects.get().repair_cents == 60_000

    def test_a_finding_sent_with_setup_is_left_out(self):
        self.book("setup", 30, finding=str(self.finding.pk))
        assert BookedMinutes.objects.get().finding is None

    def test_without_a_finding_only_setup_is_offered(self):
        bare = making.make_unit(self.stage.shipment)
        form = self.page("book_minutes", bare).context["form"]
        assert [key for key, _ in form.fields["work"].choices] == ["setup"]
        assert "finding" not in form.fields


class Damage(TimePages):
    def test_time_for_damage_reaches_the_claim_as_labor_at_the_rate_shown(self):
        self.assertContains(
            self.page("book_minutes", self.unit, "tomas"), "125.00 an hour"
        )
        self.book("inspection", 30)
        self.book("repair", 90)
        page = self.page("minutes", self.unit)
        self.assertContains(page, "Inspection 30 min, repair 1 h 30 min.")
        self.assertContains(page, "250.00</strong> of labor")
        claim = claim_it(self.people, self.stage)
        assert claim.lines.get().repair_cents == 60_000
        page = self.page("claim", claim)
        self.assertContains(page, "inspection 30 min, repair 1 h 30 min")
        self.assertContains(page, '<td data-label="Labor cost" class="number">$250.00')

    def test_time_booked_after_the_claim_is_offered_to_its_line(self):
        claim = claim_it(self.people, self.stage)
        self.book("tear-down", 60)
        take = reverse("take_estimate", args=[claim.lines.get().pk])
        page = self.page("claim", claim)
        self.assertContains(page, "estimate is now $725.00")
        self.assertContains(page, take)
        self.assertContains(self.client.get(take), "the estimate is now USD 725.00")
        version = claim.lines.get().version
        assert self.as_("mina").post(take, {"version": version}).status_code == 302
        line = claim.lines.get()
        assert (line.repair_cents, line.worked_cents) == (72_500, 72_500)
        self.assertNotContains(self.page("claim", claim), "Estimate changed")

    def test_a_line_with_the_carrier_stays_as_it_was_sent(self):
        claim = claim_it(self.people, self.stage)
        Claim.objects.filter(pk=claim.pk).update(
            state="sent", sent_on=dock_day(now(), self.people.riverside.zone)
        )
        self.book("tear-down", 60)
        line = claim.lines.get()
        take = reverse("take_estimate", args=[line.pk])
        page = self.page("claim", claim)
        self.assertContains(page, "estimate is now $725.00")
        self.assertNotContains(page, take)
        answer = self.as_("mina").post(take, {"version": line.version})
        assert answer.status_code == 422
        assert claim.lines.get().repair_cents == 60_000

    def test_a_claim_that_is_over_says_nothing_of_it(self):
        claim = claim_it(self.people, self.stage)
        self.book("tear-down", 60)
        Claim.objects.filter(pk=claim.pk).update(state="settled")
        self.assertNotContains(self.page("claim", claim), "Estimate changed")

    def test_a_total_loss_asks_for_no_labor(self):
        claim = claim_it(self.people, self.stage, outcome="total")
        self.book("inspection", 30)
        page = self.page("claim", claim)
        self.assertNotContains(page, "Estimate changed")
        self.assertContains(page, '<td data-label="Labor"></td>')
        line = claim.lines.get()
        take = reverse("take_estimate", args=[line.pk])
        answer = self.as_("mina").post(take, {"version": line.version})
        self.assertContains(answer, "asks for no repair", status_code=422)

    def test_a_mistake_is_taken_back_by_a_row_of_its_own(self):
        self.book("repair", 90)
        row = BookedMinutes.objects.get()
        back = reverse("reverse_minutes", args=[row.pk])
        self.assertContains(self.page("minutes", self.unit, "tomas"), back)
        self.assertContains(
            self.back(row, reason=""), "Enter the reason", status_code=422
        )
        self.back(row)
        page = self.page("minutes", self.unit, "tomas")
        self.assertContains(page, "Taken back")
        self.assertContains(page, "-1 h 30 min")
        self.assertNotContains(page, back)
        self.assertContains(self.back(row), "taken back already", status_code=422)
        self.assertContains(self.page("finding", self.finding), "600.00")

    def test_bad_input_says_what_to_enter(self):
        for over, field, said in (
            ({"minutes": ""}, "minutes", "Enter the minutes."),
            ({"minutes": "0"}, "minutes", "from 1 to 1,440"),
            ({"minutes": "1441"}, "minutes", "from 1 to 1,440"),
            ({"minutes": "an hour"}, "minutes", "whole number in digits"),
            ({"work": ""}, "work", "Choose one."),
            ({"work": "coffee"}, "work", "Choose one of those listed."),
            ({"finding": ""}, "finding", "Choose the finding"),
            ({"finding": "999999"}, "finding", "Choose one of those listed."),
            ({"done_on": ""}, "done_on", "Enter a date."),
            ({"done_on": "2999-01-01"}, "done_on", "in the future"),
            ({"note": "x" * 301}, "note", "Shorten this"),
        ):
            with self.subTest(over):
                answer = self.book("repair", 30, **over)
                assert answer.status_code == 422
                assert said in " ".join(answer.context["form"].errors[field])
        assert not BookedMinutes.objects.exists()

    def test_a_finding_of_another_machine_is_not_offered(self):
        other = making.make_finding(unit=making.make_unit(self.stage.shipment))
        answer = self.book("repair", 30, finding=str(other.pk))
        assert answer.status_code == 422

    def test_amounts_are_for_those_who_see_money(self):
        self.book("repair", 90)
        page = self.page("minutes", self.unit, "tomas")
        self.assertContains(page, "125.00 an hour")
        self.assertNotContains(page, "187.50")

    def test_who_does_not_inspect_books_nothing(self):
        assert self.book("setup", 30, who="rosa").status_code == 403
        assert self.book("setup", 30, who="nell").status_code == 404
        self.assertNotContains(
            self.page("minutes", self.unit, "rosa"),
            reverse("book_minutes", args=[self.unit.pk]),
        )

    def test_the_page_asks_the_same_queries_for_one_and_for_four(self):
        counts = []
        for _round in range(2):
            self.page("minutes", self.unit)
            with CaptureQueriesContext(connection) as queries:
                self.page("minutes", self.unit)
            counts.append(len(queries))
            for _ in range(3):
                finding = making.make_finding(crate=self.stage.crate, unit=self.unit)
                self.book("repair", 5, finding=str(finding.pk))
                self.book("setup", 5)
        assert counts[0] == counts[1]
