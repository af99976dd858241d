"""Any sequence of charges, credits and reversals keeps the ledger straight.

The model beside it is a plain list of lines; what it says of a posting, allowed or
not, is found by walking every day, which the ledger does not do.
"""

import itertools
from datetime import date, timedelta

import hypothesis.strategies as st
import pytest
from django.db import transaction
from django.db.models import Count, Sum
from django.test import TestCase
from hypothesis import HealthCheck, settings
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    invariant,
    multiple,
    rule,
    run_state_machine_as_test,
)

from inventory.actions.core.versions import RefusedError
from inventory.actions.ledger.posting import ChangedPostingError, lines_of
from inventory.actions.ledger.reversals import reverse_entry
from inventory.models import Entry, Leg
from inventory.rules.deposits import postings
from tests.ledger import AT, DAY, charge, make_book, post
from tests.sizes import cases

pytestmark = pytest.mark.database

DAYS = [DAY + timedelta(days=number) for number in range(4)]
NEVER_NEGATIVE = ("deposits-receivable", "credits-expected", "disputed-credits")
PAID = ("supplier-account", "opening-balances")

cents = st.integers(min_value=1, max_value=6)  # small, so that bounds are met often
early = st.sampled_from(DAYS[:2])
later = st.sampled_from(DAYS[1:])
_keys = itertools.count(1)


class LedgerMachine(RuleBasedStateMachine):
    """Posts at random, and predicts what is taken and what is refused."""

    deposits = Bundle("deposits")
    entries = Bundle("entries")

    def __init__(self):
        super().__init__()
        self.undo = transaction.atomic()
        self.undo.__enter__()
        self.book = make_book()
        self.lines = []  # (day, account, deposit, cents)
        self.reversed = set()

    def teardown(self):
        transaction.set_rollback(True)
        self.undo.__exit__(None, None, None)

    # -- what the model says

    def is_sound(self, lines):
        """Say whether no deposit is ever below zero or paid back more than once."""
        for deposit in {line[2] for line in lines}:
            own = [line for line in lines if line[2] == deposit]
            for day, kind in itertools.product(DAYS, NEVER_NEGATIVE):
                if sum(c for on, k, _, c in own if on <= day and k == kind) < 0:
                    return False
            if sum(c for _, kind, _, c in own if kind in PAID) > 0:
                return False
        return True

    def about(self, key, kind, wish):
        """Return the wish, or what is there if that is less: most posts then fit."""
        there = sum(c for _, k, deposit, c in self.lines if (k, deposit) == (kind, key))
        return min(wish, max(there, 1))

    def try_post(self, kind, lines, on):
        """Post, and hold the answer against the model's; return the entry if any."""
        told = [(on, line.account, line.deposit, line.cents) for line in lines]
        allowed = self.is_sound([*self.lines, *told])
        try:
            entry = post(self.book, kind, lines, effective_on=on)
        except RefusedError:
            assert not allowed, f"refused, though sound: {told}"
            return multiple()
        assert allowed, f"taken, though crooked: {told}"
        self.lines += told
        return entry

    # -- what can happen

    @rule(target=deposits, amount=cents)
    def charge(self, amount):
        deposit = charge(self.book, amount_cents=amount)
        self.lines += [
            (DAY, "deposits-receivable", deposit.pk, amount),
            (DAY, "supplier-account", deposit.pk, -amount),
        ]
        return deposit.pk

    @rule(target=entries, key=deposits, whole=cents, lost=cents, on=early)
    def ship_back(self, key, whole, lost, on):
        whole = self.about(key, "deposits-receivable", whole)
        late, hold = lost // 5, lost % 2
        lines = postings.credit_expected(key, expected=whole, late=late, hold=hold)
        return self.try_post("credit-expected", lines, on)

    @rule(target=entries, key=deposits, paid=cents, expected=cents, on=later)
    def pay(self, key, paid, expected, on):
        expected = self.about(key, "credits-expected", expected)
        lines = postings.memo_paid(key, paid=paid, expected=expected)
        return self.try_post("memo", lines, on)

    @rule(target=entries, key=deposits, amount=cents, on=later)
    def dispute(self, key, amount, on):
        amount = self.about(key, "credits-expected", amount)
        return self.try_post("dispute", postings.short_disputed(key, amount), on)

    @rule(target=entries, key=deposits, amount=cents, on=later)
    def win(self, key, amount, on):
        amount = self.about(key, "disputed-credits", amount)
        return self.try_post("dispute-won", postings.dispute_won(key, amount), on)

    @rule(target=entries, key=deposits, amount=cents, on=later)
    def forfeit(self, key, amount, on):
        return self.try_post("forfeiture", postings.forfeited(key, amount), on)

    @rule(entry=entries, on=later)
    def reverse(self, entry, on):
        undone = [
            (on, line.account, line.deposit, -line.cents) for line in lines_of(entry)
        ]
        allowed = (
            entry.pk not in self.reversed
            and on >= entry.effective_on
            and self.is_sound([*self.lines, *undone])
        )
        try:
            reverse_entry(
                entry=entry,
                effective_on=on,
                reason="A mistake",
                posting_key=f"undo-{next(_keys)}",
                person=self.book.who.abel,
                at=AT,
            )
        except RefusedError:
            assert not allowed
            return
        assert allowed
        self.reversed.add(entry.pk)
        self.lines += undone

    @rule(entry=entries)
    def send_again(self, entry):
        """The same key and body give the same entry; another body is refused."""
        lines = lines_of(entry)
        again = {"posting_key": entry.posting_key, "effective_on": entry.effective_on}
        assert post(self.book, entry.kind, lines, **again) == entry
        with pytest.raises(ChangedPostingError):
            post(self.book, entry.kind, lines, note="Other", **again)

    @rule(key=deposits, amount=cents, slip=st.integers(1, 9))
    def post_crooked(self, key, amount, slip):
        crooked = (
            postings.Line("deposits-receivable", amount, key),
            postings.Line("supplier-account", -amount - slip, key),
        )
        with pytest.raises(RefusedError, match="sum to zero"):
            post(self.book, "charge", crooked)

    # -- what always holds

    @invariant()
    def every_entry_is_sealed_and_sums_to_zero(self):
        sums = (
            Leg.objects.order_by()
            .values("entry")
            .annotate(total=Sum("cents"), many=Count("pk"))
        )
        assert all(row["total"] == 0 and row["many"] >= 2 for row in sums)
        assert len(sums) == Entry.objects.count()

    @invariant()
    def the_ledger_holds_what_the_model_holds(self):
        legs = Leg.objects.values_list(
            "entry__effective_on", "account__kind", "deposit_id", "cents"
        )
        assert sorted(legs) == sorted(self.lines)
        assert self.is_sound(self.lines)


class TestAnySequence(TestCase):
    @pytest.mark.slow
    def test_the_ledger_stays_straight(self):
        run_state_machine_as_test(
            LedgerMachine,
            settings=settings(
                max_examples=cases(5, 25),
                stateful_step_count=25,
                derandomize=True,
                suppress_health_check=list(HealthCheck),
            ),
        )


def test_the_lowest_balance_of_any_day_from_one_on():
    first, second, third = DAYS[:3]
    dated = [(third, 5), (first, 10), (second, -7), (second, 2)]

    assert postings.lowest_from(dated, first) == 5
    assert postings.lowest_from(dated, second) == 5
    assert postings.lowest_from(dated, third) == 10
    assert postings.lowest_from(dated, date(2027, 1, 1)) == 10
    assert postings.lowest_from([], first) == 0
