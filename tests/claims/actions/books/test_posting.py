"""The acts of a claim post what the rules say, in the same transaction.

The claim of the stage asks 600.00: parts 350.00 and 2 h at the shop's 125.00. Its own
labor costs 42.00 an hour, so the loss at cost is 350.00 + 2 x 42.00 = 434.00.
"""

from datetime import date, timedelta
from unittest import mock

import pytest
from django.db import connection
from django.test import TestCase
from django.test.utils import CaptureQueriesContext

from claims.actions.books.posting import post_claim
from claims.actions.books.settings import state_figure
from claims.actions.claim import endings
from claims.actions.claim.answers import Denial, accept_offer, record_disallowance
from claims.actions.claim.payments import decide_payment, reverse_payment
from claims.actions.claim.steps import Sending, send_claim
from claims.models import Claim, ClaimBooking, ClaimFigure, ClaimPosting
from claims.queries.books.facts import book_facts
from claims.queries.core.payments import claim_money
from inventory.actions.core.versions import RefusedError
from inventory.actions.ledger.periods import lock_period
from inventory.evidence.seal.ledger_check import entry_faults
from inventory.evidence.seal.snapshots import snapshot
from inventory.models import Entry, PeriodLock
from tests.claims.booking import (
    balances,
    do,
    filed_claim,
    older_claim,
    open_cents,
    pay,
    reopen,
    set_basis,
)
from tests.claims.stage import AT, TODAY, claim_it, set_stage, step
from tests.making import make_carrier, make_supplier
from tests.people import cast
from tests.verifying import last_image_of

pytestmark = pytest.mark.database


def kinds():
    """Return the kinds of entry in the order they were written."""
    rows = ClaimPosting.objects.order_by("pk").values_list("entry__kind", flat=True)
    return list(rows)


class BooksCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()

    def file(self, **over):
        self.claim = filed_claim(self.people, **over)
        return self.claim

    def do(self, *acts, **over):
        do(self.people, self.claim, *acts, **over)

    def step(self, **over):
        return step(self.people, self.claim, **over)

    def pay(self, cents, **over):
        return pay(self.people, self.claim, cents, **over)


class FilingTests(BooksCase):
    def test_filing_posts_the_loss_and_the_claim_with_the_carrier(self):
        self.file()

        assert kinds() == ["claim-loss", "claim-filed"]
        assert balances() == {
            "freight-damage-loss": 43_400,
            "damage-at-cost": -43_400,
            "claims-receivable": 60_000,
            "claims-allowance": -16_600,
            "claim-recoveries": -43_400,
        }
        entry = Entry.objects.get(kind="claim-filed")
        assert entry.partner == self.claim.shipment.carrier
        assert (entry.effective_on, entry.note) == (TODAY, str(self.claim))

    def test_a_draft_posts_nothing(self):
        claim_it(self.people, set_stage(self.people))

        assert not Entry.objects.exists()

    def test_without_a_setting_it_stands_beside_the_books(self):
        self.file(basis="")

        assert ClaimBooking.objects.get().basis == "register"
        assert balances() == {
            "freight-damage-loss": 35_000,
            "damage-at-cost": -35_000,
            "claims-register": 60_000,
            "claims-register-contra": -60_000,
        }

    def test_a_setting_changed_later_alters_no_older_claim(self):
        self.file(basis="register")
        set_basis(self.people, "filing", 9_900)
        self.pay(100)

        assert ClaimBooking.objects.get().basis == "register"
        assert balances()["claims-register"] == 59_900

    def test_sending_again_posts_nothing_twice(self):
        claim = claim_it(self.people, set_stage(self.people))
        self.claim = claim
        self.do("send")
        before = kinds()
        self.do("send")

        assert kinds() == before

    def test_what_is_posted_is_read_in_the_same_queries_for_many_lines(self):
        taken = []
        for lines in (1, 4):
            claim = older_claim(self.people, lines=lines)
            post_claim(claim, on=TODAY, person=self.people.mina, at=AT, is_filing=True)
            claim = Claim.objects.select_related("location").get(pk=claim.pk)
            with CaptureQueriesContext(connection) as queries:
                post_claim(claim, on=TODAY, person=self.people.mina, at=AT)
            taken.append(len(queries))

        assert taken[0] == taken[1]

    def test_a_supplier_claims_nothing_from_the_carrier(self):
        stage = set_stage(self.people)
        stage.shipment.supplier = make_supplier()
        stage.shipment.save()
        set_basis(self.people, "filing")
        self.claim = claim_it(self.people, stage, claimant="supplier")
        self.do("send")

        entry = Entry.objects.get(kind="claim-filed")
        assert entry.partner == stage.shipment.supplier
        assert balances(account__carrier__isnull=False) == {}
        assert balances()["supplier-claims"] == 60_000

    def test_what_went_to_a_broker_alone_is_not_filed_until_a_carrier_has_it(self):
        stage = set_stage(self.people)
        carrier = stage.shipment.carrier
        stage.shipment.broker = make_carrier(name="Wren Brokers", mode="broker")
        stage.shipment.save()
        self.claim = claim_it(self.people, stage)
        for to in (stage.shipment.broker, carrier):
            assert not Entry.objects.exists()
            sending = Sending("post", to, "9407")
            send_claim(claim=self.claim, sending=sending, step=self.step())

        assert Entry.objects.get(kind="claim-filed").partner == carrier

    def hand_over(self):
        stage = set_stage(self.people)
        stage.shipment.supplier = make_supplier()
        stage.shipment.save()
        set_basis(self.people, "filing")
        self.claim = claim_it(self.people, stage, claimant="supplier")
        self.do("hand-over")
        return stage.shipment.supplier

    def test_a_claim_handed_over_expects_a_credit_of_the_supplier(self):
        supplier = self.hand_over()

        assert Entry.objects.get(kind="claim-filed").partner == supplier
        assert balances()["supplier-claims"] == 60_000
        state_figure(
            claim=self.claim,
            what="credited",
            cents=25_000,
            reason="Memo 88.",
            person=self.people.abel,
            at=AT,
        )
        assert balances()["supplier-claims"] == 35_000
        assert balances()["supplier-claim-memos"] == 25_000

    def test_reopened_before_it_is_filed_it_leaves_the_books(self):
        self.hand_over()
        self.do("reopen")

        assert balances() == {}

    def test_a_carrier_gives_no_credit_of_a_supplier(self):
        self.file()
        with pytest.raises(RefusedError, match="not the supplier"):
            state_figure(
                claim=self.claim,
                what="credited",
                cents=1,
                reason="Memo 88.",
                person=self.people.abel,
                at=AT,
            )

    def test_booking_and_postings_are_sealed_by_the_events_of_the_act(self):
        self.file()
        self.pay(100)

        for row in (*ClaimBooking.objects.all(), *ClaimPosting.objects.all()):
            assert last_image_of(row)["claim_id"] == self.claim.pk
        with snapshot() as moment:
            assert list(entry_faults(moment)) == []

    def test_what_fails_later_posts_nothing(self):
        self.claim = claim_it(self.people, set_stage(self.people))
        with (
            mock.patch(
                "claims.actions.claim.steps.record_event", side_effect=ZeroDivisionError
            ),
            pytest.raises(ZeroDivisionError),
        ):
            self.do("send")

        assert not Entry.objects.exists()
        assert not ClaimBooking.objects.exists()


class MoneyTests(BooksCase):
    def test_part_payments_overpayment_and_a_reversal(self):
        self.file()
        self.pay(50_000)
        second = self.pay(25_000, method="transfer", reason="Interest.")

        # 600.00 claimed, 750.00 came: 150.00 are owed back.
        assert open_cents() == 0
        found = balances()
        assert found["claims-cash"] == 75_000
        assert found["owed-to-carriers"] == -15_000
        # Paid 600.00 of a loss of 434.00.
        assert found["recovery-gains"] == -16_600

        reverse_payment(payment=second, step=self.step())
        assert open_cents() == 10_000
        assert Entry.objects.get(kind="reversal").reverses.kind == "claim-paid"
        assert balances()["claims-cash"] == 50_000

    def test_a_credit_goes_against_open_freight(self):
        self.file()
        self.pay(12_000, method="credit", bills="PRO 7711")

        assert kinds()[-1] == "claim-credit"
        assert balances()["freight-payable"] == 12_000

    def test_a_check_marked_as_full_waits_and_then_closes_the_claim(self):
        self.file()
        held = self.pay(40_000, in_full=True)
        assert "claims-cash" not in balances()

        decide_payment(payment=held, choice="full", step=self.step())
        assert kinds()[-2:] == ["claim-paid", "claim-write-off"]
        assert open_cents() == 0
        assert balances()["claims-written-off"] == 3_400  # 434.00 shown, 400.00 paid

    def test_the_list_and_the_books_agree(self):
        self.file()
        self.pay(12_345)

        self.claim.refresh_from_db()
        assert open_cents() == claim_money(self.claim).balance_cents


class AnswerTests(BooksCase):
    def test_a_denial_moves_and_releases_nothing(self):
        self.file()
        denial = Denial(cents=20_000)
        record_disallowance(claim=self.claim, step=self.step(), denial=denial)

        found = balances()
        assert (found["claims-receivable"], found["disputed-claims"]) == (
            40_000,
            20_000,
        )
        assert found["claim-recoveries"] == -40_000

    def test_an_agreement_books_what_stood_beside(self):
        self.file(basis="register")
        self.do("acknowledge", "offer")
        accept_offer(claim=self.claim, cents=45_000, step=self.step())

        found = balances()
        assert "claims-register" not in found
        assert found["claims-receivable"] == 45_000
        assert found["claim-recoveries"] == -43_400
        assert found["claims-allowance"] == -1_600

    def test_not_pursued_writes_off_and_reopening_reverses(self):
        self.file()
        before = balances()
        endings.give_up(claim=self.claim, step=self.step())
        assert open_cents() == 0
        assert balances()["claims-written-off"] == 43_400

        reopen(self.people, self.claim)
        assert balances() == before
        assert kinds()[-1] == "reversal"

    def test_a_withdrawn_claim_leaves_the_books(self):
        self.file()
        self.do("withdraw")

        assert kinds()[-1] == "claim-withdrawn"
        assert open_cents() == 0

    def test_salvage_beyond_what_the_lines_deduct_is_kept(self):
        self.file()
        self.do("salvage-sold")

        assert open_cents() == 59_900
        assert balances()["salvage-kept"] == 100

    def test_what_accounting_states_replaces_the_loss(self):
        self.file()
        ClaimFigure.objects.create(
            claim=self.claim,
            what="loss",
            cents=50_000,
            reason="Invoice of the body shop.",
            stated_at=AT,
            stated_by=self.people.abel,
        )
        booking = ClaimBooking.objects.get()

        assert book_facts(self.claim, booking).loss_cents == 50_000


class DayTests(BooksCase):
    def lock(self, through):
        return lock_period(
            location=self.people.riverside,
            through=through,
            person=self.people.abel,
            at=AT + timedelta(days=30),
        )

    def test_a_late_fact_is_posted_on_the_first_open_day(self):
        self.file()
        self.lock(TODAY)
        self.pay(100)

        assert Entry.objects.get(kind="claim-paid").effective_on == TODAY + timedelta(
            days=1
        )
        assert PeriodLock.objects.count() == 1

    def test_a_payment_keeps_its_own_day_in_an_open_period(self):
        self.file()
        later = TODAY + timedelta(days=9)
        record_disallowance(
            claim=self.claim,
            step=self.step(on=later, today=later),
            denial=Denial(),
        )
        self.pay(60_000, on=TODAY + timedelta(days=2), today=later)

        paid = Entry.objects.get(kind="claim-paid")
        # On its own day disputed claims would fall below zero, so it comes after.
        assert paid.effective_on == later
        assert open_cents() == 0

    def test_a_payment_before_the_filing_comes_with_it(self):
        self.file()
        self.pay(100, on=TODAY)

        assert Entry.objects.get(kind="claim-paid").effective_on == TODAY


class FormerTests(BooksCase):
    def test_a_claim_filed_before_waits_for_its_opening(self):
        self.file()
        claim = claim_it(self.people, set_stage(self.people), today=date(2026, 3, 17))
        claim.sent_on, claim.state = TODAY, "received"
        claim.received_on = TODAY
        claim.save()
        before = kinds()
        pay(self.people, claim, 500)

        assert kinds() == before

    def test_a_refused_act_posts_nothing(self):
        self.file()
        before = kinds()
        with pytest.raises(RefusedError):
            self.pay(9_999_900)

        assert kinds() == before
