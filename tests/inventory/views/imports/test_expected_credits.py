"""Credits already expected: brought in as openings, then matched like any other."""

from datetime import UTC, date, datetime

import pytest
import time_machine
from django.urls import reverse

from inventory.actions.memos.entering import enter_memo
from inventory.actions.memos.posting import post_memo
from inventory.models import CrateType, Deposit, Entry, ShortCredit
from inventory.queries.deposits.aging import ageing_of
from inventory.queries.memos.supplier_statement import Span, statement_of
from inventory.rules.memos.matching import Line
from tests.inventory.views.imports.lists import csv_rows
from tests.inventory.views.imports.test_undoing import UndoCase
from tests.ledger import make_terms
from tests.making import make_reusable, make_shipment, make_supplier
from tests.returning import balances

pytestmark = pytest.mark.database

NOW = datetime(2026, 5, 4, 15, 0, tzinfo=UTC)
TODAY = date(2026, 5, 4)
HEAD = (
    "Supplier",
    "Our bill number",
    "Shipped back on",
    "Crate type",
    "Crate marks",
    "Crates",
    "Credit expected per crate",
    "Supplier's reference",
)
MARKED = ["Teal Tillage", "R-22", "2026-02-02", "", "t1; t2", "2", "148", "RMA 5"]
COUNTED = ["Teal Tillage", "R-22", "2026-02-02", "Wheel crate", "", "1", "60.50", ""]


@time_machine.travel(NOW, tick=False)
class TestExpectedCredits(UndoCase):
    sender = "abel"

    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.supplier = make_supplier(name="Teal Tillage")
        CrateType.objects.create(supplier=cls.supplier, name="Wheel crate")
        make_terms(cls.supplier, transit_days=4, unloading_days=1, memo_days=30)

    def setUp(self):
        super().setUp()
        self.place = self.who.riverside
        self.more = {"location": self.place.pk}

    def opened(self):
        return self.bring(HEAD, MARKED, COUNTED, kind="expected-credits")

    def memo(self, *lines):
        memo = enter_memo(
            location=self.place,
            supplier=self.supplier,
            number="CM-1",
            dated_on=TODAY,
            received_on=TODAY,
            lines=[Line(n, cents, mark) for n, (mark, cents) in enumerate(lines, 1)],
            person=self.who.abel,
            at=NOW,
        )
        post_memo(memo=memo, version=memo.version, person=self.who.abel, at=NOW)
        return memo

    def test_they_are_posted_as_expected_on_the_day_of_the_import(self):
        self.opened()
        # 2 x 148.00 + 60.50 = 356.50
        assert balances() == {"credits-expected": 35_650, "opening-balances": -35_650}
        entries = (
            Entry.objects.order_by().values_list("kind", "effective_on").distinct()
        )
        assert list(entries) == [("opening", TODAY)]
        rows = Deposit.objects.order_by("pk")
        told = rows.values_list("mark", "invoice_number", "line_number")
        assert list(told) == [("T1", "RMA 5", 1), ("T2", "RMA 5", 1), ("", "R-22", 1)]
        # Shipped 2 February + 4 + 1 + 30 days: the memo was due on 9 March, 56 days ago.
        (aged,) = ageing_of([self.place], {self.place.pk: TODAY})
        late = {one.label: one.cents for one in aged.expected if one.cents}
        assert list(late.values()) == [35_650]
        assert not aged.here or not sum(one.cents for one in aged.here)
        paper = statement_of(self.place, self.supplier, Span(TODAY, TODAY, "USD"))
        assert paper.closing == "356.50"

        page = self.client.get(reverse("earlier_credits"))
        self.assertContains(page, "56 days late", count=3)
        one = self.client.get(reverse("deposit", args=[rows[0].pk]))
        self.assertContains(one, "before these books, on bill")
        self.assertNotContains(one, "Match to a crate")
        desk = self.client.get(reverse("deposits"))
        self.assertNotContains(desk, "Not matched to a crate: ")

    def test_a_mark_that_is_here_again_is_another_crate(self):
        bill = make_shipment(location=self.place, supplier=self.supplier)
        crate = make_reusable(bill, mark="T1")
        self.opened()
        assert not Deposit.objects.exclude(crate=None).exists()
        row = Deposit.objects.get(mark="T1")
        page = reverse("match_deposit", args=[row.pk])
        answer = self.client.post(page, {"version": 1, "crate": crate.pk})
        self.assertContains(answer, "was shipped back on bill R-22", status_code=422)

    def test_a_memo_pays_them_and_what_is_short_is_followed(self):
        self.opened()
        self.memo(("T1", 14_800), ("T2", 10_000))
        assert balances() == {
            "credits-expected": 4_800 + 6_050,
            "supplier-account": 24_800,
            "opening-balances": -35_650,
        }
        short = ShortCredit.objects.get()
        assert (short.deposit.mark, short.amount_cents) == ("T2", 4_800)
        page = self.client.get(reverse("short_credit", args=[short.pk]))
        self.assertContains(page, "T2")
        self.assertContains(self.client.get(reverse("earlier_credits")), "Closed", 1)

    def test_an_undo_reverses_them_and_the_file_may_come_again(self):
        row = self.opened()
        self.undo(row)
        assert balances() == {}
        assert Deposit.objects.filter(is_withdrawn=True).count() == 3
        self.opened()
        assert balances()["credits-expected"] == 35_650

    def test_one_that_a_memo_names_stays(self):
        row = self.opened()
        self.memo(("T1", 14_800))
        answer = self.undo(row)
        self.assertContains(answer, "Row 2, Deposit on T1, is used by", status_code=422)
        assert Deposit.objects.filter(is_withdrawn=False).count() == 3

    def test_the_same_row_is_there_already_and_a_later_day_is_refused(self):
        self.opened()
        same = ["teal tillage", "r-22", "2026-02-02", "", "T2;T1", "2", "148.00", "x"]
        other = ["Teal Tillage", "R-22", "2026-02-02", "", "T3", "1", "148.00", ""]
        late = ["Teal Tillage", "R-23", "2026-05-05", "", "", "1", "148.00", ""]
        preview = self.load(csv_rows(HEAD, same, other, late), "expected-credits")
        assert [one for *_, one in self.fates(preview)] == ["there", "new", "refused"]
