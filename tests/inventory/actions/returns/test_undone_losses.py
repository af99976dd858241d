"""A loss charged to the carrier is undone whole: the crate was found after all."""

from datetime import date

import pytest
from django.test import TestCase

from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.actions.ledger.periods import lock_period
from inventory.actions.memos.posting import post_memo
from inventory.actions.returns.losses import lose_crate, reverse_loss
from inventory.models import Crate, Entry, ShortCredit
from tests.returning import (
    AT,
    LEFT,
    balances,
    expect_books_in_order,
    make_stage,
    memo_of,
    shipped,
)

pytestmark = pytest.mark.database


class TestUndoneLosses(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_stage(crates=1)
        cls.home = shipped(cls.book)
        cls.crate = cls.book.crates[0]

    def who(self):
        return {"person": self.book.who.abel, "at": AT}

    def line(self):
        return self.home.lines.get()

    def lose(self):
        line = self.line()
        lose_crate(
            line=line,
            version=line.version,
            lost_on=LEFT,
            reason="Not found.",
            **self.who(),
        )

    def undo(self, **over):
        line = self.line()
        values = {
            "version": line.version,
            "reason": "It stood at the terminal.",
            "reversed_on": LEFT,
        }
        reverse_loss(line=line, **{**values, **self.who(), **over})

    def state(self):
        self.home.refresh_from_db()
        return Crate.objects.get(pk=self.crate.pk).state, self.home.state

    def test_its_credit_is_expected_as_before(self):
        before = balances()
        self.lose()
        # 120.00 moves from credits expected to what the carrier owes.
        assert balances() == {"supplier-account": -12_000, "carrier-losses": 12_000}
        assert self.state() == ("lost", "closed")
        self.undo()
        assert balances() == before
        assert self.state() == ("shipped", "shipped")
        assert ShortCredit.objects.get().state == "reversed"
        expect_books_in_order()

    def test_it_may_be_lost_again_and_paid_after_all(self):
        self.lose()
        self.undo()
        self.lose()
        assert balances()["carrier-losses"] == 12_000
        self.undo()
        memo = memo_of(self.book, (self.crate, 12_000))
        post_memo(memo=memo, version=1, **self.who())
        assert balances() == {}
        assert self.state() == ("credited", "closed")

    def test_a_repeat_is_refused_and_posts_nothing(self):
        self.lose()
        self.undo()
        count = Entry.objects.count()
        with pytest.raises(RefusedError, match="No loss of this crate"):
            self.undo()
        assert Entry.objects.count() == count

    def test_a_stale_page_reverses_nothing(self):
        self.lose()
        with pytest.raises(StaleRowError):
            self.undo(version=1)

    def test_what_the_supplier_credits_for_a_lost_crate_is_held(self):
        self.lose()
        memo = memo_of(self.book, (self.crate, 12_000))
        line = memo.lines.get()
        assert line.fate == "twice"  # nothing is open on it: the credit is held
        post_memo(memo=memo, version=1, **self.who())
        assert balances()["supplier-suspense"] == -12_000
        self.undo()
        assert balances()["credits-expected"] == 12_000

    def test_in_a_locked_period_it_posts_in_the_open_one(self):
        self.lose()
        lock_period(
            location=self.book.location,
            through=date(2026, 4, 30),
            person=self.book.who.abel,
            at=AT.replace(month=5, day=10),
        )
        self.undo()
        assert Entry.objects.get(kind="reversal").effective_on == date(2026, 5, 1)
