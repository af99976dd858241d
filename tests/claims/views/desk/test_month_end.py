"""The checks of a month, each with what is open, what is carried, and the lock."""

from datetime import UTC, date, datetime, timedelta
from uuid import uuid4

import pytest
import time_machine
from django.test import TestCase
from django.urls import reverse

from claims.actions.desk.month_end import carry_check, lock_month, withdraw_carried
from claims.models import Claim
from claims.queries.desk.month_end import checks_of
from claims.rules.books.month_end import CHECKS
from inventory.actions.core.versions import RefusedError
from inventory.actions.memos.posting import post_memo
from inventory.models import BalanceAssertion, CarriedCheck, Event, PeriodLock
from inventory.rules.reckoning.months import CalendarMonth
from tests.claims.acts import calls_of
from tests.claims.booking import filed_claim
from tests.claims.stage import claim_it, set_stage, step
from tests.claims.views.books.test_books_pages import NO_MONTHS
from tests.ledger import charge
from tests.making import ARRIVED
from tests.returning import AT, make_stage, memo_of, shipped

pytestmark = pytest.mark.database

NOW = datetime(2026, 5, 4, 15, 0, tzinfo=UTC)
JUNE = datetime(2026, 6, 2, 15, 0, tzinfo=UTC)
APRIL = CalendarMonth(date(2026, 4, 1))
MAY = APRIL.after
LOOKED_FOR = "The supplier looks for it."


@time_machine.travel(NOW, tick=False)
class TestMonthEnd(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_stage()
        cls.home = shipped(cls.book)

    def setUp(self):
        self.client.force_login(self.book.who.abel)

    def open_ones(self, month=APRIL):
        found = checks_of(self.book.location, month)
        assert [one.key for one in found] == list(CHECKS)
        return {one.words: (one.count, one.sums) for one in found if one.rows}

    def test_books_with_nothing_open_have_every_check_done(self):
        assert self.open_ones() == {}
        answer = self.client.get(reverse("month_end"))
        self.assertContains(answer, "Month end: April 2026")
        self.assertContains(answer, "All 8 checks are done or carried.")
        self.assertContains(answer, reverse("lock_month", args=[self.book.location.pk]))

    def test_each_check_counts_what_is_open_and_its_money(self):
        crate = self.book.crates[0]
        memo = memo_of(self.book, (crate, 12_000), ("ZZ-77", 1_000))
        post_memo(memo=memo, version=1, person=self.book.who.abel, at=AT)
        memo_of(self.book, (self.book.crates[1], 9_000), (self.book.crates[2], 500))
        charge(self.book)
        BalanceAssertion.objects.create(
            location=self.book.location,
            supplier=self.book.supplier,
            as_of=APRIL.last,
            # 240.00 expected and 120.00 charged without a crate are 360.00.
            stated_cents=29_500,
            currency="USD",
            entered_at=ARRIVED,
            entered_by=self.book.who.abel,
        )
        claim = claim_it(self.book.who, set_stage(self.book.who))
        calls_of(claim)["send"](step(self.book.who, claim))
        assert self.open_ones() == {
            "Credit memos not posted": (1, (("USD", 9_500),)),
            "Claims without proof of delivery": (1, (("USD", 60_000),)),
            # The two crates of the same return that the posted memo leaves out.
            "Short-paid credits, undecided": (2, (("USD", 24_000),)),
            "Suspense lines, undecided": (1, (("USD", 1_000),)),
            "Charges without a crate": (1, (("USD", 12_000),)),
            "Statements that disagree": (1, (("USD", 6_500),)),
        }
        # What came after the month does not keep it open.
        assert set(self.open_ones(APRIL.before)) == {
            "Charges without a crate",
            "Claims without proof of delivery",
        }
        answer = self.client.get(reverse("month_end"))
        self.assertContains(answer, "6 of 8 checks open.")
        self.assertContains(answer, "Finish each, or carry each one")

    def test_other_months_are_reached_and_the_present_one_is_not(self):
        page = reverse("month_end")
        march = self.client.get(page, {"month": "2026-03"})
        self.assertContains(march, "Month end: March 2026")
        self.assertContains(march, "month=2026-04")
        for asked in ("2026-05", *NO_MONTHS):
            with self.subTest(asked=asked):
                answer = self.client.get(page, {"month": asked})
                self.assertContains(answer, "It shows April 2026", status_code=422)

    def test_a_manager_sees_it_and_is_told_who_locks(self):
        self.client.force_login(self.book.who.mina)
        self.assertContains(
            self.client.get(reverse("month_end")), "Accounting locks the month."
        )
        self.client.force_login(self.book.who.rosa)
        assert self.client.get(reverse("month_end")).status_code == 403


@time_machine.travel(NOW, tick=False)
class TestCarrying(TestCase):
    """One charge without a crate is open in April."""

    @classmethod
    def setUpTestData(cls):
        cls.book = make_stage()
        cls.charge = charge(cls.book)
        cls.place, cls.abel = cls.book.location, cls.book.who.abel

    def setUp(self):
        self.client.force_login(self.abel)

    def carry(self, reason=LOOKED_FOR, key="charges", month=APRIL, at=NOW):
        return carry_check(
            location=self.place,
            month=month,
            check_key=key,
            reason=reason,
            person=self.abel,
            at=at,
        )

    def lock(self, month=APRIL, at=NOW):
        return lock_month(location=self.place, month=month, person=self.abel, at=at)

    def press_lock(self, month="2026-04"):
        url = reverse("lock_month", args=[self.place.pk])
        return self.client.post(url, {"month": month}, follow=True)

    def state(self, key="charges", month=APRIL):
        return next(one.state for one in checks_of(self.place, month) if one.key == key)

    def carried_events(self):
        return Event.objects.filter(kind__startswith="month.").count()

    def test_an_open_check_holds_up_the_lock_until_it_is_carried_with_a_reason(self):
        self.assertContains(
            self.press_lock(), "Still open through Thu 30 Apr 2026: charges"
        )
        assert not PeriodLock.objects.exists()
        self.assertContains(
            self.client.get(reverse("month_end")), "Carry with a reason"
        )
        answer = self.client.post(
            f"{reverse('carry_check')}?location={self.place.pk}&month=2026-04",
            {"check": "charges", "reason": LOOKED_FOR},
            follow=True,
        )
        self.assertContains(answer, "Charges without a crate of April 2026 carried.")
        self.assertContains(answer, f"Carried by Abel Strand: {LOOKED_FOR}")
        self.assertContains(answer, "Lock April 2026</button>")
        answer = self.press_lock()
        self.assertContains(
            answer, "April 2026 is locked at Riverside, by Abel Strand."
        )
        self.assertContains(answer, "by Abel Strand on Mon 4 May")
        self.assertNotContains(answer, "</button>Lock")
        assert PeriodLock.objects.get().through == APRIL.last

    def lock_on_its_page(self, through):
        more = {"location": self.place.pk, "through": through, "once": str(uuid4())}
        return self.client.post(reverse("lock_period"), more, follow=True)

    def test_no_page_locks_past_an_open_check(self):
        url = reverse("lock_period")
        self.assertContains(self.client.get(url), reverse("month_end"))
        answer = self.lock_on_its_page("2026-04-30")
        told = "Still open through Thu 30 Apr 2026: charges without a crate."
        self.assertContains(answer, told, status_code=422)
        assert not PeriodLock.objects.exists()
        self.carry()
        assert self.lock_on_its_page("2026-04-30").redirect_chain
        # In a month that runs, what April carried counts; what is new does not.
        assert self.lock_on_its_page("2026-05-01").redirect_chain
        charge(self.book, invoiced_on=date(2026, 5, 2))
        answer = self.lock_on_its_page("2026-05-02")
        self.assertContains(answer, "Still open through Sat 2 May", status_code=422)
        assert PeriodLock.objects.count() == 2

    def test_next_month_shows_what_was_carried_and_asks_again(self):
        self.carry()
        self.lock()
        with time_machine.travel(JUNE, tick=False):
            self.client.force_login(self.abel)
            answer = self.client.get(reverse("month_end"))
            self.assertContains(answer, "Month end: May 2026")
            self.assertContains(
                answer, f"Carried from April 2026 by Abel Strand: {LOOKED_FOR}"
            )
            assert self.state(month=MAY) == "open"
            shown = self.client.get(reverse("carry_check"), {"check": "charges"})
            assert shown.context["form"]["reason"].value() == LOOKED_FOR

    def test_the_same_twice_is_one_and_another_reason_replaces_it(self):
        first = self.carry()
        assert self.carry() == first
        assert self.carried_events() == 1
        second = self.carry("It comes back empty.")
        assert CarriedCheck.objects.get() == second
        assert CarriedCheck.everything.count() == 2

    def test_what_opens_afterwards_is_not_carried(self):
        self.carry()
        assert self.state() == "carried"
        charge(self.book)
        assert self.state() == "open"
        self.assertContains(
            self.client.get(reverse("month_end")),
            "More is open now than was carried.",
        )
        with pytest.raises(RefusedError, match=r"Still open through .*: charges"):
            self.lock()

    def test_books_that_disagree_with_themselves_are_never_carried(self):
        claim = filed_claim(self.book.who)
        assert self.state("claims-tie") == "done"
        Claim.objects.filter(pk=claim.pk).update(state="not-pursued")
        self.carry()
        assert self.state("claims-tie") == "open"
        with pytest.raises(RefusedError, match="disagree with themselves"):
            self.carry(key="claims-tie")
        shown = self.client.get(reverse("carry_check"))
        assert not shown.context["form"]["check"].field.choices
        with pytest.raises(RefusedError, match=r"Still open through .*: claims list"):
            self.lock()

    def test_it_is_taken_back_once_and_only_before_the_lock(self):
        row = self.carry()
        url = reverse("withdraw_carried", args=[row.pk])
        for _ in range(2):
            answer = self.client.post(url, follow=True)
            self.assertContains(answer, "Charges without a crate is open again.")
        assert self.carried_events() == 2
        assert self.state() == "open"
        row = self.carry()
        self.lock()
        with pytest.raises(RefusedError, match="locked through April 2026"):
            withdraw_carried(carried=row, person=self.abel, at=NOW)
        with pytest.raises(RefusedError, match="locked through April 2026"):
            self.carry("Too late.")
        assert self.state() == "carried"

    def test_nothing_is_carried_where_nothing_is_open_nor_before_a_month_is_over(self):
        with pytest.raises(RefusedError, match="nothing is open in April"):
            self.carry(key="memos")
        with pytest.raises(RefusedError, match="Choose one of the checks"):
            self.carry(key="everything")
        for act in (self.carry, self.lock):
            with pytest.raises(RefusedError, match="May 2026 is not over yet"):
                act(month=MAY)
        for asked in ("2026-05", *NO_MONTHS):
            self.assertContains(self.press_lock(asked), "Choose a month that is over.")
            page = f"{reverse('carry_check')}?month={asked}"
            answer = self.client.post(page, {"check": "charges", "reason": "Typed."})
            self.assertContains(answer, "Nothing was saved.", status_code=422)
        assert not CarriedCheck.objects.exists()

    def test_a_second_lock_of_the_month_is_the_first(self):
        self.carry()
        assert self.lock() == self.lock(at=NOW + timedelta(hours=1))
