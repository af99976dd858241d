"""Payments: recorded, reversed, decided; claims of before taken over."""

from datetime import date
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import IntegrityError, transaction
from django.test import TestCase

from claims.actions.claim import endings
from claims.actions.claim.carrying_over import carry_over_claims
from claims.actions.claim.payments import (
    Received,
    decide_payment,
    record_payment,
    reverse_payment,
)
from claims.models import Claim, ClaimPayment
from claims.queries.claim.former_settlements import settlement_faults
from claims.queries.core.payments import claim_money
from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.evidence.seal.snapshots import snapshot
from tests import making
from tests.claims.acts import calls_of
from tests.claims.stage import AT, TODAY, claim_it, set_stage, step
from tests.people import cast

pytestmark = pytest.mark.database


class PaymentCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.claim = claim_it(cls.people, set_stage(cls.people))
        for act in ("send", "receive"):
            calls_of(cls.claim)[act](step(cls.people, cls.claim))

    def pay(self, cents, *, reason="", **over):
        received = Received(cents, over.pop("method", "check"), **over)
        return record_payment(
            claim=self.claim, received=received, step=self.step(reason=reason)
        )

    def decide(self, payment, choice):
        return decide_payment(payment=payment, choice=choice, step=self.step())

    def step(self, **over):
        return step(self.people, self.claim, **over)

    def money(self):
        self.claim.refresh_from_db()
        return claim_money(self.claim)


class PaymentTests(PaymentCase):
    def test_parts_add_up_to_the_claim(self):
        self.pay(25_000)
        self.pay(35_000, method="transfer", reference="ACH 1")

        money = self.money()
        self.assertEqual((money.paid_cents, money.balance_cents), (60_000, 0))
        self.assertEqual(self.claim.state, "received")

    def test_more_than_the_balance_asks_for_a_reason(self):
        with self.assertRaisesMessage(RefusedError, "more than the balance"):
            self.pay(9_999_900)
        self.assertEqual(ClaimPayment.objects.count(), 0)

        self.pay(60_100, reason="Interest of 1.00.")
        self.assertEqual(self.money().balance_cents, 0)

    def test_a_credit_names_the_bills(self):
        with self.assertRaisesMessage(RefusedError, "Name the freight bills"):
            self.pay(100, method="credit")

        self.pay(100, method="credit", bills="PRO 7711, PRO 7712")
        with self.assertRaises(IntegrityError), transaction.atomic():
            making.make_claim_payment(self.claim, method="credit", bills="")

    def test_nothing_is_no_payment(self):
        with self.assertRaisesMessage(RefusedError, "more than 0"):
            self.pay(0)
        with self.assertRaises(IntegrityError), transaction.atomic():
            making.make_claim_payment(self.claim, cents=0)

    def test_a_reversal_is_a_row_and_only_one(self):
        paid = self.pay(25_000)
        reverse_payment(payment=paid, step=self.step())

        self.assertEqual(self.money().paid_cents, 0)
        self.assertEqual(self.claim.payments.count(), 2)
        with self.assertRaisesMessage(RefusedError, "already reversed"):
            reverse_payment(payment=paid, step=self.step())

    def test_a_stale_page_records_no_second_payment(self):
        seen = self.step()
        received = Received(10_000, "check")
        record_payment(claim=self.claim, received=received, step=seen)

        with self.assertRaises(StaleRowError):
            record_payment(claim=self.claim, received=received, step=seen)
        self.assertEqual(ClaimPayment.objects.count(), 1)

    def test_less_than_claimed_closes_with_a_reason_only(self):
        self.pay(59_999)
        with self.assertRaisesMessage(RefusedError, "Less was paid than claimed"):
            endings.settle_claim(claim=self.claim, step=self.step(reason=""))

        endings.settle_claim(claim=self.claim, step=self.step())
        self.claim.refresh_from_db()
        self.assertEqual((self.claim.state, self.claim.ended_on), ("settled", TODAY))
        self.assertIsNone(self.claim.settled_on)


class MarkedAsFullTests(PaymentCase):
    def setUp(self):
        self.check = self.pay(40_000, in_full=True)

    def test_it_counts_for_nothing_until_it_is_decided(self):
        money = self.money()

        self.assertEqual((money.paid_cents, money.held_cents), (0, 40_000))
        for close in (endings.settle_claim, endings.give_up):
            with self.assertRaisesMessage(RefusedError, "must be decided first"):
                close(claim=self.claim, step=self.step())

    def test_taken_as_full_payment_it_closes_the_claim(self):
        self.decide(self.check, "full")

        self.assertEqual(self.money().paid_cents, 40_000)
        self.assertEqual(self.claim.state, "settled")

    def test_returned_or_asked_for_again_it_never_counts(self):
        other = self.pay(10_000, in_full=True)
        self.decide(self.check, "return")
        self.decide(other, "ask")

        money = self.money()
        self.assertEqual((money.paid_cents, money.held_count), (0, 0))
        self.assertEqual(self.claim.state, "received")

    def test_one_does_not_settle_the_claim_while_another_waits(self):
        other = self.pay(10_000, in_full=True)

        with self.assertRaisesMessage(RefusedError, "Another payment marked as full"):
            self.decide(other, "full")

    def test_it_is_never_kept_as_a_part(self):
        with self.assertRaisesMessage(RefusedError, "decided or reversed after"):
            self.decide(self.check, "part")

    def test_deposited_by_mistake_it_is_repaid_or_taken(self):
        self.decide(self.check, "deposited")
        with self.assertRaises(RefusedError):
            self.decide(self.check, "return")

        self.decide(self.check, "repaid")
        self.assertEqual(self.money().held_count, 0)


class FormerClaimTests(PaymentCase):
    def settle_as_before(self):
        """Settle the claim as earlier versions did: in columns, its lines loose."""
        Claim.objects.filter(pk=self.claim.pk).update(
            state="settled", settled_on=date(2026, 3, 20), settled_cents=55_000
        )
        self.claim.lines.update(holds=False)

    def test_a_settlement_becomes_one_payment_and_its_lines_hold(self):
        self.settle_as_before()

        self.assertEqual(len(list(carry_over_claims(at=AT))), 1)

        money = self.money()
        self.assertEqual((money.paid_cents, money.balance_cents), (55_000, 5_000))
        self.assertTrue(self.claim.lines.get().holds)
        self.assertEqual(self.claim.ended_on, date(2026, 3, 20))
        self.assertEqual(list(carry_over_claims(at=AT)), [])

    def test_verify_compares_the_two(self):
        self.settle_as_before()
        with snapshot() as moment:
            self.assertIn("no payment yet", " ".join(settlement_faults(moment)))
        call_command("carry_over_claims", stdout=StringIO())
        with snapshot() as moment:
            self.assertEqual(list(settlement_faults(moment)), [])

        Claim.objects.update(settled_cents=54_000)
        with snapshot() as moment:
            self.assertIn("differs", " ".join(settlement_faults(moment)))

    def test_it_is_reopened_where_its_days_say(self):
        Claim.objects.update(offered_on=TODAY, offered_cents=55_000)
        self.settle_as_before()
        list(carry_over_claims(at=AT))

        endings.reopen_claim(claim=self.claim, step=self.step())

        self.claim.refresh_from_db()
        self.assertEqual((self.claim.state, self.claim.ended_on), ("offered", None))
