"""A posted memo is undone whole, or refused with what must be undone first."""

from datetime import date
from unittest import mock

import pytest
from django.test import TestCase

from inventory.actions.core import events
from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.actions.ledger.periods import lock_period
from inventory.actions.memos import reversing
from inventory.actions.memos.entering import add_memo_line
from inventory.actions.memos.later import match_credit
from inventory.actions.memos.posting import post_memo
from inventory.actions.memos.reversing import (
    enter_again,
    reverse_memo,
    why_not_reverse_memo,
)
from inventory.actions.memos.short_credits import accept_short, dispute_short, win_short
from inventory.actions.memos.suspense import return_credit
from inventory.models import (
    Crate,
    CrateReturn,
    CreditMemo,
    Entry,
    Event,
    ShortCredit,
    SuspenseLine,
)
from inventory.rules.memos.matching import Line
from tests.returning import (
    AT,
    LEFT,
    MEMO_DAY,
    balances,
    decided,
    expect_books_in_order,
    make_stage,
    memo_of,
    shipped,
)

pytestmark = pytest.mark.database

WRONG = "Typed for the wrong supplier."


def image():
    """Return what must be as it was: balances, crates, live short-paid credits."""
    shorts = ShortCredit.objects.filter(state__in=("open", "disputed"))
    return (
        balances(),
        list(Crate.objects.order_by("pk").values_list("pk", "state")),
        list(
            shorts.order_by("pk").values_list(
                "deposit", "cause", "amount_cents", "state", "memo_line", "explanation"
            )
        ),
        {home.pk: home.state for home in homes()},
    )


def homes():
    return CrateReturn.objects.all()


class Case(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_stage()
        cls.home = shipped(cls.book)
        cls.one, cls.two, cls.three = cls.book.crates

    def post(self, *lines, **over):
        memo = memo_of(self.book, *lines, **over)
        post_memo(memo=memo, version=memo.version, person=self.book.who.abel, at=AT)
        memo.refresh_from_db()
        return memo

    def undo(self, memo, **over):
        memo.refresh_from_db()
        values = {
            "version": memo.version,
            "reason": WRONG,
            "reversed_on": MEMO_DAY,
            "person": self.book.who.abel,
            "at": AT,
        }
        return reverse_memo(memo=memo, **{**values, **over})


class TestReversing(Case):
    def test_every_part_of_it_is_as_it_was(self):
        before = image()
        memo = self.post(
            (self.one, 12_000),
            (self.two, 9_000, "bracket missing"),
            ("ZZ-77", 1_000),
        )
        # 120 + 90 + 10 in the supplier account; 30 short, the third crate left out.
        assert balances() == {
            "supplier-account": -36_000 + 22_000,
            "credits-expected": 3_000 + 12_000,
            "supplier-suspense": -1_000,
        }
        row = self.undo(memo)
        assert (row.reversed_on, row.reversal_reason) == (MEMO_DAY, WRONG)
        assert image() == before
        assert {short.state for short in ShortCredit.objects.all()} == {"reversed"}
        assert SuspenseLine.objects.get().state == "reversed"
        assert Entry.objects.filter(kind="reversal").count() == 3
        expect_books_in_order()

    def test_a_return_that_it_closed_is_open_again(self):
        memo = self.post(*((crate, 12_000) for crate in self.book.crates))
        self.home.refresh_from_db()
        assert self.home.state == "closed"
        self.undo(memo)
        self.home.refresh_from_db()
        assert self.home.state == "shipped"
        assert balances()["credits-expected"] == 36_000

    def test_a_return_that_another_memo_closed_is_open_again_too(self):
        self.post((self.one, 12_000))
        second = self.post((self.two, 12_000))
        self.post((self.three, 12_000))
        self.home.refresh_from_db()
        assert self.home.state == "closed"
        self.undo(second)
        self.home.refresh_from_db()
        assert self.home.state == "shipped"

    def test_short_paid_credits_of_earlier_memos_are_as_they_were(self):
        self.post((self.one, 8_000, "late"), (self.two, 12_000), (self.three, 12_000))
        short = ShortCredit.objects.get()
        dispute_short(
            short=short, version=short.version, decided=decided(self.book, "Not late.")
        )
        before = image()
        # 40 in dispute; the second memo pays 15 of it, and splits it into 15 and 25.
        second = self.post((self.one, 1_500))
        assert sorted(ShortCredit.objects.values_list("state", "amount_cents")) == [
            ("disputed", 2_500),
            ("won", 1_500),
        ]
        self.undo(second)
        assert image() == before
        assert sorted(ShortCredit.objects.values_list("state", "amount_cents")) == [
            ("disputed", 4_000),
            ("reversed", 2_500),
        ]
        expect_books_in_order()

    def test_an_open_one_that_it_changed_has_its_own_cause_again(self):
        self.post((self.one, 8_000, "late"), (self.two, 12_000), (self.three, 12_000))
        before = image()
        second = self.post((self.one, 1_500, "bracket missing"))
        assert ShortCredit.objects.get(state="open").cause == "missing-part"
        self.undo(second)
        assert image() == before
        expect_books_in_order()

    def test_nothing_is_credited_twice_when_it_is_entered_and_posted_again(self):
        memo = self.post((self.one, 12_000), (self.two, 9_000, "late"))
        after = balances()
        self.undo(memo)
        again = enter_again(memo=memo, person=self.book.who.abel, at=AT)
        assert again.number == memo.number
        assert [line.fate for line in again.lines.all()] == ["as-expected", "late"]
        post_memo(memo=again, version=1, person=self.book.who.abel, at=AT)
        assert balances() == after
        expect_books_in_order()

    def test_entered_again_only_once_and_only_when_reversed(self):
        memo = self.post((self.one, 12_000))
        with pytest.raises(RefusedError, match="was not reversed"):
            enter_again(memo=memo, person=self.book.who.abel, at=AT)
        self.undo(memo)
        memo.refresh_from_db()
        enter_again(memo=memo, person=self.book.who.abel, at=AT)
        with pytest.raises(RefusedError, match="already entered"):
            enter_again(memo=memo, person=self.book.who.abel, at=AT)
        assert CreditMemo.objects.count() == 2

    def test_a_repeat_has_one_effect(self):
        memo = self.post((self.one, 12_000))
        self.undo(memo)
        count = Entry.objects.count()
        self.undo(memo)
        self.undo(memo, version=1)
        post_memo(memo=memo, version=1, person=self.book.who.abel, at=AT)
        assert Entry.objects.count() == count

    def test_a_stale_page_reverses_nothing(self):
        memo = self.post((self.one, 12_000))
        with pytest.raises(StaleRowError):
            self.undo(memo, version=memo.version + 1)

    def test_a_reversed_memo_takes_no_line(self):
        memo = self.post((self.one, 12_000))
        self.undo(memo)
        with pytest.raises(RefusedError, match="was reversed"):
            add_memo_line(
                memo=memo, line=Line(0, 1, "A"), person=self.book.who.abel, at=AT
            )

    def test_in_a_locked_period_it_posts_in_the_open_one(self):
        memo = self.post((self.one, 12_000))
        lock_period(
            location=self.book.location,
            through=date(2026, 4, 30),
            person=self.book.who.abel,
            at=AT.replace(month=5, day=10),
        )
        self.undo(memo)
        reversal = Entry.objects.get(kind="reversal")
        assert reversal.effective_on == date(2026, 5, 1)
        assert balances()["credits-expected"] == 36_000

    def test_it_never_takes_effect_before_what_it_reverses(self):
        memo = self.post((self.one, 12_000))
        self.undo(memo, reversed_on=LEFT)
        assert Entry.objects.get(kind="reversal").effective_on == MEMO_DAY

    def test_a_long_memo_posted_in_parts_is_undone_whole(self):
        before = image()
        with mock.patch("inventory.actions.memos.posting.AT_ONCE", 1):
            memo = self.post((self.one, 12_000), (self.two, 9_000, "late"), ("Z", 5))
        assert Event.objects.filter(kind="memo.part-posted").count() == 2
        self.undo(memo)
        assert image() == before
        expect_books_in_order()


class TestMovedOn(Case):
    def expect_refused(self, memo, match):
        before, count = image(), Entry.objects.count()
        with pytest.raises(RefusedError, match=match) as told:
            self.undo(memo)
        assert "Nothing was reversed" in str(told.value)
        assert (image(), Entry.objects.count()) == (before, count)

    def test_a_decided_short_paid_credit_is_named(self):
        memo = self.post((self.one, 9_000, "late"))
        short = ShortCredit.objects.get(cause="late")
        accept_short(
            short=short, version=short.version, decided=decided(self.book, "Late.")
        )
        self.expect_refused(memo, r"USD 30\.00 on .*is now loss accepted")

    def test_a_later_memo_on_the_crate_is_named_and_undone_first(self):
        before = image()
        memo = self.post((self.one, 9_000, "late"))
        second = self.post((self.one, 3_000))
        self.expect_refused(memo, f"{second}, line 1.*Reverse that memo first")
        self.undo(second)
        self.undo(memo)
        assert image() == before

    def test_a_payment_recorded_by_hand_is_no_later_memo(self):
        memo = self.post((self.one, 9_000, "late"))
        short = ShortCredit.objects.get(cause="late")
        won = decided(self.book, "Wire of April 21.")
        win_short(short=short, version=short.version, cents=3_000, decided=won)
        with pytest.raises(RefusedError) as refused:
            self.undo(memo)
        said = str(refused.value)
        assert "payment recorded for Crate" in said
        assert "later memo" not in said

    def test_a_decided_held_credit_is_named(self):
        memo = self.post((self.one, 12_000), ("ZZ-77", 1_000))
        held = SuspenseLine.objects.get()
        return_credit(line=held, version=held.version, decided=decided(self.book))
        self.expect_refused(memo, r"USD 10\.00, line 2, .*cannot be undone")

    def test_a_matched_held_credit_is_named_by_both_memos(self):
        memo = self.post((self.one, 12_000), ("ZZ-77", 1_000))
        held = SuspenseLine.objects.get()
        match_credit(
            line=held,
            version=held.version,
            deposit=self.book.deposits[1],
            decided=decided(self.book),
        )
        self.expect_refused(memo, "held credit paid .*cannot be undone")

    def test_a_memo_that_is_not_posted_has_nothing_to_reverse(self):
        memo = memo_of(self.book, (self.one, 12_000))
        self.expect_refused(memo, "is not posted")

    def test_a_memo_of_an_earlier_version_says_so(self):
        memo = memo_of(self.book, (self.one, 12_000))
        memo.is_posted = True
        memo.save()
        assert "earlier version" in why_not_reverse_memo(memo)
        self.expect_refused(memo, "earlier version")


class TestKilled(Case):
    """A program that is killed at any part leaves all as it was; again, all is done."""

    @pytest.mark.slow
    def test_stopped_at_each_event_it_changes_nothing(self):
        memo = self.post((self.one, 12_000), (self.two, 9_000, "late"), ("Z", 700))
        before, count = image(), Entry.objects.count()
        stops = 0
        while True:
            try:
                with stopping_after(stops):
                    self.undo(memo)
                break
            except KilledError:
                assert (image(), Entry.objects.count()) == (before, count)
                stops += 1
        # Three entries, two shorts, one held credit, two crates, and the memo itself.
        assert stops >= 9
        assert balances()["credits-expected"] == 36_000
        expect_books_in_order()


class KilledError(Exception):
    """The program was killed here."""


def stopping_after(count):
    """Let this many events be recorded, then be killed."""
    left = [count]
    record = events.record_event

    def some(**more):
        if not left[0]:
            raise KilledError
        left[0] -= 1
        return record(**more)

    names = (
        "inventory.actions.ledger.posting",
        "inventory.actions.returns.undoing",
        "inventory.actions.crates.life",
        "inventory.actions.memos.reversing",
    )
    stack = mock.patch.multiple(names[0], record_event=some)
    patches = [
        stack,
        *(mock.patch.multiple(one, record_event=some) for one in names[1:]),
    ]
    return _All(patches)


class _All:
    def __init__(self, patches):
        self.patches = patches

    def __enter__(self):
        for one in self.patches:
            one.start()

    def __exit__(self, *told):
        for one in self.patches:
            one.stop()


def test_the_kinds_of_parts_are_those_that_posting_tells():
    assert set(reversing._TOLD) == {"memo.part-posted", "memo.posted"}
