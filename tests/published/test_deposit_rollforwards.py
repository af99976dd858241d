"""Deposits rolled forward from one day to another, as textbooks print them.

The source of each is Spiceland, Sepe, Nelson and Tomassini, Intermediate Accounting,
the exercises on deposits for returnable containers in the chapter on current
liabilities, as course handouts and variants of it print them (secondary). There the
seller holds the deposits as a liability; here stands the buyer's mirror of it.
"""

from datetime import date

import pytest
from django.test import TestCase

from inventory.actions.deposits.ending import bring_in_opening
from inventory.queries.ledger.balances import account_balances
from inventory.rules.deposits import postings
from tests.ledger import AT, charge, make_book, post

pytestmark = pytest.mark.database

OPENED = date(2026, 1, 1)
MID_YEAR = date(2026, 6, 30)
YEAR_END = date(2026, 12, 31)


class TestRollForwards(TestCase):
    def setUp(self):
        self.book = make_book()

    def opening(self, dollars):
        """Bring in what was open at the beginning of the year."""
        return bring_in_opening(
            location=self.book.location,
            supplier=self.book.supplier,
            invoice_number="OLD-1",
            line_number=1,
            invoiced_on=date(2025, 12, 1),
            crate_type=None,
            count=1,
            amount_cents=dollars * 100,
            marks=[],
            opened_on=OPENED,
            posting_key="opening",
            person=self.book.who.abel,
            at=AT,
        )[0]

    def charged(self, dollars):
        return charge(self.book, amount_cents=dollars * 100, invoiced_on=MID_YEAR)

    def returned(self, deposit, dollars):
        """Ship crates back and have them credited in full."""
        cents = dollars * 100
        lines = postings.credit_expected(deposit.pk, expected=cents)
        post(self.book, "credit-expected", lines, effective_on=YEAR_END)
        paid = postings.memo_paid(deposit.pk, paid=cents, expected=cents)
        post(self.book, "memo", paid, effective_on=YEAR_END)

    def forfeited(self, deposit, dollars):
        lines = postings.forfeited(deposit.pk, dollars * 100)
        post(self.book, "forfeiture", lines, effective_on=YEAR_END)

    def dollars(self, kind, as_of=YEAR_END):
        rows = account_balances([self.book.location], as_of)
        cents = sum(row.cents for row in rows if row.kind == kind)
        assert cents % 100 == 0
        return cents // 100

    def in_balance(self):
        return sum(row.cents for row in account_balances([self.book.location])) == 0

    def test_three_hundred_thousand_of_which_nine_tenths_come_back(self):
        # Collected 300,000; 90 % returned: 270,000; the rest forfeited: 30,000.
        deposit = self.charged(300_000)
        self.returned(deposit, 270_000)
        self.forfeited(deposit, 30_000)

        assert self.dollars("deposits-receivable", MID_YEAR) == 300_000
        assert self.dollars("deposits-receivable") == 0
        assert self.dollars("supplier-account") == -30_000
        assert self.dollars("forfeited-deposits") == 30_000
        assert self.in_balance()

    def test_the_year_that_ends_at_604_000(self):
        # 597,000 + 899,000 - 838,000 - 54,000 = 604,000.
        old, new = self.opening(597_000), self.charged(899_000)
        self.returned(old, 597_000)
        self.returned(new, 838_000 - 597_000)
        self.forfeited(new, 54_000)

        assert self.dollars("deposits-receivable", OPENED) == 597_000
        assert self.dollars("deposits-receivable", MID_YEAR) == 597_000 + 899_000
        assert self.dollars("deposits-receivable") == 604_000
        assert self.in_balance()

    def test_the_year_that_ends_at_655_250(self):
        # 623,000 + 948,000 - 873,000 - 42,750 = 655,250.
        old, new = self.opening(623_000), self.charged(948_000)
        self.returned(old, 623_000)
        self.returned(new, 873_000 - 623_000)
        self.forfeited(new, 42_750)

        assert self.dollars("deposits-receivable", OPENED) == 623_000
        assert self.dollars("deposits-receivable") == 655_250
        assert self.dollars("opening-balances") == -623_000
        assert self.in_balance()
