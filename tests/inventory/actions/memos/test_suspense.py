"""Every cent of a memo reaches the supplier account; what is not ours waits for a person."""

from datetime import date

import pytest
from django.test import TestCase

from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.actions.memos.holding import left_out_lines
from inventory.actions.memos.later import match_credit
from inventory.actions.memos.posting import post_memo
from inventory.actions.memos.suspense import (
    WrittenAnswer,
    return_credit,
    take_by_answer,
    take_by_reason,
)
from inventory.models import Crate, Entry, Leg, MemoLine, ShortCredit, SuspenseLine
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

ANSWER = WrittenAnswer(date(2026, 4, 28), "J. Hale, email")


def post(book, memo):
    memo.refresh_from_db()
    return post_memo(memo=memo, version=memo.version, person=book.who.abel, at=AT)


def supplier_moves():
    """What the entries of memos put into the supplier account."""
    legs = Leg.objects.filter(account__kind="supplier-account", entry__kind="memo")
    return sum(legs.values_list("cents", flat=True))


class TestHeldCredits(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_stage()
        shipped(cls.book)
        cls.one, cls.two, cls.three = cls.book.crates
        # Three crates at 120.00. The memo: 120.00 + 130.00 + 10.00 = 260.00.
        cls.memo = memo_of(
            cls.book, (cls.one, 12_000), (cls.two, 13_000), ("ZZ-77", 1_000)
        )
        post(cls.book, cls.memo)
        cls.more = SuspenseLine.objects.get(memo_line__position=2)
        cls.held = SuspenseLine.objects.get(memo_line__position=3)

    def end(self, function, reason="Theirs.", **over):
        row = SuspenseLine.objects.get(pk=over.pop("pk", self.held.pk))
        extra = {name: over.pop(name) for name in ("answer", "deposit") if name in over}
        return function(
            line=row,
            version=over.pop("version", row.version),
            decided=decided(self.book, reason, **over),
            **extra,
        )

    def test_the_supplier_account_takes_the_whole_memo(self):
        assert supplier_moves() == 12_000 + 13_000 + 1_000
        # 360.00 charged - 260.00 credited; 120.00 still expected;
        # 10.00 beyond the charge and 10.00 not ours are held.
        assert balances() == {
            "supplier-account": -36_000 + 26_000,
            "credits-expected": 12_000,
            "supplier-suspense": -2_000,
        }
        assert [(row.amount_cents, row.state) for row in (self.more, self.held)] == [
            (1_000, "open"),
            (1_000, "open"),
        ]
        assert MemoLine.objects.filter(memo=self.memo, entry=None).count() == 0

    def test_posting_again_holds_nothing_twice(self):
        post(self.book, self.memo)
        post(self.book, self.memo)
        assert SuspenseLine.objects.count() == 2
        assert balances()["supplier-suspense"] == -2_000

    def test_returned_it_leaves_both_accounts(self):
        row = self.end(return_credit)
        assert row.state == "returned"
        assert balances()["supplier-suspense"] == -1_000
        assert balances()["supplier-account"] == -36_000 + 26_000 - 1_000

    def test_income_needs_the_written_answer_or_a_managers_reason(self):
        for reason in ("", "  "):
            with pytest.raises(RefusedError, match="Enter a reason"):
                self.end(take_by_reason, reason)
        with pytest.raises(RefusedError, match="written answer"):
            self.end(take_by_answer, "It is a year old.", answer=None)
        assert balances().get("credits-kept") is None

    def test_taken_by_the_suppliers_answer_it_is_income(self):
        row = self.end(take_by_answer, "", answer=ANSWER)
        assert (row.state, row.answered_on, row.answered_by) == (
            "income",
            ANSWER.on,
            ANSWER.by,
        )
        assert balances()["credits-kept"] == -1_000
        assert balances()["supplier-suspense"] == -1_000
        note = Entry.objects.get(kind="held-taken").note
        assert note == "Written answer of J. Hale, email, 2026-04-28."

    def test_taken_by_a_managers_reason_it_is_income(self):
        self.end(take_by_reason, "Closed in their books too.")
        assert balances()["credits-kept"] == -1_000

    def test_matched_later_it_pays_the_crate(self):
        row = self.end(match_credit, "", deposit=self.book.deposits[2])
        assert (row.state, row.deposit) == ("matched", self.book.deposits[2])
        # 10.00 of the third crate's 120.00; the supplier account stays as it is.
        assert balances() == {
            "supplier-account": -36_000 + 26_000,
            "credits-expected": 11_000,
            "supplier-suspense": -1_000,
        }
        assert Crate.objects.get(pk=self.three.pk).state == "short-credited"
        short = ShortCredit.objects.get(state="open")
        assert short.amount_cents == 11_000
        expect_books_in_order()

    def test_matched_in_part_the_rest_keeps_its_cause_and_explanation(self):
        memo = memo_of(self.book, (self.three, 9_000, "late"))
        post(self.book, memo)
        ShortCredit.objects.update(explanation="Late by their gate log.")
        self.end(match_credit, "", deposit=self.book.deposits[2])
        rest = ShortCredit.objects.get(state="open")
        assert (rest.amount_cents, rest.cause) == (2_000, "late")
        assert rest.explanation == "Late by their gate log."
        assert rest.memo_line.memo == memo
        expect_books_in_order()

    def test_what_the_crate_does_not_need_stays_held(self):
        # A second memo credits 150.00 that is not ours; 120.00 pays the third crate.
        memo = memo_of(self.book, ("QQ-1", 15_000))
        post(self.book, memo)
        big = SuspenseLine.objects.get(memo_line__memo=memo)
        self.end(match_credit, "", pk=big.pk, deposit=self.book.deposits[2])
        used, rest = SuspenseLine.objects.filter(memo_line__memo=memo).order_by("pk")
        assert (used.state, used.amount_cents) == ("matched", 12_000)
        assert (rest.state, rest.amount_cents) == ("open", 3_000)
        assert balances()["supplier-suspense"] == -2_000 - 3_000
        assert Crate.objects.get(pk=self.three.pk).state == "credited"
        expect_books_in_order()

    def test_a_crate_with_nothing_open_takes_nothing(self):
        with pytest.raises(RefusedError, match="Nothing is open on"):
            self.end(match_credit, "", deposit=self.book.deposits[0])
        assert balances()["supplier-suspense"] == -2_000

    def test_a_repeat_has_one_effect_and_another_decision_is_refused(self):
        key = "one-click"
        first = self.end(return_credit, posting_key=key)
        again = self.end(return_credit, posting_key=key, version=first.version - 1)
        assert again.pk == first.pk
        with pytest.raises(RefusedError, match="already went back"):
            self.end(take_by_reason)
        assert Entry.objects.filter(kind="held-returned").count() == 1

    def test_a_stale_page_decides_nothing(self):
        with pytest.raises(StaleRowError):
            self.end(return_credit, version=self.held.version + 1)

    def test_the_deposits_own_legs_still_sum_to_zero(self):
        self.end(match_credit, "", deposit=self.book.deposits[2])
        legs = Leg.objects.filter(entry__kind="held-matched")
        own = legs.filter(deposit=self.book.deposits[2])
        assert sum(own.values_list("cents", flat=True)) == 0
        assert sum(legs.values_list("cents", flat=True)) == 0


class TestMemosOfEarlierVersions(TestCase):
    """Memos that were posted while a line that is not ours reached no account."""

    def test_posting_again_holds_what_was_left_out(self):
        book = make_stage()
        shipped(book)
        memo = memo_of(book, ("ZZ-77", 1_000), ("ZZ-78", 2_000))
        memo.is_posted = True
        memo.save()
        assert left_out_lines(memo).count() == 2
        assert "supplier-suspense" not in balances()

        post(book, memo)

        assert balances()["supplier-suspense"] == -3_000
        assert supplier_moves() == 3_000
        assert not left_out_lines(memo).exists()
        post(book, memo)
        assert SuspenseLine.objects.count() == 2
        assert SuspenseLine.objects.first().opened_on == MEMO_DAY
