"""Making claims, adding to them, changing their lines and their life after."""

from datetime import date, timedelta

import pytest
from django.db import IntegrityError, transaction
from django.test import TestCase

from claims.actions.claim import answers, endings
from claims.actions.claim import steps as claim_steps
from claims.actions.claim.decisions import decide_paper
from claims.actions.claim.lines import LineChange, adjust_line, strike_line
from claims.actions.claim.making import Pick, supplement_claim
from claims.actions.claim.supplements import receive_supplement, send_supplement
from claims.actions.core.deadlines import count_deadlines
from claims.models import Claim, Deadline, Supplement
from claims.queries.core.facts import claim_cents
from claims.queries.core.found import title_words
from claims.rules.letters.overlap import OverlapAnswer
from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.models import Event
from tests import making
from tests.claims.acts import calls_of
from tests.claims.stage import AT, TODAY, claim_it, second_finding, set_stage, step
from tests.people import cast

pytestmark = pytest.mark.database


class ClaimCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.stage = set_stage(cls.people)

    def make(self, **over):
        return claim_it(self.people, self.stage, **over)

    def step(self, row, **over):
        return step(self.people, row, **over)

    def last_event(self):
        return Event.objects.latest("sequence")


class MakeClaimTests(ClaimCase):
    def test_a_claim_is_numbered_at_its_location_and_worked(self):
        claim = self.make()

        self.assertEqual(claim.number, "C-RIV-2026-0001")
        line = claim.lines.get()
        # Two hours at 125.00 and one part at 350.00.
        self.assertEqual((line.repair_cents, line.worked_cents), (60_000, 60_000))
        self.assertEqual(line.value_cents, 412_500)
        self.assertEqual(self.last_event().kind, "claim.made")
        self.assertEqual(self.last_event().data["amount"], "USD 600.00")

    def test_a_shortage_is_named_by_what_is_missing(self):
        bill = self.stage.shipment
        bill.piece_unit = "skid"
        bill.save()
        count = making.make_inspection(unit=None, shipment=bill, stage="count")
        short = making.make_finding(
            count, unit=None, part="", damage_kind="short", pieces=2
        )
        claim = self.make(picks=[Pick(short, "short")])

        self.assertEqual(claim.lines.get().label, "2 skids: short")
        self.assertEqual(title_words(short), "2 skids, short")
        self.assertEqual(str(short), f"Finding {short.number}: 2 pieces, short")

    def test_numbers_run_on_by_location_and_year(self):
        self.make()
        other = set_stage(self.people)

        self.assertEqual(claim_it(self.people, other).number, "C-RIV-2026-0002")
        third = set_stage(self.people)
        later = claim_it(self.people, third, today=date(2027, 1, 2))
        self.assertEqual(later.number, "C-RIV-2027-0001")

    def test_a_finding_is_in_one_claim_at_a_time(self):
        self.make()

        with self.assertRaisesMessage(RefusedError, "already in claim C-RIV-2026-0001"):
            self.make()
        self.assertEqual(Claim.objects.count(), 1)

    def test_the_database_refuses_the_same_finding_in_two(self):
        first = self.make().lines.get()
        other = making.make_claim(self.stage.shipment)

        with self.assertRaises(IntegrityError), transaction.atomic():
            making.make_claim_line(other, finding=first.finding, holds=True)

    def test_another_finding_of_the_bill_may_have_a_claim_of_its_own(self):
        self.make()

        other = self.make(picks=[Pick(second_finding(self.stage), "repair")])

        self.assertEqual(other.number, "C-RIV-2026-0002")

    def test_a_removed_line_frees_its_finding(self):
        line = self.make().lines.get()
        strike_line(line=line, step=self.step(line))

        self.assertEqual(self.make().lines.get().finding, self.stage.finding)

    def test_a_sent_claim_frees_its_findings_once_the_carrier_is_told(self):
        claim = self.make()
        claim_steps.send_claim(claim=claim, how="email", step=self.step(claim))
        endings.withdraw_claim(claim=claim, step=self.step(claim))
        with self.assertRaisesMessage(RefusedError, "already in claim"):
            self.make()

        endings.tell_withdrawal(claim=claim, how="email", step=self.step(claim))

        with self.assertRaisesMessage(RefusedError, "was in an earlier claim"):
            self.make()
        again = self.make(said=OverlapAnswer("told", "Harbor Mutual"))
        self.assertEqual(again.number, "C-RIV-2026-0002")
        answer = again.overlap_answers.get()
        self.assertEqual(
            (answer.insurer, answer.insurer_name), ("told", "Harbor Mutual")
        )

    def test_the_other_claimant_of_a_finding_is_told_why_not(self):
        self.make()
        with self.assertRaisesMessage(RefusedError, "49 CFR 370.3(e)"):
            self.make(claimant="supplier")

    def test_a_withdrawn_claim_frees_its_findings(self):
        claim = self.make()
        endings.withdraw_claim(claim=claim, step=self.step(claim))

        self.assertEqual(self.make().number, "C-RIV-2026-0002")

    def test_handling_here_without_an_answer_stops_the_claim(self):
        self.stage.finding.cause = "our-handling"
        self.stage.finding.save()

        with self.assertRaisesMessage(RefusedError, "our handling"):
            self.make()

    def test_a_safety_part_is_never_set_to_repair_by_price(self):
        self.stage.finding.is_safety_part = True
        self.stage.finding.save()

        with self.assertRaisesMessage(RefusedError, "safety part"):
            self.make()
        self.assertEqual(
            self.make(outcome="total").lines.get().worked_cents,
            412_500 + self.freight(),
        )

    def freight(self):
        # 840.00 borne over 3,200 lb, of which the machine is 640.
        return 16_800

    def test_a_finding_of_another_bill_is_refused(self):
        other = set_stage(self.people)

        with self.assertRaisesMessage(RefusedError, "belongs to another freight bill"):
            self.make(picks=[Pick(other.finding, "repair")])

    def test_nothing_chosen_is_refused(self):
        with self.assertRaises(RefusedError):
            self.make(picks=[])

    def test_a_claim_runs_the_clock_of_its_receipt(self):
        claim = self.make()

        row = Deadline.objects.get(claim=claim, duty="claim", superseded_at=None)
        self.assertEqual(row.due, date(2026, 12, 10))


class LineTests(ClaimCase):
    def setUp(self):
        self.claim = self.make()
        self.line = self.claim.lines.get()

    def change(self, **over):
        values = {
            "outcome": "repair",
            "value_cents": 412_500,
            "salvage_cents": 0,
            "mitigation_cents": 0,
            "recovered_cents": 0,
            "adjusted_cents": None,
        }
        return LineChange(**{**values, **over})

    def adjust(self, **over):
        adjust_line(
            line=self.line, change=self.change(**over), step=self.step(self.line)
        )
        self.line.refresh_from_db()
        self.claim = Claim.objects.prefetch_related("lines").get(pk=self.claim.pk)

    def test_an_adjusted_amount_stands_beside_the_worked_one(self):
        self.adjust(adjusted_cents=55_000)

        self.assertEqual(self.line.worked_cents, 60_000)
        self.assertEqual(claim_cents(self.claim), 55_000)
        self.assertEqual(self.last_event().data["amount"], "USD 550.00")

    def test_a_repair_is_capped_at_the_worth_less_salvage(self):
        self.adjust(value_cents=70_000, salvage_cents=20_000)

        self.assertEqual(self.line.worked_cents, 50_000)

    def test_what_was_recovered_is_not_asked_again(self):
        self.adjust(recovered_cents=10_000)

        self.assertEqual(self.line.worked_cents, 60_000)
        self.assertEqual(claim_cents(self.claim), 50_000)

    def test_a_stale_line_is_refused(self):
        old = self.step(self.line)
        self.adjust(adjusted_cents=1)

        with self.assertRaises(StaleRowError):
            adjust_line(line=self.line, change=self.change(), step=old)

    def test_a_struck_line_asks_for_nothing_and_stays(self):
        strike_line(line=self.line, step=self.step(self.line))

        claim = Claim.objects.prefetch_related("lines").get(pk=self.claim.pk)
        self.assertEqual(claim_cents(claim), 0)
        self.assertEqual(claim.lines.get().struck_reason, "Because.")
        with self.assertRaisesMessage(RefusedError, "already removed"):
            strike_line(line=self.line, step=self.step(self.line))

    def test_a_line_with_the_carrier_stays_as_it_was_sent(self):
        claim_steps.send_claim(
            claim=self.claim, how="email", step=self.step(self.claim)
        )

        with self.assertRaisesMessage(RefusedError, "already with the carrier"):
            self.adjust(adjusted_cents=1)

    def test_three_repairs_on_one_machine_share_its_cap(self):
        for _ in range(2):
            second_finding(self.stage)
        endings.withdraw_claim(claim=self.claim, step=self.step(self.claim))
        findings = list(self.stage.shipment.findings.order_by("number"))
        claim = self.make(picks=[Pick(row, "repair") for row in findings])
        for line in claim.lines.order_by("number"):
            line.repair_cents = 150_000
            line.save()
        first = claim.lines.order_by("number").first()

        adjust_line(
            line=first,
            change=self.change(value_cents=400_000, salvage_cents=50_000),
            step=self.step(first),
        )

        claim = Claim.objects.prefetch_related("lines").get(pk=claim.pk)
        self.assertEqual(claim_cents(claim), 350_000)


class LifeTests(ClaimCase):
    def setUp(self):
        self.claim = self.make()

    def go(self, act, **over):
        calls_of(self.claim)[act](self.step(self.claim, **over))
        self.claim.refresh_from_db()

    def test_sending_meets_no_duty_and_receipt_does(self):
        self.go("send")
        duty = Deadline.objects.get(duty="claim", superseded_at=None)
        self.assertIsNone(duty.met_on)

        self.go("receive")

        duty = Deadline.objects.get(duty="claim", superseded_at=None)
        self.assertEqual(duty.met_on, TODAY)
        self.assertEqual(self.claim.receipt_words, "Signed by L. Parr.")

    def test_sending_again_moves_the_day(self):
        self.go("send", on=TODAY)
        later = TODAY + timedelta(days=3)

        self.go("send", on=later, today=later)

        self.assertEqual(self.claim.sent_on, later)

    def test_the_carriers_clocks_run_from_receipt(self):
        self.go("send")
        self.go("receive")

        due = {
            row.duty: row.due
            for row in Deadline.objects.filter(owed_by="carrier", superseded_at=None)
        }
        self.assertEqual(due["acknowledgement"], date(2026, 4, 15))
        self.assertEqual(due["disposition"], date(2026, 7, 14))

    def test_the_first_disallowance_keeps_its_day(self):
        for act in ("send", "receive", "disallow", "offer"):
            self.go(act)
        later = TODAY + timedelta(days=60)

        self.go("disallow", on=later, today=later, reason="Again.")

        self.assertEqual(self.claim.disallowed_on, TODAY)
        self.assertEqual(self.claim.disallowed_reason, "Because.")

    def test_an_offer_starts_no_suit(self):
        for act in ("send", "receive", "offer"):
            self.go(act)

        self.assertFalse(Deadline.objects.filter(duty="suit").exists())

    def test_a_letter_that_offers_and_declines_is_marked_disputed(self):
        for act in ("send", "receive"):
            self.go(act)
        answers.record_disallowance(
            claim=self.claim,
            denial=answers.Denial(with_offer=True),
            step=self.step(self.claim),
        )

        suit = Deadline.objects.get(duty="suit", superseded_at=None)
        self.assertTrue(any("disputed" in note for note in suit.notes))

    def test_what_a_broker_received_is_no_proof_of_delivery(self):
        self.stage.shipment.carrier.mode = "broker"
        self.stage.shipment.carrier.save()
        self.go("send")

        with self.assertRaisesMessage(RefusedError, "a broker. A broker is not"):
            self.go("receive")

    def test_a_paper_decision_is_kept_with_its_reason(self):
        self.go("decide-paper")

        self.assertEqual(self.claim.paper_decisions.get().reason, "Because.")
        with self.assertRaises(RefusedError):
            decide_paper(claim=self.claim, paper="moon", step=self.step(self.claim))

    def test_a_settled_claim_leaves_no_duty_of_ours_running(self):
        for act in ("send", "receive", "pay", "settle"):
            self.go(act)

        running = Deadline.objects.filter(
            superseded_at=None, met_on=None, owed_by="claimant"
        )
        self.assertEqual(list(running), [])


class SupplementTests(ClaimCase):
    def setUp(self):
        self.claim = self.make()

    def supplement(self):
        finding = second_finding(self.stage)
        return supplement_claim(
            claim=self.claim,
            picks=[Pick(finding, "repair")],
            step=self.step(self.claim),
        )

    def send_and_receive(self):
        claim_steps.send_claim(
            claim=self.claim, how="email", step=self.step(self.claim)
        )
        self.claim.refresh_from_db()
        claim_steps.record_receipt(claim=self.claim, step=self.step(self.claim))

    def duty(self):
        return Deadline.objects.get(duty="claim", superseded_at=None)

    def test_a_supplement_is_numbered_and_so_are_its_lines(self):
        made = self.supplement()

        line = self.claim.lines.get(supplement=1)
        self.assertEqual((made.number, line.number), (1, 2))
        self.assertEqual(self.last_event().kind, "claim.supplemented")

    def test_made_before_sending_it_goes_out_and_arrives_with_the_claim(self):
        self.supplement()

        self.send_and_receive()

        row = Supplement.objects.get()
        self.assertEqual((row.sent_on, row.received_on), (TODAY, TODAY))
        self.assertEqual(self.duty().met_on, TODAY)

    def test_made_after_receipt_it_opens_the_clock_again(self):
        self.send_and_receive()
        row = self.supplement()
        self.assertIsNone(self.duty().met_on)

        send_supplement(supplement=row, how="email", step=self.step(row))
        self.assertIsNone(self.duty().met_on)
        receive_supplement(supplement=row, step=self.step(row))

        self.assertEqual(self.duty().met_on, TODAY)

    def test_it_is_not_received_before_it_is_sent(self):
        self.send_and_receive()
        row = self.supplement()

        with self.assertRaisesMessage(RefusedError, "Record first how"):
            receive_supplement(supplement=row, step=self.step(row))

    def test_it_is_not_sent_before_the_claim(self):
        row = self.supplement()

        with self.assertRaisesMessage(RefusedError, "goes out with it"):
            send_supplement(supplement=row, how="email", step=self.step(row))

    def test_a_finding_stands_in_one_claim_once(self):
        with self.assertRaisesMessage(RefusedError, "already in claim"):
            supplement_claim(
                claim=self.claim,
                picks=[Pick(self.stage.finding, "repair")],
                step=self.step(self.claim),
            )


class CountsAndClaimsTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()

    def test_three_bills_on_one_truck_have_their_own_clocks(self):
        truck = making.make_signed_delivery(location=self.people.riverside)
        bills = [
            making.make_shipment(location=self.people.riverside, carrier=truck.carrier)
            for _ in range(3)
        ]
        for bill in bills:
            making.make_handover(truck, bill)
            making.make_crate(bill, delivery=truck)

        for bill in bills:
            count_deadlines(shipment=bill, at=AT, person=self.people.mina)

        rows = Deadline.objects.filter(duty="concealed-notice")
        self.assertEqual(
            sorted(rows.values_list("shipment_id", flat=True)),
            [bill.pk for bill in bills],
        )

    def test_five_of_six_refused_are_claimed_as_refused_and_one_stays_closed(self):
        bill = making.make_shipment(location=self.people.riverside, pieces_billed=6)
        truck = making.make_signed_delivery(
            location=self.people.riverside, carrier=bill.carrier
        )
        making.make_handover(truck, bill, pieces_counted=6)
        for number in range(1, 7):
            making.make_crate(
                bill,
                delivery=truck,
                number=number,
                look="refused" if number > 1 else "clear",
                refused_for="leaking" if number > 1 else "",
            )

        rows = count_deadlines(shipment=bill, at=AT, person=self.people.mina)

        duties = {row.duty: row for row in rows}
        self.assertIn("concealed-notice", duties)
        # Refused freight may count from the bill: nine months from 3 March.
        self.assertEqual(duties["claim"].due, date(2026, 12, 3))
        self.assertIn("refused", duties["claim"].inputs["losses"])
