"""Any order of shipping, memos and decisions leaves the books in order.

No crate is credited twice, every difference is explained, every entry is at zero.
"""

from datetime import timedelta

import pytest
from django.db import transaction
from django.db.models import Sum
from django.test import TestCase
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from inventory.actions.core.versions import RefusedError
from inventory.actions.ledger.reversals import reverse_entry
from inventory.actions.memos.posting import post_memo
from inventory.actions.memos.short_credits import (
    accept_short,
    agree_give_up,
    dispute_short,
    give_up_short,
    win_short,
)
from inventory.actions.returns.arrival import receive_return
from inventory.actions.returns.losses import lose_crate
from inventory.models import (
    Crate,
    CrateReturn,
    CreditMemo,
    Deposit,
    Entry,
    Leg,
    ReturnLine,
    ShortCredit,
)
from inventory.models.sealed import take_written
from inventory.queries.ledger.balances import deposit_balance, open_deposits
from inventory.rules.memos import matching as memos
from tests.ledger import DAY
from tests.returning import (
    AT,
    begin,
    decided,
    expect_books_in_order,
    make_stage,
    memo_of,
    ship,
    stage,
)
from tests.sizes import cases

pytestmark = pytest.mark.database

CRATES = 5
PICK = st.integers(0, 9)
OPEN = ("deposits-receivable", "credits-expected", "disputed-credits")


class Journeys(RuleBasedStateMachine):
    """Five crates of one supplier, and everything that may happen to them."""

    @initialize(stops=st.sampled_from(["pick-up", "receipt"]))
    def begin_the_book(self, stops):
        self.book = make_stage(crates=CRATES, clock_stops=stops, transit_days=3)
        self.who = self.book.who
        self.day = DAY
        self.a_truck_takes_some(count=3)

    def tried(self, act, **told):
        """Do an act that may be refused; what is refused changes nothing."""
        before = (Leg.objects.count(), ShortCredit.objects.count())
        take_written()  # what the test itself wrote is told by nobody
        try:
            with transaction.atomic():
                done = act(**told)
                assert take_written() == []  # every write was told to the chain
                return done
        except RefusedError:
            assert (Leg.objects.count(), ShortCredit.objects.count()) == before
            return None

    def one(self, rows, pick):
        found = list(rows.order_by("pk"))
        return found[pick % len(found)] if found else None

    @rule(days=st.sampled_from([1, 20, 45]))
    def time_goes_on(self, days):
        self.day += timedelta(days=days)

    @rule(count=st.integers(1, 3))
    def a_truck_takes_some(self, count):
        ready = Crate.objects.filter(state="complete").order_by("pk")[:count]
        if ready:
            row = begin(self.book)
            stage(self.book, row, list(ready))
            ship(self.book, row, left_on=self.day, billed_on=self.day)

    @rule(pick=PICK, late=st.integers(0, 40))
    def a_return_arrives(self, pick, late):
        row = self.one(CrateReturn.objects.filter(state="shipped"), pick)
        if row:
            self.tried(
                receive_return,
                crate_return=row,
                version=row.version,
                received_on=row.picked_up_on + timedelta(days=late),
                person=self.who.rosa,
                at=AT,
            )

    @rule(pick=PICK)
    def a_crate_is_lost(self, pick):
        line = self.one(
            ReturnLine.objects.filter(crate_return__state__in=("shipped", "received")),
            pick,
        )
        if line:
            self.tried(
                lose_crate,
                line=line,
                version=line.version,
                lost_on=self.day,
                reason="It did not come.",
                person=self.who.abel,
                at=AT,
            )

    @rule(
        told=st.lists(
            st.tuples(
                st.integers(0, CRATES),
                st.sampled_from([0, 1, 3_000, 6_000, 12_000, 13_000]),
                st.sampled_from(["", "late", "panel missing"]),
            ),
            min_size=1,
            max_size=4,
        )
    )
    def a_memo_comes(self, told):
        marks = [*(crate.mark for crate in self.book.crates), "ZZ-900"]
        memo_of(
            self.book,
            *((marks[place], cents, remark) for place, cents, remark in told),
            dated_on=self.day,
            received_on=self.day,
        )

    @rule(
        pick=PICK,
        part=st.sampled_from([(1, 1), (1, 2), (3, 4), (3, 2)]),
        remark=st.sampled_from(["", "late"]),
    )
    def what_is_open_on_a_crate_is_paid_by_a_memo(self, pick, part, remark):
        deposit = self.one(open_deposits([self.book.location]), pick)
        owed = deposit_balance(deposit) if deposit else 0
        if owed and deposit.crate.state != "complete":
            memo = memo_of(
                self.book,
                (deposit.crate, owed * part[0] // part[1], remark),
                dated_on=self.day,
                received_on=self.day,
            )
            self.post(memo)

    @rule(pick=PICK)
    def a_memo_is_posted(self, pick):
        memo = self.one(CreditMemo.objects.all(), pick)
        if memo is not None:
            self.post(memo)

    def post(self, memo):
        was = memo.is_posted
        before = Leg.objects.count()
        done = self.tried(
            post_memo, memo=memo, version=memo.version, person=self.who.abel, at=AT
        )
        if was:
            assert Leg.objects.count() == before
        elif done:
            self.expect_memo_told(done)

    def expect_memo_told(self, memo):
        """Check that each line of a posted memo pays whole, or is held whole."""
        for line in memo.lines.all():
            legs = line.entry.legs.all() if line.entry else Leg.objects.none()
            paid = legs.filter(account__kind="supplier-account")
            got = paid.aggregate(total=Sum("cents"))["total"] or 0
            assert got == line.amount_cents, line
            if line.fate not in memos.PAYS:
                other = legs.exclude(account__kind="supplier-account")
                assert [leg.account.kind for leg in other] == ["supplier-suspense"]
            if line.fate in memos.SHORTER:
                shorts = ShortCredit.objects.filter(deposit=line.deposit)
                assert shorts.exists(), line

        self.expect_rest_told(memo)

    def expect_rest_told(self, memo):
        """Check that what the memo's returns still expect is told as a difference."""
        paid = memo.lines.filter(fate__in=memos.PAYS).values("deposit")
        home = ReturnLine.objects.filter(deposit__in=paid).values("crate_return")
        for line in ReturnLine.objects.filter(crate_return__in=home):
            rest = deposit_balance(line.deposit, "credits-expected")
            told = ShortCredit.objects.filter(deposit=line.deposit, state="open")
            assert rest == sum(told.values_list("amount_cents", flat=True)), line

    @rule(pick=PICK, act=st.sampled_from([accept_short, dispute_short, give_up_short]))
    def a_difference_is_decided(self, pick, act):
        short = self.one(ShortCredit.objects.all(), pick)
        if short:
            self.tried(
                act,
                short=short,
                version=short.version,
                decided=decided(self.book, on=max(self.day, short.opened_on)),
            )

    @rule(pick=PICK, cents=st.sampled_from([1, 2_999, 3_000, 12_000]))
    def a_difference_is_paid(self, pick, cents):
        short = self.one(ShortCredit.objects.all(), pick)
        if short:
            self.tried(
                win_short,
                short=short,
                version=short.version,
                cents=cents,
                decided=decided(self.book, on=max(self.day, short.opened_on)),
            )

    @rule(pick=PICK)
    def a_second_person_agrees(self, pick):
        short = self.one(ShortCredit.objects.all(), pick)
        if short:
            self.tried(
                agree_give_up,
                short=short,
                version=short.version,
                decided=decided(
                    self.book,
                    "",
                    person=self.who.mina,
                    on=max(self.day, short.opened_on),
                ),
            )

    @precondition(lambda self: Entry.objects.filter(kind="charge").exists())
    @rule(pick=PICK)
    def someone_tries_to_undo_a_charge(self, pick):
        entry = self.one(Entry.objects.filter(kind="charge"), pick)
        if entry.legs.first().deposit.crate.state != "complete":
            self.tried(
                reverse_entry,
                entry=entry,
                effective_on=self.day,
                reason="Tried.",
                posting_key=f"undo-{entry.pk}",
                person=self.who.abel,
                at=AT,
            )

    @invariant()
    def the_books_are_in_order(self):
        expect_books_in_order()

    @invariant()
    def no_crate_is_credited_twice(self):
        for deposit in Deposit.objects.all():
            sums = {
                row["account__kind"]: row["total"]
                for row in deposit.legs.order_by()
                .values("account__kind")
                .annotate(total=Sum("cents"))
            }
            assert all(sums.get(kind, 0) >= 0 for kind in OPEN), sums
            assert sums.get("supplier-account", 0) <= 0, sums

    @invariant()
    def what_is_disputed_is_a_difference(self):
        legs = Leg.objects.filter(account__kind="disputed-credits")
        stands = legs.aggregate(total=Sum("cents"))["total"] or 0
        live = ShortCredit.objects.filter(state="disputed")
        assert stands == (live.aggregate(total=Sum("amount_cents"))["total"] or 0)

    @invariant()
    def what_came_short_is_open_until_it_is_decided(self):
        """A crate credited short has its rest explained, to the cent."""
        for crate in Crate.objects.filter(state="short-credited"):
            deposit = crate.deposits.get()
            legs = deposit.legs.filter(account__kind="credits-expected")
            rest = legs.aggregate(total=Sum("cents"))["total"] or 0
            live = ShortCredit.objects.filter(deposit=deposit, state="open")
            told = live.aggregate(total=Sum("amount_cents"))["total"] or 0
            assert rest == told, crate

    @invariant()
    def a_closed_return_waits_for_nothing(self):
        for line in ReturnLine.objects.filter(crate_return__state="closed"):
            legs = line.deposit.legs.filter(account__kind__in=OPEN)
            assert not legs.aggregate(total=Sum("cents"))["total"], line


class TestByChance(TestCase):
    @pytest.mark.slow
    def test_any_order_of_acts(self):
        class InTransaction(Journeys):
            """Each example is taken back when it ends."""

            def __init__(self):
                super().__init__()
                self.undo = transaction.atomic()
                self.undo.__enter__()

            def teardown(self):
                transaction.set_rollback(True)
                self.undo.__exit__(None, None, None)

        run_state_machine_as_test(
            InTransaction,
            settings=settings(
                max_examples=cases(2, 12),
                stateful_step_count=20,
                derandomize=cases(few=True, many=False),
                suppress_health_check=list(HealthCheck),
            ),
        )
