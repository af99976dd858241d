"""A sum that a query forgot is an error, never a zero."""

import pytest
from django.test import TestCase

from inventory.forms.memos.memos import deposit_words
from inventory.models import CreditMemo, Deposit
from inventory.queries.core.joined import NotJoinedError
from inventory.queries.deposits.aging import memo_due_on
from inventory.queries.ledger.balances import Sums, sums_on, with_balances
from inventory.queries.memos import listing as memos
from inventory.queries.memos.awaited import awaited_one
from inventory.queries.memos.memo_sheets import memos_sheet
from inventory.queries.returns import listing as returns
from tests.returning import make_stage, memo_of, shipped

pytestmark = pytest.mark.database


class TestJoined(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_stage(crates=2)
        cls.home = shipped(cls.book, cls.book.crates[:1])
        cls.memo = memo_of(cls.book, (cls.book.crates[0], 12_000))

    def test_the_sums_of_a_deposit_carry_their_currency(self):
        rows = with_balances(Deposit.objects.order_by("pk"))
        assert [sums_on(row) for row in rows] == [
            Sums(receivable=0, expected=12_000, disputed=0, currency="USD"),
            Sums(receivable=12_000, expected=0, disputed=0, currency="USD"),
        ]
        assert sums_on(rows[0]).credit == 12_000

    def test_a_row_without_them_is_refused_everywhere(self):
        deposit = Deposit.objects.first()
        for read in (sums_on, deposit_words, memo_due_on):
            with pytest.raises(NotJoinedError):
                read(deposit)
        assert awaited_one(deposit).open_cents == 12_000

    def test_a_memo_without_its_counts_makes_no_sheet(self):
        with pytest.raises(NotJoinedError):
            memos_sheet(CreditMemo.objects.select_related("location", "supplier"))
        (row,) = memos.memo_rows(self.book.who.abel)
        assert memos.counts_on(row) == memos.MemoCounts(1, 0, 12_000, 0, "USD")

    def test_a_return_without_its_counts_is_refused(self):
        with pytest.raises(NotJoinedError):
            returns.counts_on(self.home)
        (row,) = returns.return_rows(self.book.who.rosa)
        assert returns.counts_on(row) == returns.ReturnCounts(1, 1, 12_000, 0, "USD")
