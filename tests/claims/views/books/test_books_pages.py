"""Accounting's pages: the month, what is behind it, the openings, basis and figures."""

import csv
from datetime import timedelta
from io import StringIO
from unittest import mock

import pytest
import time_machine
from django.db import connection
from django.test import TestCase
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from claims.models import BookingBasis, Claim, ClaimBooking
from inventory.models import Entry
from tests.claims.booking import balances, filed_claim, pay
from tests.claims.stage import AT, TODAY, claim_it, set_stage
from tests.people import cast

pytestmark = pytest.mark.database

NO_MONTHS = (
    *("0001-01", "0000-00", "1999-12", "9999-12", "2026-13", "2026-4", "rubbish"),
    *("-1", "2026-03-01", "\N{BENGALI DIGIT TWO}026-03", "9" * 4000),
)
"""What an address may name as a month, and no page shows."""


class PageCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.claim = filed_claim(cls.people)
        pay(cls.people, cls.claim, 20_000)

    def setUp(self):
        travel = time_machine.travel(AT + timedelta(hours=2), tick=False)
        travel.start()
        self.addCleanup(travel.stop)
        self.client.force_login(self.people.abel)

    def get(self, name, *args, **query):
        return self.client.get(reverse(name, args=args), query)

    def rows(self, answer):
        return list(csv.reader(StringIO(answer.getvalue().decode("utf-8-sig"))))


class MonthTests(PageCase):
    def test_it_ties_and_says_so(self):
        answer = self.get("books")

        self.assertContains(answer, "Ties to the cent")
        self.assertContains(answer, "$600.00")
        self.assertContains(answer, "\N{MINUS SIGN}$200.00")
        self.assertContains(answer, self.claim.number)

    def test_it_says_where_it_does_not(self):
        Claim.objects.filter(pk=self.claim.pk).update(state="not-pursued")

        self.assertContains(self.get("books"), "Does not tie")

    def test_the_open_claims_are_paged_and_added_up_whole(self):
        claims = [self.claim, *(filed_claim(self.people) for _ in range(2))]
        with mock.patch("claims.views.books.month.PAGE_SIZE", 2):
            first = self.get("books")
            second = self.get("books", **{"open-USD": 2})

        for answer, on_page in ((first, claims[:2]), (second, claims[2:])):
            ((_, page),) = answer.context["months"]
            assert [one.claim for one in page.object_list] == on_page
            self.assertContains(answer, "3 open claims")
            self.assertContains(answer, "Ties to the cent")

    def test_what_differs_from_the_ledger_is_on_the_first_page(self):
        other = filed_claim(self.people)
        Claim.objects.filter(pk=other.pk).update(state="not-pursued")
        with mock.patch("claims.views.books.month.PAGE_SIZE", 1):
            ((_, page),) = self.get("books").context["months"]

        assert [one.claim for one in page.object_list] == [other]

    def test_the_files_have_the_pages_figures(self):
        rows = self.rows(self.get("books", **{"as": "csv"}))
        heads, (row, total) = rows[0], rows[1:]
        cash = heads.index("Cash received")

        assert row[cash] == total[cash] == "-200.00"
        assert total[heads.index("Closing")] == "400.00"
        rows = self.rows(self.get("books", **{"as": "csv", "list": "open"}))
        assert rows[-1][rows[0].index("Open")] == "400.00"
        assert self.get("books", **{"as": "xlsx"}).status_code == 200

    def test_a_month_before_is_empty_and_what_is_no_month_is_said(self):
        self.assertContains(self.get("books", month="2026-01"), "No claim has reached")
        self.assertContains(self.get("books", month="2000-01"), "No claim has reached")
        for asked in (*NO_MONTHS, "2026-04"):
            for name, more in (
                ("books", {}),
                ("books", {"as": "csv"}),
                ("claim_entries", {}),
            ):
                with self.subTest(page=name, asked=asked[:20], more=more):
                    answer = self.get(name, month=asked, **more)
                    self.assertContains(
                        answer, "It shows March 2026 instead", status_code=422
                    )
        assert self.get("books", place="999").status_code == 404

    def test_a_figure_leads_to_its_entries(self):
        carrier = f"carrier-{self.claim.shipment.carrier_id}"
        answer = self.get("claim_entries", line="cash", partner=carrier)

        self.assertContains(answer, "Payment on a claim")
        self.assertNotContains(answer, "Claim filed")
        self.assertContains(answer, "\N{MINUS SIGN}$200.00")
        other = self.get("claim_entries", line="cash", partner="carrier-999999")
        self.assertContains(other, "No entries in this month")
        for hostile in (
            "carrier-x",
            "carrier-" + "9" * 40,
            "-",
            "\N{BENGALI DIGIT ONE}",
        ):
            assert self.get("claim_entries", partner=hostile).status_code == 200

    def test_another_location_sees_nothing_of_it(self):
        self.client.force_login(self.people.nell)

        self.assertNotContains(self.get("books"), self.claim.number, status_code=200)


class QueryTests(PageCase):
    def queries(self, name):
        with CaptureQueriesContext(connection) as taken:
            assert self.get(name).status_code == 200
        return len(taken)

    @pytest.mark.slow
    def test_a_page_takes_the_same_queries_with_more_claims(self):
        names = ("books", "claim_entries")
        before = {name: self.queries(name) for name in names}
        for _ in range(3):
            pay(self.people, filed_claim(self.people), 100)

        assert {name: self.queries(name) for name in names} == before


class ClaimTests(PageCase):
    def test_the_claim_shows_its_entries_and_balances(self):
        answer = self.get("claim_books", self.claim.pk)

        self.assertContains(answer, "Claims receivable")
        self.assertContains(answer, "Payment on a claim")

    def test_a_figure_is_stated(self):
        url = reverse("state_figure", args=[self.claim.pk])
        answer = self.client.post(
            url, {"what": "loss", "cents": "500.00", "reason": "Body shop."}
        )

        self.assertRedirects(answer, reverse("claim_books", args=[self.claim.pk]))
        assert balances()["freight-damage-loss"] == 50_000

    def test_typed_text_comes_back(self):
        url = reverse("state_figure", args=[self.claim.pk])
        answer = self.client.post(url, {"what": "loss", "cents": "x", "reason": "Kept"})

        self.assertContains(answer, "Kept", status_code=422)

    def test_an_entry_of_a_claim_names_the_carrier_and_is_not_reversed_here(self):
        entry = Entry.objects.get(kind="claim-filed")
        answer = self.get("entry", entry.pk)

        self.assertContains(answer, str(self.claim.shipment.carrier))
        self.assertContains(answer, "follows from another record")


class DecisionTests(PageCase):
    def test_the_basis_is_set_for_what_is_filed_from_now_on(self):
        url = reverse("booking_basis")
        answer = self.client.post(
            url, {"basis": "probable", "labor_rate_cents": "40.00"}
        )

        self.assertRedirects(answer, f"{url}?location={self.people.riverside.pk}")
        assert BookingBasis.objects.latest("pk").basis == "probable"
        assert ClaimBooking.objects.get().basis == "filing"
        self.assertContains(self.client.get(url), "When accounting states")

    def test_openings_are_shown_before_anything_is_posted(self):
        claim = claim_it(self.people, set_stage(self.people))
        Claim.objects.filter(pk=claim.pk).update(
            state="received", sent_on=TODAY, received_on=TODAY
        )
        url = reverse("open_claims_in_books")
        before = Entry.objects.count()
        self.assertContains(self.client.get(url), claim.number)
        self.assertContains(self.get("books"), "1 claim was filed before")
        assert Entry.objects.count() == before

        self.client.post(url, {"on": TODAY.isoformat()})
        assert Entry.objects.get(kind="claim-opening").effective_on == TODAY
        self.assertContains(self.client.get(url), "No claim of Riverside waits")

    def test_a_manager_sees_and_does_not_decide(self):
        self.client.force_login(self.people.mina)

        assert self.get("books").status_code == 200
        for name in ("booking_basis", "open_claims_in_books"):
            assert self.get(name).status_code == 403


class JournalTests(PageCase):
    def test_the_journal_carries_the_claims_entries(self):
        rows = self.rows(self.get("journal", **{"as": "csv"}))
        accounts = {row[rows[0].index("Account")] for row in rows[1:]}

        assert {"Claims receivable", "Freight damage loss"} <= accounts

    def test_a_supplier_balance_knows_nothing_of_claims(self):
        self.assertNotContains(self.get("balances"), "Claims receivable")
