"""The trial balance: opening, movements and closing of any span, and what is behind."""

from datetime import date, timedelta

import pytest
from django.test import TestCase
from django.urls import reverse

from inventory.models import AccountNumber, Leg
from inventory.queries.ledger.trial_balance import (
    account_span,
    totals_of,
    trial_balance,
    trial_sheet,
)
from inventory.rules.deposits import postings
from tests.ledger import DAY, charge, make_book, post

pytestmark = pytest.mark.database

NEXT = DAY + timedelta(days=1)


class TrialCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_book()
        cls.deposit = charge(cls.book)  # 120.00 on the tenth
        lines = postings.credit_expected(cls.deposit.pk, expected=9_000, late=3_000)
        post(cls.book, "credit-expected", lines, effective_on=NEXT)

    def rows(self, first, last):
        found = trial_balance([self.book.location], first, last)
        return {
            row.kind: (row.opening, row.debit, row.credit, row.closing) for row in found
        }


class TestTrialBalance(TrialCase):
    def test_opening_movements_and_closing_by_hand(self):
        assert self.rows(NEXT, NEXT) == {
            "deposits-receivable": (12_000, 0, 12_000, 0),
            "credits-expected": (0, 9_000, 0, 9_000),
            "supplier-account": (-12_000, 0, 0, -12_000),
            "forfeited-deposits": (0, 3_000, 0, 3_000),
        }
        assert self.rows(DAY, DAY)["deposits-receivable"] == (0, 12_000, 0, 12_000)

    def test_a_currency_is_even_for_itself_and_the_home_one_is_first(self):
        charge(self.book, currency="CAD", amount_cents=700, crate_type=None)
        totals = totals_of(trial_balance([self.book.location], DAY, NEXT))

        assert [(one.currency, one.debit, one.is_even) for one in totals] == [
            ("USD", 24_000, True),
            ("CAD", 700, True),
        ]

    def test_the_sheet_has_the_pages_rows_and_the_companys_names(self):
        AccountNumber.objects.create(
            location=self.book.location,
            kind="supplier-account",
            number="2150",
            name="Payable",
        )
        sheet = trial_sheet(trial_balance([self.book.location], DAY, NEXT))

        assert ("2150", "Payable") in {row[:2] for row in sheet.rows}
        assert sheet.totals[0][4:8] == (0, 24_000, 24_000, 0)

    def test_the_lines_of_an_account_lead_from_opening_to_closing(self):
        place = [self.book.location]
        span = account_span(place, "deposits-receivable", "USD", (NEXT, NEXT))

        assert (span.opening, span.closing) == (12_000, 0)
        assert [line.running for line in span.lines] == [0]
        empty = account_span(
            place, "deposits-receivable", "USD", (date(2027, 1, 1), date(2027, 1, 2))
        )
        assert (empty.opening, empty.closing, empty.lines) == (0, 0, ())

    def test_every_closing_is_the_sum_of_its_legs(self):
        for row in trial_balance([self.book.location], DAY, NEXT):
            legs = Leg.objects.filter(account__kind=row.kind)
            assert row.closing == sum(leg.cents for leg in legs)


class TestPages(TrialCase):
    def setUp(self):
        self.client.force_login(self.book.who.abel)

    def get(self, name, **query):
        days = {"first": "2026-03-01", "last": "2026-03-31"}
        return self.client.get(reverse(name), days | query)

    def test_the_trial_balance_is_even_and_leads_to_its_accounts(self):
        answer = self.get("trial_balance")

        self.assertContains(answer, "In balance")
        self.assertContains(answer, "kind=credits-expected")
        assert self.get("trial_balance", **{"as": "xlsx"}).status_code == 200

    def test_the_account_shows_its_entries(self):
        answer = self.get("ledger_account", kind="credits-expected", currency="USD")

        self.assertContains(answer, "Credit expected")
        self.assertContains(answer, "$90.00")

    def test_an_account_of_either_floor_can_be_asked_for(self):
        answer = self.get("ledger_account", kind="claims-receivable", currency="USD")

        self.assertContains(answer, "Nothing was posted to this account")

    def test_what_cannot_be_asked_is_said(self):
        for name, query in (
            ("trial_balance", {"first": "2026-04-01"}),
            ("trial_balance", {"first": "soon"}),
            ("ledger_account", {"kind": "petty-cash", "currency": "USD"}),
            ("ledger_account", {"kind": "credits-expected", "currency": "XXX"}),
        ):
            assert self.get(name, **query).status_code == 422

    def test_elsewhere_nothing_of_it_is_seen(self):
        self.client.force_login(self.book.who.nell)

        self.assertContains(self.get("trial_balance"), "Nothing was posted by then")
