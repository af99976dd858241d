"""The nightly command names the statements that disagree, and leaves with 1."""

from datetime import date
from io import StringIO

import pytest
from django.core.management import call_command
from django.test import TestCase

from inventory.actions.memos.posting import post_memo
from inventory.actions.memos.statements import state_balance
from tests.returning import AT, make_stage, memo_of, shipped

pytestmark = pytest.mark.database


class TestCompareStatements(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_stage()
        shipped(cls.book)

    def state(self, cents, day=date(2026, 4, 30)):
        state_balance(
            location=self.book.location,
            supplier=self.book.supplier,
            as_of=day,
            stated_cents=cents,
            currency="USD",
            note="",
            person=self.book.who.abel,
            at=AT,
            today=date(2026, 5, 1),
        )

    def run_it(self):
        out = StringIO()
        try:
            call_command("compare_statements", stdout=out)
        except SystemExit as left:
            return left.code, out.getvalue()
        return 0, out.getvalue()

    def test_without_a_statement_it_says_so(self):
        assert self.run_it() == (0, "No statement has been entered.\n")

    def test_statements_that_agree(self):
        self.state(36_000)
        assert self.run_it() == (0, "All 1 statements agree.\n")

    def test_one_that_disagrees(self):
        self.state(35_000)
        code, told = self.run_it()
        assert code == 1
        assert "statement shows USD 350.00 on 2026-04-30, our books USD 360.00" in told
        assert "difference USD 10.00" in told
        assert "No known entries add up to it." in told

    def test_only_the_last_word_counts(self):
        self.state(35_000)
        self.state(36_000)
        assert self.run_it()[0] == 0
        self.state(0, date(2026, 3, 1))
        assert self.run_it()[0] == 0

    def test_the_books_are_read_as_of_the_statements_day(self):
        self.state(36_000, date(2026, 3, 20))
        self.state(0, date(2026, 3, 9))
        assert self.run_it()[0] == 0

    def test_what_is_not_ours_on_a_memo_explains_it_before_and_after_posting(self):
        memo = memo_of(self.book, (self.book.crates[0], 12_000), ("ZZ-77", 1_000))
        self.state(36_000 - 13_000)
        assert "Memo to post" in self.run_it()[1]
        assert "No known entries" not in self.run_it()[1]
        post_memo(memo=memo, version=memo.version, person=self.book.who.abel, at=AT)
        assert "Held in suspense" in self.run_it()[1]
        assert "No known entries" not in self.run_it()[1]
