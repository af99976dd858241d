"""Accounting's desk: what lapses, what stands, what does not match, what to take away."""

import csv
import io
from datetime import date, timedelta

import openpyxl
import pytest
import time_machine
from django.test import TestCase
from django.urls import reverse
from pypdf import PdfReader

from inventory.models import BalanceAssertion
from inventory.rules.deposits import postings
from tests import ledger
from tests.making import ARRIVED, make_delivery

pytestmark = pytest.mark.database

NOON = "2026-06-01 17:00:00+00:00"
"""Riverside's Monday 1 June: 83 days after the invoice, 7 before the full credit ends."""


@time_machine.travel(NOON, tick=False)
class TestDesk(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = ledger.make_book()
        cls.terms = ledger.make_terms(cls.book.supplier)
        cls.crate, cls.deposit = ledger.charged_crate(cls.book)
        cls.loose = ledger.charge(cls.book, marks=["HT-77"])

    def setUp(self):
        self.client.force_login(self.book.who.abel)

    def get(self, name="deposits", **asked):
        return self.client.get(reverse(name), asked)

    def test_what_lapses_first_stands_at_the_top_with_what_a_day_costs(self):
        answer = self.get()
        [first, last] = answer.context["lapsing"]
        assert first.deposit == self.deposit
        # Invoice 10 March, full to day 90: 8 June. Half is lost the day after.
        assert first.days.last_full_on == date(2026, 6, 8)
        assert (first.days.days_left, first.days.state) == (7, "running")
        assert last.days.problem.startswith("Charged, but not matched to a crate")

    def test_the_sums_are_those_of_the_ledger(self):
        [total] = self.get().context["totals"]
        assert (total.with_us, total.expected, total.is_open) == (24_000, 0, 24_000)

    def test_a_charge_without_a_crate_leads_to_its_matching(self):
        self.assertContains(self.get(), reverse("match_deposit", args=[self.loose.pk]))

    def test_a_statement_that_disagrees_is_told(self):
        BalanceAssertion.objects.create(
            currency="USD",
            location=self.book.location,
            supplier=self.book.supplier,
            as_of=date(2026, 5, 31),
            stated_cents=12_000,
            entered_at=ARRIVED,
            entered_by=self.book.who.abel,
        )
        answer = self.get()
        [one] = answer.context["disagreeing"]
        assert one.comparison.difference == 12_000
        self.assertContains(
            answer, reverse("state_balance", args=[self.book.supplier.pk])
        )

    def test_the_balance_of_a_past_day_is_told_as_it_was(self):
        rows = self.get("balances", on="2026-03-09").context["rows"]
        assert rows == []
        [row] = self.get("balances", on="2026-03-10").context["rows"]
        assert row.is_open == 24_000

    def test_page_csv_workbook_and_paper_say_the_same_total(self):
        lines = postings.credit_expected(self.deposit.pk, expected=12_000)
        ledger.post(self.book, "credit-expected", lines)
        page = self.get("balances").context["totals"][0].is_open
        text = self.get("balances", **{"as": "csv"}).content.decode("utf-8-sig")
        total = list(csv.reader(io.StringIO(text)))[-1]
        book = io.BytesIO(self.get("balances", **{"as": "xlsx"}).content)
        sheet = openpyxl.load_workbook(book).active
        place = [cell.value for cell in sheet[1]].index("Open in all")
        paper = self.client.get(
            reverse(
                "supplier_statement",
                args=[self.book.location.pk, self.book.supplier.pk],
            )
        )
        words = PdfReader(io.BytesIO(paper.content)).pages[0].extract_text()
        assert page == 24_000
        assert total[place] == "240.00"
        assert sheet.cell(sheet.max_row, place + 1).value == 240
        assert "240.00" in words

    def test_the_paper_can_be_had_of_a_past_day(self):
        url = reverse(
            "supplier_statement", args=[self.book.location.pk, self.book.supplier.pk]
        )
        paper = self.client.get(url, {"last": "2026-03-09"})
        words = PdfReader(io.BytesIO(paper.content)).pages[0].extract_text()
        assert "No deposit is open" in words
        for wrong in ("yesterday", "2026-02-30", "0001-01-01", "9" * 4000):
            answer = self.client.get(url, {"last": wrong}, follow=True)
            self.assertContains(answer, "No statement was made.")
        assert self.client.get(url, {"last": "9999-12-31"}).status_code == 200

    def test_a_page_of_the_ledger_says_which_days_it_does_not_have(self):
        for first, last, words in (
            ("0001-01-01", "0001-01-31", "before 2000-01-01"),
            ("9999-12-01", "9999-12-31", "too far ahead"),
            ("2026-13-01", "2026-13-31", "There is no day 2026-13-01"),
            ("rubbish", "rubbish", "Enter the date as"),
        ):
            for name in ("journal", "trial_balance", "ledger_account"):
                for form in ("", "csv", "xlsx", "beancount"):
                    with self.subTest(page=name, first=first, form=form):
                        asked = {"first": first, "last": last, "as": form}
                        answer = self.get(name, **asked)
                        self.assertContains(answer, words, status_code=422)

    def test_a_journal_that_ends_before_it_begins_is_told_so(self):
        answer = self.get("journal", first="2026-03-31", last="2026-03-01")
        self.assertContains(answer, "before the first", status_code=422)

    def test_a_journal_is_even_on_the_page(self):
        answer = self.get("journal", first="2026-03-01", last="2026-03-31")
        entries = answer.context["page"].entries
        assert len(entries) == 2
        assert all(sum(line.cents for line in one.lines) == 0 for one in entries)

    def test_another_location_sees_nothing_of_it(self):
        self.client.force_login(self.book.who.nell)
        answer = self.get()
        assert (answer.context["lapsing"], answer.context["balances"]) == ([], [])


@time_machine.travel(NOON, tick=False)
class TestPlan(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = ledger.make_book()
        ledger.make_terms(cls.book.supplier)
        cls.crates = []
        for _ in range(3):
            crate, _deposit = ledger.charged_crate(cls.book)
            crate.state = "complete"
            crate.delivery = make_delivery(location=cls.book.location)
            crate.save()
            cls.crates.append(crate)

    def setUp(self):
        self.client.force_login(self.book.who.mina)

    def plan(self, **over):
        pair = f"{self.book.location.pk}-{self.book.supplier.pk}"
        asked = {"pair": pair, "weeks": "8", "ready_days": "3"} | over
        return self.client.get(reverse("plan_returns"), asked)

    def keep_costs(self, **over):
        values = {
            "version": "1",
            "pickup_cents": "90.00",
            "per_crate_cents": "0",
            "yard_cents_per_day": "0",
            "trailer_crates": "",
        }
        url = reverse(
            "set_return_costs", args=[self.book.location.pk, self.book.supplier.pk]
        )
        return self.client.post(url, values | over)

    def test_one_truck_goes_on_the_last_day_for_full_credit(self):
        self.keep_costs()
        plan = self.plan().context["plan"]
        [sent] = plan.best.dispatches
        # Monday 8 June is day 90 of an invoice of 10 March.
        assert (sent.on, len(sent.keys)) == (date(2026, 6, 8), 3)
        assert plan.best.cost.cents == 9_000
        assert plan.best.credit_lost.cents == 0

    def test_the_plan_is_never_dearer_than_a_truck_every_week(self):
        self.keep_costs(yard_cents_per_day="1.50")
        plan = self.plan().context["plan"]
        assert plan.best.cost.cents <= plan.weekly.cost.cents

    def test_what_loses_credit_must_not_miss_the_truck(self):
        self.keep_costs()
        found = self.plan().context["must_go"]
        assert {loss.cents for _, loss in found} == {6_000}
        assert {row.crate for row, _ in found} == set(self.crates)

    def test_a_held_crate_is_not_planned(self):
        today = date(2026, 6, 1)
        self.crates[0].packaging_holds.create(
            reason="Side panel broken through",
            placed_at=ARRIVED,
            placed_on=today - timedelta(days=3),
            placed_by=self.book.who.tomas,
        )
        context = self.plan().context
        assert [row.crate for row in context["held"]] == [self.crates[0]]
        assert sum(len(one.keys) for one in context["plan"].best.dispatches) == 2

    def test_a_full_crate_is_counted_from_the_day_it_can_be_ready(self):
        self.crates[0].state = "full"
        self.crates[0].save()
        plan = self.plan(ready_days="10").context["plan"]
        last = max(one.on for one in plan.best.dispatches)
        # Ready on Thursday 11 June; the other two go by Monday 8 June.
        assert last >= date(2026, 6, 11)
        assert min(one.on for one in plan.best.dispatches) == date(2026, 6, 8)

    def test_the_costs_are_kept_and_a_stale_form_is_told(self):
        self.keep_costs()
        answer = self.keep_costs(pickup_cents="70.00")
        self.assertContains(
            answer, "Someone changed this after you opened it", status_code=422
        )

    def test_a_wrong_question_is_told(self):
        answer = self.plan(weeks="0")
        assert answer.status_code == 422
        assert self.plan(pair="1-999999").status_code == 422
