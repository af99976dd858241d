"""A memo pays once; what it leaves is opened, decided and never lost."""

from datetime import date, timedelta

import pytest
from django.test import TestCase

from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.actions.memos.entering import (
    add_memo_line,
    drop_memo_line,
    match_memo_line,
)
from inventory.actions.memos.posting import post_memo
from inventory.actions.memos.short_credits import (
    accept_short,
    agree_give_up,
    dispute_short,
    give_up_short,
    win_short,
)
from inventory.models import Crate, CrateReturn, CreditMemo, Entry, ShortCredit
from inventory.rules.memos.matching import Line
from tests import making
from tests.ledger import DAY
from tests.returning import (
    AT,
    LEFT,
    balances,
    decided,
    expect_books_in_order,
    make_stage,
    memo_of,
    ready_crate,
    shipped,
)

pytestmark = pytest.mark.database


def post(book, memo, **over):
    memo.refresh_from_db()
    values = {"version": memo.version, "person": book.who.abel, "at": AT}
    return post_memo(memo=memo, **{**values, **over})


def state(crate):
    return Crate.objects.get(pk=crate.pk).state


class TestMemos(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_stage()
        cls.home = shipped(cls.book)
        cls.one, cls.two, cls.three = cls.book.crates

    def who(self):
        return {"person": self.book.who.abel, "at": AT}

    def test_a_memo_in_full_closes_the_return(self):
        memo = memo_of(self.book, *((crate, 12_000) for crate in self.book.crates))
        assert [line.fate for line in memo.lines.all()] == ["as-expected"] * 3
        post(self.book, memo)
        assert balances() == {}
        assert [state(crate) for crate in self.book.crates] == ["credited"] * 3
        self.home.refresh_from_db()
        assert self.home.state == "closed"
        assert not ShortCredit.objects.exists()
        expect_books_in_order()

    def test_posting_again_changes_nothing(self):
        memo = memo_of(self.book, (self.one, 12_000))
        post(self.book, memo)
        before = (balances(), Entry.objects.count())
        post(self.book, memo)
        post(self.book, memo, version=1)
        assert (balances(), Entry.objects.count()) == before

    def test_a_long_memo_that_broke_off_goes_on_where_it_stopped(self):
        from unittest import mock

        from inventory.actions.memos import posting as memo_posting

        memo = memo_of(
            self.book, (self.one, 0), (self.two, 12_000), (self.three, 9_000)
        )
        finish = mock.patch.object(
            memo_posting, "_finish", side_effect=RefusedError("cut")
        )
        with mock.patch.object(memo_posting, "AT_ONCE", 1):
            with finish, pytest.raises(RefusedError, match="cut"):
                post(self.book, memo)
            # One line a part: what came before the cut is posted, the last is not.
            assert [state(crate) for crate in self.book.crates] == [
                "short-credited",
                "credited",
                "shipped",
            ]
            paid = memo.lines.get(position=2)
            with pytest.raises(RefusedError, match="Line 2 is already posted"):
                drop_memo_line(line=paid, version=paid.version, **self.who())
            post(self.book, memo)
        assert state(self.three) == "short-credited"
        assert Entry.objects.filter(kind="memo").count() == 2
        shorts = ShortCredit.objects.order_by("amount_cents")
        assert [row.amount_cents for row in shorts] == [3_000, 12_000]
        memo.refresh_from_db()
        assert memo.is_posted
        expect_books_in_order()

    def test_a_stale_page_posts_nothing(self):
        memo = memo_of(self.book, (self.one, 12_000))
        add_memo_line(memo=memo, line=Line(0, 12_000, self.two.mark), **self.who())
        with pytest.raises(StaleRowError):
            post_memo(memo=memo, version=memo.version, **self.who())

    def test_a_short_line_opens_its_difference(self):
        memo = memo_of(self.book, (self.one, 10_500, "1 bracket missing"))
        post(self.book, memo)
        shorts = {row.deposit.crate: row for row in ShortCredit.objects.all()}
        short = shorts[self.one]
        assert (short.cause, short.amount_cents, short.state) == (
            "missing-part",
            1_500,
            "open",
        )
        assert shorts[self.two].cause == shorts[self.three].cause == "not-on-memo"
        assert shorts[self.two].amount_cents == 12_000
        assert state(self.one) == "short-credited"
        assert state(self.two) == "shipped"
        expect_books_in_order()

    def test_a_later_memo_pays_what_the_first_left_out(self):
        post(self.book, memo_of(self.book, (self.one, 12_000), (self.two, 12_000)))
        short = ShortCredit.objects.get()
        assert short.cause == "not-on-memo"
        post(self.book, memo_of(self.book, (self.three, 12_000)))
        short.refresh_from_db()
        assert short.state == "won"
        assert balances() == {}
        self.home.refresh_from_db()
        assert self.home.state == "closed"

    def test_a_later_memo_that_pays_in_part_splits_the_difference(self):
        post(self.book, memo_of(self.book, (self.one, 12_000), (self.two, 12_000)))
        post(self.book, memo_of(self.book, (self.three, 9_000, "was late")))
        won, rest = ShortCredit.objects.order_by("pk")
        assert (won.state, won.amount_cents) == ("won", 9_000)
        assert (rest.state, rest.amount_cents, rest.cause) == ("open", 3_000, "late")
        expect_books_in_order()

    def test_the_rest_may_come_on_a_second_memo(self):
        post(self.book, memo_of(self.book, (self.one, 10_000)))
        second = memo_of(self.book, (self.one, 2_000))
        assert second.lines.get().fate == "as-expected"
        post(self.book, second)
        assert state(self.one) == "credited"
        expect_books_in_order()

    def test_no_crate_is_credited_twice(self):
        post(self.book, memo_of(self.book, (self.one, 12_000)))
        again = memo_of(self.book, (self.one, 12_000))
        assert again.lines.get().fate == "twice"
        post(self.book, again)
        # 360.00 charged, 120.00 paid, 120.00 credited twice and held.
        assert balances()["supplier-account"] == -12_000
        assert balances()["supplier-suspense"] == -12_000
        expect_books_in_order()

    def test_a_crate_credited_short_is_not_credited_again_for_more(self):
        post(self.book, memo_of(self.book, (self.one, 9_000)))
        again = memo_of(self.book, (self.one, 9_000))
        assert again.lines.get().fate == "twice"
        post(self.book, again)
        assert balances()["supplier-account"] == -36_000 + 9_000 + 9_000
        assert balances()["supplier-suspense"] == -9_000
        expect_books_in_order()

    def test_two_memos_entered_before_either_is_posted_pay_once(self):
        first = memo_of(self.book, (self.one, 12_000))
        second = memo_of(self.book, (self.one, 12_000))
        assert second.lines.get().fate == "as-expected"
        post(self.book, first)
        post(self.book, second)
        assert second.lines.get().fate == "twice"
        assert balances()["supplier-account"] == -12_000
        assert balances()["supplier-suspense"] == -12_000

    def test_more_than_was_charged_is_held(self):
        post(self.book, memo_of(self.book, (self.one, 12_700)))
        assert balances()["supplier-suspense"] == -700
        assert balances()["supplier-account"] == -36_000 + 12_700
        expect_books_in_order()

    def test_what_is_not_ours_is_held(self):
        memo = memo_of(self.book, (self.one, 12_000), ("ZZ-77", 5_000))
        assert [line.fate for line in memo.lines.all()] == ["as-expected", "not-ours"]
        post(self.book, memo)
        assert balances()["supplier-account"] == -36_000 + 12_000 + 5_000
        assert balances()["supplier-suspense"] == -5_000

    def test_a_line_for_a_crate_still_here_must_be_decided(self):
        here = ready_crate(self.book, mark="HERE-1")
        memo = memo_of(self.book, (here, 12_000))
        assert memo.lines.get().fate == ""
        with pytest.raises(RefusedError, match="Line 1 is not matched"):
            post(self.book, memo)
        shipped(self.book, [here])
        post(self.book, memo)
        assert state(here) == "credited"

    def test_an_empty_memo_is_not_posted(self):
        with pytest.raises(RefusedError, match="has no line"):
            post(self.book, memo_of(self.book))

    def test_a_person_says_which_crate_a_line_is_for(self):
        memo = memo_of(self.book, ("HT-0O1", 12_000))
        line = memo.lines.get()
        assert line.fate == "not-ours"
        fate = match_memo_line(
            line=line,
            version=line.version,
            deposit=self.book.deposits[0],
            **self.who(),
        )
        assert fate.fate == "as-expected"
        post(self.book, memo)
        assert state(self.one) == "credited"

    def test_two_lines_never_share_a_crate(self):
        memo = memo_of(self.book, (self.one, 6_000), ("X-1", 6_000))
        line = memo.lines.get(position=2)
        with pytest.raises(RefusedError, match="Line 1 of this memo"):
            match_memo_line(
                line=line,
                version=line.version,
                deposit=self.book.deposits[0],
                **self.who(),
            )

    def test_a_deposit_of_another_book_is_refused(self):
        other = make_other_deposit(self.book)
        memo = memo_of(self.book, ("X-1", 6_000))
        line = memo.lines.get()
        with pytest.raises(RefusedError, match="another location, supplier"):
            match_memo_line(
                line=line, version=line.version, deposit=other, **self.who()
            )

    def test_a_line_typed_wrong_is_taken_out(self):
        memo = memo_of(self.book, (self.one, 1), (self.two, 12_000))
        line = memo.lines.get(position=1)
        drop_memo_line(line=line, version=line.version, **self.who())
        add_memo_line(memo=memo, line=Line(0, 12_000, self.one.mark), **self.who())
        assert [one.position for one in memo.lines.all()] == [2, 3]
        post(self.book, memo)
        with pytest.raises(RefusedError, match="is posted"):
            add_memo_line(memo=memo, line=Line(0, 1, "A"), **self.who())

    def test_a_memo_is_in_the_currency_of_the_suppliers_terms(self):
        from tests.ledger import make_terms

        make_terms(self.book.supplier, currency="CAD", starts_on=date(2026, 4, 1))
        assert memo_of(self.book, ("X-1", 5)).currency == "CAD"

    def test_a_number_is_entered_once(self):
        memo_of(self.book, (self.one, 12_000), number="CM-X")
        with pytest.raises(RefusedError, match="already entered"):
            memo_of(self.book, (self.one, 12_000), number="CM-X")
        assert CreditMemo.objects.count() == 1

    def test_a_memo_dated_in_a_locked_month_is_posted_after_it(self):
        from inventory.models import PeriodLock

        PeriodLock.objects.create(
            location=self.book.location,
            through=date(2026, 4, 30),
            locked_at=AT,
            locked_by=self.book.who.abel,
        )
        memo = memo_of(self.book, (self.one, 12_000))
        post(self.book, memo)
        assert memo.lines.get().entry.effective_on == date(2026, 5, 1)

    def test_a_memo_dated_before_the_crates_left_takes_effect_with_them(self):
        memo = memo_of(self.book, (self.one, 12_000), dated_on=date(2026, 3, 1))
        post(self.book, memo)
        assert memo.lines.get().entry.effective_on == LEFT

    def test_a_memo_dated_before_a_held_crate_left_takes_effect_with_it(self):
        # Out for 130 days, 45 of them on hold: nothing is expected, all is disputed.
        left = DAY + timedelta(days=130)
        crate = ready_crate(self.book)
        making.make_packaging_hold(
            crate,
            placed_on=DAY,
            released_on=DAY + timedelta(days=45),
            released_at=AT,
            released_how="manager",
        )
        shipped(self.book, [crate], left_on=left, billed_on=left)
        earlier = left - timedelta(days=10)
        memo = memo_of(self.book, (crate, 12_000), dated_on=earlier, received_on=left)
        post(self.book, memo)
        assert memo.lines.get().entry.effective_on == left
        assert Crate.objects.get(pk=crate.pk).state == "credited"


def make_other_deposit(book):
    from tests.ledger import charge

    other = making.make_supplier()
    kind = making.make_crate_type(other)
    return charge(book, supplier=other, crate_type=kind)


class TestDifferences(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_stage(crates=1)
        cls.home = shipped(cls.book)
        cls.crate = cls.book.crates[0]
        post(cls.book, memo_of(cls.book, (cls.crate, 9_000, "late")))
        cls.short = ShortCredit.objects.get()

    def act(self, function, reason="Looked at it.", **over):
        short = ShortCredit.objects.get(pk=self.short.pk)
        extra = {k: over.pop(k) for k in ("cents",) if k in over}
        return function(
            short=short,
            version=over.pop("version", short.version),
            decided=decided(self.book, reason, **over),
            **extra,
        )

    def test_accepted_it_becomes_a_cost(self):
        self.act(accept_short)
        assert balances() == {
            "forfeited-deposits": 3_000,
            "supplier-account": -3_000,
        }
        assert state(self.crate) == "short-credited"
        assert CrateReturn.objects.get().state == "closed"
        expect_books_in_order()

    def test_disputed_it_stands_apart_and_can_be_won(self):
        self.act(dispute_short)
        assert balances()["disputed-credits"] == 3_000
        expect_books_in_order()
        self.act(win_short, "", cents=3_000)
        assert balances() == {}
        assert state(self.crate) == "credited"
        assert CrateReturn.objects.get().state == "closed"

    def test_won_in_part_the_rest_goes_on(self):
        self.act(dispute_short)
        self.act(win_short, "", cents=1_000)
        won, rest = ShortCredit.objects.order_by("pk")
        assert (won.amount_cents, won.state) == (1_000, "won")
        assert (rest.amount_cents, rest.state) == (2_000, "disputed")
        expect_books_in_order()

    def test_more_than_it_cannot_be_won(self):
        with pytest.raises(RefusedError, match=r"from 0\.01 to USD 30\.00"):
            self.act(win_short, "", cents=3_001)

    def test_a_disputed_difference_is_paid_by_a_memo(self):
        self.act(dispute_short)
        post(self.book, memo_of(self.book, (self.crate, 3_000)))
        self.short.refresh_from_db()
        assert self.short.state == "won"
        assert balances() == {}
        assert state(self.crate) == "credited"

    def test_a_repeat_with_the_same_key_pays_once(self):
        self.act(accept_short, posting_key="k-1", version=self.short.version)
        again = self.act(accept_short, posting_key="k-1", version=self.short.version)
        assert again.state == "accepted"
        assert Entry.objects.filter(kind="short-credit").count() == 1

    def test_two_people_cannot_decide_it_twice(self):
        self.act(accept_short)
        with pytest.raises(RefusedError, match="This loss was accepted"):
            self.act(dispute_short)
        with pytest.raises(RefusedError, match="This loss was accepted"):
            self.act(win_short, "", cents=1)

    def test_words_are_asked_for(self):
        with pytest.raises(RefusedError, match="Enter a reason"):
            self.act(accept_short, " ")

    def test_above_the_limit_a_second_person_agrees(self):
        self.book.location.write_off_limit_cents = 2_999
        self.book.location.save()
        with pytest.raises(RefusedError, match="above the limit for one person"):
            self.act(accept_short)
        self.act(give_up_short)
        assert ShortCredit.objects.get().state == "open"
        with pytest.raises(RefusedError, match="another person"):
            self.act(agree_give_up)
        self.act(agree_give_up, person=self.book.who.mina)
        assert ShortCredit.objects.get().state == "written-off"
        assert balances()["deposits-written-off"] == 3_000
        assert CrateReturn.objects.get().state == "closed"
        expect_books_in_order()

    def test_at_the_limit_it_is_written_off_at_once(self):
        self.act(dispute_short)
        self.act(give_up_short)
        assert ShortCredit.objects.get().state == "written-off"
        assert balances()["deposits-written-off"] == 3_000
