"""Every dated act in every state: the row ends where the hand-written table says."""

from itertools import product

import pytest
from django.db import transaction
from django.test import TestCase

from claims.models import Claim, ClaimPayment, ClaimStep
from claims.rules.claim.life import LIFE
from inventory.actions.core.versions import RefusedError
from inventory.models import Event
from tests import making
from tests.claims.acts import calls_of
from tests.claims.rules.claim.test_life import EXPECTED
from tests.claims.stage import AT, TODAY, claim_it, set_stage, step
from tests.people import cast
from tests.sizes import some_of

pytestmark = pytest.mark.database

WITHOUT_STEP = {"decide-paper", "give-paper"}
NEEDS_MONEY = {"settle", "reverse-payment", "decide-payment"}


class WalkTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.claim = claim_it(cls.people, set_stage(cls.people))

    def put(self, state, act):
        Claim.objects.filter(pk=self.claim.pk).update(
            state=state,
            claimant="supplier" if act == "hand-over" else "us",
            sent_on=None if state == "drafted" else TODAY,
            withdrawn_reason="No." if state.startswith("withdraw") else "",
        )
        if act == "reopen":
            before = "drafted" if state == "handed-over" else "disallowed"
            self.lay("settle", before, state)
        if act == "inspection":
            self.lay("ask-inspection", state, state)
        if act == "refile":
            making.make_broker_of(self.claim)
        if act == "prove":
            making.make_bankruptcy(self.claim.shipment.carrier)
        if act in NEEDS_MONEY:
            ClaimPayment.objects.create(
                claim=self.claim,
                number=1,
                on=TODAY,
                cents=100,
                method="check",
                recorded_at=AT,
                recorded_by=self.people.abel,
            )

    def lay(self, act, before, after):
        ClaimStep.objects.create(
            claim=self.claim,
            act=act,
            before=before,
            after=after,
            on=TODAY,
            recorded_at=AT,
            recorded_by=self.people.mina,
        )

    def go(self, state, act):
        self.put(state, act)
        events, steps = Event.objects.count(), ClaimStep.objects.count()
        expected = EXPECTED[state].get(act)
        call = calls_of(self.claim)[act]
        if expected is None:
            with self.assertRaises(RefusedError):
                call(step(self.people, self.claim))
        else:
            call(step(self.people, self.claim))
        self.claim.refresh_from_db()
        self.assertEqual(self.claim.state, expected or state)
        self.assertEqual(Event.objects.count() > events, expected is not None)
        laid = ClaimStep.objects.count() - steps
        self.assertEqual(laid, int(expected is not None and act not in WITHOUT_STEP))

    @pytest.mark.slow
    def test_every_act_in_every_state_does_what_the_table_says(self):
        walked = product(LIFE.states, calls_of(self.claim))
        for state, act in some_of(walked, 60, "walk"):
            with self.subTest(state=state, act=act), transaction.atomic():
                self.go(state, act)
                transaction.set_rollback(True)

    def test_every_act_of_the_life_is_walked(self):
        lines = {"supplement", "adjust-line", "strike-line", "build-packet"}
        lines |= {"take-off-credit"}  # of crates on the way home

        self.assertEqual(set(calls_of(self.claim)), set(LIFE.acts) - lines)
