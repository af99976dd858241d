"""A claim closes only what its lines cover: the rest of its freight bill goes on."""

from datetime import timedelta

import pytest
from django.test import TestCase

from claims.actions.claim.making import Pick
from claims.actions.core.deadlines import count_deadlines
from claims.models import Deadline
from claims.queries.bench.unopened import unopened_crates
from claims.queries.deadlines.clocks import clocks_of
from claims.queries.deadlines.lapses import day_that_counts, open_duties
from tests import making
from tests.claims.acts import calls_of
from tests.claims.stage import AT, TODAY, claim_it, second_finding, set_stage, step
from tests.people import cast

pytestmark = pytest.mark.database

TO_THE_END = ("send", "receive", "pay", "settle")


class TwoMachinesTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.stage = set_stage(cls.people)
        cls.claim = claim_it(cls.people, cls.stage)

    def go(self, *acts, claim=None):
        for act in acts:
            calls_of(claim or self.claim)[act](step(self.people, claim or self.claim))

    def closed_crate(self):
        crate = making.make_crate(
            self.stage.shipment, delivery=self.stage.delivery, opened_at=None
        )
        making.make_unit(crate=crate, invoice_cents=500_000)
        self.count()

    def count(self):
        count_deadlines(shipment=self.stage.shipment, at=AT, person=self.people.mina)

    def open(self):
        rows = open_duties(Deadline.objects.filter(shipment=self.stage.shipment))
        ours = rows.filter(owed_by="claimant")
        return sorted((row.duty, row.claim_id) for row in ours)

    def test_a_closed_crate_keeps_its_notice_after_another_machine_is_settled(self):
        self.closed_crate()
        self.go(*TO_THE_END)

        self.assertIn(("concealed-notice", None), self.open())
        crate = unopened_crates(self.people.tomas, TODAY)[0]
        self.assertIsNotNone(crate.last_day)

    def test_another_finding_keeps_its_notice_and_its_duty_to_claim(self):
        second_finding(self.stage)
        self.go(*TO_THE_END)

        self.assertIn(("claim", None), self.open())
        self.assertIn(("concealed-notice", None), self.open())

    def test_a_bill_that_the_settled_claim_covers_whole_has_no_duty_left(self):
        self.go(*TO_THE_END)

        self.assertEqual(self.open(), [])

    def test_what_was_found_on_its_crate_goes_with_the_machine(self):
        making.make_finding(crate=self.stage.crate, unit=None)
        self.go(*TO_THE_END)

        self.assertEqual(self.open(), [])

    def test_two_claims_of_one_bill_have_clocks_of_their_own(self):
        other = claim_it(
            self.people,
            self.stage,
            picks=[Pick(second_finding(self.stage), "repair")],
        )
        self.go("send", "receive")
        self.go("send", "receive", "pay", "settle", claim=other)

        clocks = Deadline.objects.filter(superseded_at=None, duty="disposition")
        self.assertEqual(
            {row.claim_id: row.met_on for row in clocks},
            {self.claim.pk: None, other.pk: TODAY},
        )

    def test_a_claim_not_pursued_leaves_no_duty_of_its_own(self):
        self.go("send", "receive", "disallow", "give-up")

        self.assertEqual(self.open(), [])

    def test_desk_and_page_show_one_day_for_one_duty(self):
        self.go("send", "receive")
        row = Deadline.objects.get(duty="disposition", superseded_at=None)
        Deadline.objects.filter(pk=row.pk).update(safe=row.due - timedelta(days=1))
        rows = Deadline.objects.filter(claim=self.claim)

        # What the carrier owes counts to its due day, what we owe to the safe day.
        page = {one.duty: one.day for one in clocks_of(rows, TODAY)}
        desk = {one.duty: day_that_counts(one) for one in open_duties(rows)}
        self.assertEqual(desk["disposition"], row.due)
        self.assertEqual(page | desk, page)

    def test_our_own_date_stays_when_the_claim_is_made(self):
        fresh = set_stage(self.people)
        count_deadlines(shipment=fresh.shipment, at=AT, person=self.people.mina)
        row = Deadline.objects.get(
            shipment=fresh.shipment, duty="claim", superseded_at=None
        )
        row.overrides.create(
            due=TODAY, reason="Sooner.", decided_at=AT, decided_by=self.people.mina
        )

        claim = claim_it(self.people, fresh)

        new = Deadline.objects.get(claim=claim, duty="claim", superseded_at=None)
        self.assertEqual(new.overrides.get().reason, "Sooner.")
