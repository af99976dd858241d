"""A list taken away holds what the page shows this person, and no more."""

import csv
import io
from datetime import date
from decimal import Decimal

import openpyxl
import pytest
from django.test import TestCase
from django.urls import reverse

from inventory.models import BalanceAssertion
from tests.house.return_rows import make_return_rows
from tests.making import (
    ARRIVED,
    make_claim,
    make_delivery,
    make_reusable,
    make_shipment,
)
from tests.people import cast

pytestmark = pytest.mark.database


def csv_rows(answer):
    return list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))


class TestTakenAway(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()

    def get(self, name, form, person="mina"):
        self.client.force_login(getattr(self.who, person))
        return self.client.get(reverse(name), {"as": form})

    def test_trucks_come_as_csv_with_their_own_headings(self):
        make_delivery(location=self.who.riverside, driver_name="=1+1")
        answer = self.get("deliveries", "csv")
        rows = csv_rows(answer)
        assert rows[0][:3] == ["Carrier", "Arrived on", "At"]
        assert rows[1][4] == "'=1+1"
        assert answer["Content-Disposition"].startswith('attachment; filename="trucks-')

    def test_another_location_s_trucks_are_not_in_the_file(self):
        make_delivery(location=self.who.hillcrest)
        assert len(csv_rows(self.get("deliveries", "csv"))) == 1

    def test_claims_come_as_a_workbook_with_a_total(self):
        make_claim(make_shipment(location=self.who.riverside))
        answer = self.get("claims", "xlsx")
        page = openpyxl.load_workbook(io.BytesIO(answer.content)).active
        assert page["A1"].value == "Claim"
        assert str(page.cell(page.max_row, 1).value).startswith("Total ")

    def test_crates_come_without_money_for_who_may_not_see_it(self):
        make_reusable(make_shipment(location=self.who.riverside), mark="HT-5")
        for person, sees in (("rosa", False), ("abel", True)):
            with self.subTest(person=person):
                rows = csv_rows(self.get("crates", "csv", person))
                assert rows[1][0] == "HT-5"
                assert ("Deposit" in rows[0]) is sees

    def test_an_unknown_form_shows_the_page(self):
        answer = self.get("deliveries", "docx")
        assert answer["Content-Type"].startswith("text/html")


class TestMoneyTakenAway(TestCase):
    """Each list of accounting's says the same total as its rows sum to."""

    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.home = make_shipment(location=cls.who.riverside)
        cls.rows = make_return_rows(cls.who, cls.home)

    def setUp(self):
        self.client.force_login(self.who.abel)

    def total(self, url, heading):
        rows = csv_rows(self.client.get(url, {"as": "csv"}))
        place = rows[0].index(heading)
        kept = [row[place] for row in rows[1:-1] if row[place]]
        assert rows[-1][0] == "Total USD"
        assert Decimal(rows[-1][place]) == sum(map(Decimal, kept))
        return rows[-1][place]

    def test_the_lists_of_returns_and_memos(self):
        self.total(reverse("returns"), "Still expected")
        assert self.total(reverse("memos"), "To post") == "90.00"
        assert self.total(reverse("short_credits"), "Open") == "30.00"
        memo = reverse("memo", args=self.rows["memo"])
        assert self.total(memo, "On the memo") == "90.00"

    def test_a_statement_stands_beside_our_figure(self):
        BalanceAssertion.objects.create(
            currency="USD",
            location=self.who.riverside,
            supplier=self.home.supplier,
            as_of=date(2026, 3, 20),
            stated_cents=5_000,
            entered_at=ARRIVED,
            entered_by=self.who.abel,
        )
        assert self.total(reverse("statements"), "On the statement") == "50.00"

    def test_who_only_sees_the_returns_gets_no_amounts(self):
        self.client.force_login(self.who.rosa)
        rows = csv_rows(self.client.get(reverse("returns"), {"as": "csv"}))
        assert "Still expected" not in rows[0]
        assert len(rows) == 3
