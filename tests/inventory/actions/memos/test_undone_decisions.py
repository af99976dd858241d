"""A decision on a short-paid credit is undone whole, or refused with what comes first."""

from datetime import timedelta

import pytest
from django.test import TestCase

from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.actions.ledger.periods import lock_period
from inventory.actions.memos.posting import post_memo
from inventory.actions.memos.reversing import reverse_memo
from inventory.actions.memos.short_credits import (
    accept_short,
    agree_give_up,
    dispute_short,
    give_up_short,
    win_short,
)
from inventory.actions.memos.undoing import undo_decision
from inventory.models import Entry, Event, ShortCredit
from tests.inventory.actions.memos.test_reversing import image
from tests.returning import (
    AT,
    MEMO_DAY,
    balances,
    decided,
    expect_books_in_order,
    make_stage,
    memo_of,
    shipped,
)

pytestmark = pytest.mark.database

SLIP = "Decided on the wrong row."


class UndoneDecisionTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_stage(crates=1)
        cls.home = shipped(cls.book)
        (cls.crate,) = cls.book.crates
        cls.memo = memo_of(cls.book, (cls.crate, 9_000, "late"))
        post_memo(
            memo=cls.memo, version=cls.memo.version, person=cls.book.who.abel, at=AT
        )
        cls.short = ShortCredit.objects.get()  # 30.00 of 120.00

    def act(self, function, *, short=None, **over):
        row = ShortCredit.objects.get(pk=(short or self.short).pk)
        more = {"cents": over.pop("cents")} if "cents" in over else {}
        said = decided(self.book, over.pop("reason", "Looked at it."), **over)
        return function(short=row, version=row.version, decided=said, **more)

    def undo(self, **over):
        return self.act(undo_decision, reason=SLIP, **over)

    def approved(self):
        """Ask for the write-off, and let a second person approve it."""
        self.book.location.write_off_limit_cents = 2_999
        self.book.location.save()
        self.act(give_up_short)
        self.act(agree_give_up, person=self.book.who.mina)

    @pytest.mark.slow
    def test_each_decision_is_undone_to_the_cent_and_can_be_taken_again(self):
        for name, decide in {
            "accepted": lambda: self.act(accept_short),
            "disputed": lambda: self.act(dispute_short),
            "paid": lambda: self.act(win_short, cents=3_000),
            "paid in part": lambda: self.act(win_short, cents=1_200),
            "written off": lambda: self.act(give_up_short),
        }.items():
            before = image()
            for _ in range(2):
                with self.subTest(name):
                    decide()
                    assert image() != before
                    self.undo()
                    assert image() == before
                    expect_books_in_order()
        assert Event.objects.filter(kind="short.undone").count() == 10

    def test_undone_from_a_dispute_it_is_disputed_again(self):
        self.act(dispute_short)
        before = image()
        self.act(give_up_short)
        assert balances()["deposits-written-off"] == 3_000
        self.undo()
        assert image() == before
        self.undo()
        assert ShortCredit.objects.get().state == "open"
        with pytest.raises(RefusedError, match="is not decided"):
            self.undo()

    def test_an_approved_write_off_must_be_asked_for_again(self):
        self.approved()
        self.undo()
        row = ShortCredit.objects.get()
        assert (row.state, row.write_off_asked_by, row.write_off_reason) == (
            "open",
            None,
            "",
        )
        with pytest.raises(RefusedError, match="Nobody has requested"):
            self.act(agree_give_up, person=self.book.who.mina)

    def test_in_a_locked_period_it_is_posted_on_the_first_open_day(self):
        self.act(accept_short)
        through = MEMO_DAY + timedelta(days=4)
        lock_period(
            location=self.book.location,
            through=through,
            person=self.book.who.abel,
            at=AT + timedelta(days=40),
        )
        self.undo()
        back = Entry.objects.get(kind="reversal")
        assert back.effective_on == through + timedelta(days=1)

    def test_what_came_after_is_named(self):
        self.act(win_short, cents=1_200)
        rest = ShortCredit.objects.get(state="open")
        self.act(accept_short, short=rest)
        with pytest.raises(RefusedError, match=r"later entry: short-paid.*first"):
            self.undo()
        self.act(undo_decision, short=rest)
        self.undo()
        assert ShortCredit.objects.get(state="open").amount_cents == 3_000
        expect_books_in_order()

    def test_a_memo_is_reversed_once_the_decision_is_undone(self):
        self.act(dispute_short)
        self.memo.refresh_from_db()
        again = {
            "version": self.memo.version,
            "reason": SLIP,
            "reversed_on": MEMO_DAY,
            "person": self.book.who.abel,
            "at": AT,
        }
        with pytest.raises(RefusedError, match="is now disputed"):
            reverse_memo(memo=self.memo, **again)
        self.undo()
        reverse_memo(memo=self.memo, **again)
        assert ShortCredit.objects.get().state == "reversed"

    def test_a_stale_page_is_refused(self):
        row = self.act(accept_short)
        with pytest.raises(StaleRowError):
            undo_decision(
                short=row, version=row.version - 1, decided=decided(self.book, SLIP)
            )

    def test_what_a_memo_decided_is_not_undone_here(self):
        memo = memo_of(self.book, (self.crate, 3_000))
        post_memo(memo=memo, version=memo.version, person=self.book.who.abel, at=AT)
        assert ShortCredit.objects.get().state == "won"
        with pytest.raises(RefusedError, match="decided by a memo"):
            self.undo()
