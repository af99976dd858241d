"""The day and the cent on either side of what the books refuse."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.test import TestCase

from inventory.actions.core.versions import RefusedError
from inventory.actions.ledger.checks import (
    locked_through,
    open_day,
    refuse_double_credit,
)
from inventory.actions.ledger.periods import lock_period
from inventory.actions.returns.arrival import receive_return
from inventory.models import PeriodLock
from inventory.queries.ledger.balances import deposit_balance
from inventory.rules.deposits import postings
from tests.ledger import AT, DAY, charge, make_book, make_terms, post
from tests.making import make_reusable
from tests.returning import AT as LATER
from tests.returning import LEFT, make_stage, shipped

pytestmark = pytest.mark.database

ONE = timedelta(days=1)
THROUGH = date(2026, 2, 28)
AFTER = date(2026, 3, 1)


class TestTheLastLockedDay(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_book()

    def lock(self, through, at=AT):
        return lock_period(
            location=self.book.location,
            through=through,
            person=self.book.who.abel,
            at=at,
        )

    def charge_on(self, day):
        return charge(self.book, invoiced_on=THROUGH - ONE, booked_on=day)

    def test_the_locked_day_is_closed_and_the_next_is_open(self):
        self.lock(THROUGH)
        with pytest.raises(RefusedError, match="Book it on Sun 1 Mar 2026 or later"):
            self.charge_on(THROUGH)
        assert deposit_balance(self.charge_on(AFTER)) == 12_000

    def test_what_comes_in_late_moves_to_the_first_open_day_and_no_further(self):
        self.lock(THROUGH)
        place = self.book.location
        assert open_day(place, THROUGH - ONE) == AFTER
        assert open_day(place, THROUGH) == AFTER
        assert open_day(place, AFTER) == AFTER
        assert open_day(place, AFTER + ONE) == AFTER + ONE

    def test_the_latest_of_several_locks_holds(self):
        self.lock(date(2026, 1, 31))
        self.lock(THROUGH)
        assert locked_through(self.book.location) == THROUGH

    def test_yesterday_is_locked_and_today_is_not(self):
        with pytest.raises(RefusedError, match="Only past days can be locked"):
            self.lock(DAY)
        assert self.lock(DAY - ONE).through == DAY - ONE

    def test_today_is_the_docks_day(self):
        # 03:30 on the 11th in London is the evening of the 10th at Riverside.
        evening = datetime(2026, 3, 11, 3, 30, tzinfo=UTC)
        with pytest.raises(RefusedError, match="Only past days can be locked"):
            self.lock(DAY, at=evening)

    def test_the_day_of_the_last_lock_gives_that_lock_and_the_day_before_none(self):
        lock = self.lock(THROUGH)
        assert self.lock(THROUGH) == lock
        with pytest.raises(RefusedError, match="A lock cannot be undone"):
            self.lock(THROUGH - ONE)
        assert PeriodLock.objects.count() == 1


class TestOneCentTwice(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_book()
        cls.deposit = charge(cls.book)
        lines = postings.credit_expected(cls.deposit.pk, expected=12_000)
        post(cls.book, "credit-expected", lines)

    def pay(self, paid):
        lines = postings.memo_paid(self.deposit.pk, paid=paid, expected=12_000)
        return post(self.book, "memo", lines)

    def test_one_cent_beyond_the_deposit_is_a_second_credit(self):
        with pytest.raises(RefusedError, match=r"USD 0\.01 more than was charged"):
            self.pay(12_001)

    def test_the_deposit_to_the_cent_is_none(self):
        self.pay(12_000)
        assert deposit_balance(self.deposit) == 0

    def test_one_cent_after_all_was_paid_is_a_second_credit(self):
        self.pay(12_000)
        cent = (postings.Line(postings.SUPPLIER, 1, self.deposit.pk),)
        with pytest.raises(RefusedError, match=r"USD 0\.01 more than was charged"):
            refuse_double_credit(self.deposit, cent)


class TestWhenTheMemoIsDue(TestCase):
    """Two crates of one return, of terms that give the supplier 30 and 10 days."""

    @classmethod
    def setUpTestData(cls):
        cls.book = make_stage(crates=0)
        make_terms(cls.book.supplier, starts_on=date(2026, 3, 5), memo_days=10)
        cls.pair = [cls.crate(date(2026, 3, 1)), cls.crate(date(2026, 3, 20))]

    @classmethod
    def crate(cls, invoiced_on):
        crate = make_reusable(
            cls.book.shipment, state="complete", crate_type=cls.book.crate_type
        )
        charge(cls.book, crates=[crate], marks=[crate.mark], invoiced_on=invoiced_on)
        return crate

    def test_a_return_waits_for_the_last_of_its_memos(self):
        row = shipped(self.book, self.pair)
        row.refresh_from_db()
        assert row.memo_due_on == LEFT + timedelta(days=30)

    def test_so_it_does_once_it_was_received(self):
        row = shipped(self.book, self.pair)
        row.refresh_from_db()
        got = receive_return(
            crate_return=row,
            version=row.version,
            received_on=LEFT + timedelta(days=2),
            person=self.book.who.rosa,
            at=LATER,
        )
        assert got.memo_due_on == LEFT + timedelta(days=32)
