"""Whom a claim went to, and what follows: its deadlines, a refiling, a bankruptcy."""

from dataclasses import replace
from datetime import date

import pytest
from django.db import IntegrityError, transaction
from django.test import TestCase

from claims.actions.claim.addressees import address_claim
from claims.actions.claim.bankruptcies import (
    Petition,
    record_bankruptcy,
    record_proof_of_claim,
)
from claims.actions.claim.paper_tasks import Given, give_paper
from claims.actions.claim.steps import Sending, record_receipt, refile_claim, send_claim
from claims.actions.core.deadlines import count_deadlines
from claims.models import ClaimStep, Deadline, PaperTask
from claims.queries.claim.paper_tasks import my_paper_tasks, paper_task_rows
from claims.queries.desk.reminders import calendar_entries, morning_lines
from inventory.actions.core.versions import RefusedError
from inventory.models import CarrierBankruptcy, Event
from inventory.rules.core.event_kinds import sentence
from tests import making
from tests.claims.stage import AT, TODAY, claim_it, set_stage, step
from tests.people import cast
from tests.verifying import chain_faults_now

pytestmark = pytest.mark.database


def last_sentence():
    event = Event.objects.exclude(kind="deadlines.counted").latest("pk")
    return sentence(event.kind, event.data)


class _Case(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.stage = set_stage(cls.people)
        cls.claim = claim_it(cls.people, cls.stage)
        cls.bill = cls.stage.shipment

    def step(self, **over):
        return step(self.people, self.claim, **over)

    def duty(self, duty="claim"):
        rows = Deadline.objects.filter(claim=self.claim, duty=duty, superseded_at=None)
        return rows.first()

    def send(self, to=None, how="post", tracking=""):
        sending = Sending(how, to, tracking)
        send_claim(claim=self.claim, sending=sending, step=self.step())
        self.claim.refresh_from_db()

    def broker(self):
        """Name a broker on the bill beside the carrier that runs the truck."""
        self.bill.broker = making.make_carrier(name="Wren Brokers", mode="broker")
        self.bill.save()
        return self.bill.broker


class AddresseeTests(_Case):
    def test_without_a_choice_it_goes_to_the_carrier_of_record(self):
        self.bill.record_carrier = making.make_carrier(name="Sedge Lines")
        self.bill.save()

        self.send(tracking="9407 1118")

        self.assertEqual(self.claim.addressed_to, self.bill.record_carrier)
        sent = ClaimStep.objects.get(claim=self.claim, act="send")
        self.assertEqual(sent.addressed_to, self.bill.record_carrier)
        self.assertEqual(sent.tracking, "9407 1118")
        self.assertIn("certified mail, 9407 1118, to Sedge Lines", last_sentence())

    def test_a_claim_that_only_a_broker_has_keeps_the_claims_clock_running(self):
        self.send(to=self.broker())
        with self.assertRaisesMessage(RefusedError, "not a carrier"):
            record_receipt(claim=self.claim, step=self.step())

        row = self.duty()
        self.assertIsNone(row.met_on)
        self.assertIn("Wren Brokers, a broker", row.notes[0])
        self.assertIsNone(self.duty("acknowledgement"))

        self.send(to=self.bill.carrier)
        record_receipt(claim=self.claim, step=self.step())

        self.assertEqual(self.duty().met_on, TODAY)
        self.assertIsNotNone(self.duty("acknowledgement"))

    def test_a_company_that_proves_to_be_the_broker_opens_the_clock_again(self):
        self.send()
        record_receipt(claim=self.claim, step=self.step())
        self.assertEqual(self.duty().met_on, TODAY)
        self.assertIsNotNone(self.duty("acknowledgement"))

        making.make_broker_of(self.claim)
        count_deadlines(shipment=self.bill, at=AT, person=self.people.mina)

        self.assertIsNone(self.duty().met_on)
        self.assertIsNone(self.duty("acknowledgement"))

        self.claim.refresh_from_db()
        refile_claim(
            claim=self.claim,
            sending=Sending("email", self.claim.shipment.carrier_of_record),
            step=self.step(),
        )
        self.claim.refresh_from_db()

        self.assertEqual(self.claim.state, "sent")
        self.assertIsNone(self.claim.received_on)
        record_receipt(claim=self.claim, step=self.step())
        self.assertEqual(self.duty().met_on, TODAY)
        self.assertEqual(chain_faults_now(), [])

    def test_a_notice_to_the_broker_alone_meets_nothing(self):
        making.make_notice(
            self.bill,
            kind="concealed",
            sent_on=TODAY,
            received_on=TODAY,
            addressed_to=self.broker(),
        )
        rows = Deadline.objects.filter(
            shipment=self.bill, duty="concealed-notice", superseded_at=None
        )
        count_deadlines(shipment=self.bill, at=AT, person=None)
        self.assertIsNone(rows.get().met_on)

        self.bill.notices.update(addressed_to=self.bill.carrier)
        count_deadlines(shipment=self.bill, at=AT, person=None)
        self.assertEqual(rows.get().met_on, TODAY)

    def test_a_draft_is_addressed_to_a_company_of_its_bill_alone(self):
        stranger = making.make_carrier()
        with self.assertRaisesMessage(RefusedError, "not named on this freight bill"):
            address_claim(claim=self.claim, to=stranger, step=self.step())
        with self.assertRaisesMessage(RefusedError, "not named on this freight bill"):
            self.send(to=stranger)

        address_claim(claim=self.claim, to=self.broker(), step=self.step())

        self.claim.refresh_from_db()
        self.assertEqual(self.claim.addressed_to, self.bill.broker)
        self.assertIn("addressed to Wren Brokers", last_sentence())

    def test_the_periods_of_the_carrier_of_record_count(self):
        record = making.make_carrier(name="Sedge Lines", mail_days=1)
        self.bill.record_carrier = record
        self.bill.save()
        record.terms.create(
            duty="claim", count=10, unit="months", starts="delivery", source="Item 3"
        )

        count_deadlines(shipment=self.bill, at=AT, person=None)

        self.assertEqual(self.duty().inputs["days for the mail"], "1")
        self.assertIn("10 months", self.duty().inputs["term for claim"])


PETITION = Petition(date(2026, 3, 2), "Bankr. D. Neb.", "26-40117", date(2026, 6, 14))


class BankruptcyTests(_Case):
    def record(self, **over):
        return record_bankruptcy(
            carrier=self.bill.carrier,
            petition=replace(PETITION, **over),
            person=self.people.mina,
            at=AT,
        )

    def test_each_open_claim_has_the_bar_date_as_its_duty(self):
        self.record()

        row = self.duty("proof-of-claim")
        self.assertEqual((row.due, row.safe), (date(2026, 6, 14), date(2026, 6, 12)))
        self.assertIn("26-40117", row.inputs["case"])
        self.assertIn("filed for bankruptcy", last_sentence())
        lines = morning_lines(self.people.mina, date(2026, 6, 8))
        self.assertIn(
            "File the proof of claim with the court", [one.label for one in lines]
        )
        days = calendar_entries(self.people.mina, TODAY)
        self.assertIn(date(2026, 6, 12), [one.day for one in days])
        self.assertEqual(chain_faults_now(), [])

    def test_a_correction_is_a_new_record_with_its_reason(self):
        self.record()
        with self.assertRaisesMessage(RefusedError, "recorded already"):
            self.record(bar_on=date(2026, 7, 1))

        self.record(bar_on=date(2026, 7, 1), reason="The court moved it.")

        self.assertEqual(CarrierBankruptcy.objects.count(), 2)
        self.assertEqual(self.duty("proof-of-claim").due, date(2026, 7, 1))
        with self.assertRaises(IntegrityError), transaction.atomic():
            CarrierBankruptcy.objects.update(court="Another")

    def test_a_bar_date_comes_after_the_petition(self):
        with self.assertRaisesMessage(RefusedError, "comes after the petition"):
            self.record(bar_on=date(2026, 3, 2))

    def test_without_a_bar_date_no_day_is_made_up(self):
        self.record(bar_on=None)

        self.assertIsNone(self.duty("proof-of-claim"))

    def test_the_proof_of_claim_at_the_court_meets_it(self):
        with self.assertRaisesMessage(RefusedError, "No bankruptcy"):
            record_proof_of_claim(claim=self.claim, step=self.step())
        self.record()

        record_proof_of_claim(claim=self.claim, step=self.step())

        self.assertEqual(self.duty("proof-of-claim").met_on, TODAY)

    def test_a_claim_against_another_carrier_has_no_such_duty(self):
        self.bill.record_carrier = making.make_carrier(name="Sedge Lines")
        self.bill.save()

        self.record()

        self.assertIsNone(self.duty("proof-of-claim"))


class PaperTaskTests(_Case):
    def give(self, owner, paper="freight-bill", by_day=date(2026, 3, 18), who=None):
        given = Given(paper, owner, by_day)
        over = {"person": who} if who else {}
        return give_paper(claim=self.claim, given=given, step=self.step(**over))

    def mine(self, person):
        return [one.act for one in my_paper_tasks(person, TODAY)]

    def test_it_stands_on_its_owners_desk_and_in_their_reminders(self):
        self.give(self.people.tomas)

        self.assertEqual(self.mine(self.people.tomas), ["Get the freight bill"])
        self.assertEqual(self.mine(self.people.mina), [])
        row = paper_task_rows(type(self.claim).objects.all(), TODAY)[0]
        self.assertEqual((row.who, row.day), (self.people.tomas, date(2026, 3, 18)))
        self.assertIn("kind=freight-bill", row.address)
        line = morning_lines(self.people.tomas, TODAY)[-1]
        self.assertEqual((line.label, line.day), ("Get the freight bill", row.day))
        entry = calendar_entries(self.people.tomas, TODAY)[-1]
        self.assertEqual((entry.subject, entry.day), ("document", row.day))

    def test_the_last_to_take_it_over_has_it(self):
        self.give(self.people.tomas)
        self.assertIn("gets the freight bill by 2026-03-18", last_sentence())

        self.give(self.people.abel, who=self.people.abel)

        self.assertIn("took over the freight bill", last_sentence())
        self.assertEqual(self.mine(self.people.tomas), [])
        self.assertEqual(self.mine(self.people.abel), ["Get the freight bill"])
        self.assertEqual(PaperTask.objects.count(), 2)
        self.assertEqual(chain_faults_now(), [])

    def test_it_is_done_when_the_document_arrives(self):
        self.give(self.people.tomas)

        making.make_evidence(shipment=self.bill, kind="freight-bill")

        self.assertEqual(self.mine(self.people.tomas), [])

    def test_it_is_done_when_a_document_of_the_truck_arrives(self):
        self.give(self.people.tomas, paper="receipt")

        making.make_evidence(delivery=self.stage.delivery, kind="receipt")

        self.assertEqual(self.mine(self.people.tomas), [])

    def test_nobody_gets_a_document_that_is_not_needed(self):
        self.give(self.people.tomas)
        self.claim.paper_decisions.create(
            paper="freight-bill",
            reason="Theirs.",
            decided_at=AT,
            decided_by=self.people.mina,
        )

        self.assertEqual(self.mine(self.people.tomas), [])

    def test_only_a_colleague_of_the_location_can_have_it(self):
        with self.assertRaisesMessage(RefusedError, "does not work at"):
            self.give(self.people.nell)

    def test_a_past_day_is_refused(self):
        with self.assertRaisesMessage(RefusedError, "That day is past"):
            self.give(self.people.tomas, by_day=date(2026, 3, 1))

    def test_an_unknown_document_is_refused(self):
        with self.assertRaisesMessage(RefusedError, "no such document"):
            self.give(self.people.tomas, paper="moon")

    def test_the_number_of_queries_does_not_grow_with_the_claims(self):
        self.give(self.people.tomas)
        with self.assertNumQueries(5):
            my_paper_tasks(self.people.tomas, TODAY)
        for _ in range(5):
            making.make_paper_task(
                making.make_claim(
                    making.make_shipment(location=self.people.riverside),
                    made_by=self.people.tomas,
                )
            )
        with self.assertNumQueries(5):
            self.assertEqual(len(my_paper_tasks(self.people.tomas, TODAY)), 6)
