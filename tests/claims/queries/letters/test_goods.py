"""What a letter says of the goods comes from the record as it is now."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from django.db import connection
from django.test import TestCase
from django.test.utils import CaptureQueriesContext

from claims.models import Claim, ClaimLetter
from claims.queries.letters.claim_letters import letter_facts
from claims.rules.letters.claim_letter_kinds import KINDS
from claims.rules.letters.salvage import OfferChoices
from inventory.rules.core import frozen
from tests import making
from tests.claims.stage import AT, TODAY, claim_it, set_stage
from tests.people import cast

pytestmark = pytest.mark.database


class GoodsCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.stage = set_stage(cls.people)
        cls.stage.finding.recorded_by = cls.people.tomas
        cls.stage.finding.save()

    def facts(self, person=None, claim=None):
        row = Claim.objects.select_related(
            "shipment__carrier", "shipment__supplier", "location"
        ).get(pk=(claim or self.claim).pk)
        return letter_facts(row, person=person or self.people.mina, today=TODAY)


class StatementTests(GoodsCase):
    def setUp(self):
        self.claim = claim_it(self.people, self.stage)

    def test_a_technician_states_what_they_recorded_themselves(self):
        goods = self.facts(self.people.tomas).goods

        (seen,) = goods.findings
        self.assertEqual(goods.technician, "Tomas Brandt")
        self.assertEqual(seen.facts, "Deck shell cracked at the left hinge, 12 cm.")
        self.assertEqual(seen.what, "deck shell, cracked")
        self.assertEqual(seen.stage, "at uncrating")
        self.assertIn(self.stage.unit.serial, seen.on)
        self.assertIn("March 16, 2026, 10:00 AM", goods.opened[0].opened)
        self.assertEqual(self.facts().goods.findings, ())

    def test_photos_are_counted_and_no_opinion_is_taken_over(self):
        self.stage.finding.opinion = "A fork did it."
        self.stage.finding.save()
        making.attach_photo(self.stage.finding)
        making.attach_photo(self.stage.finding)

        goods = self.facts(self.people.tomas).goods

        self.assertEqual(goods.findings[0].photos, 2)
        self.assertNotIn("fork", frozen.to_json(goods.findings[0]))
        self.assertNotIn("ransit", frozen.to_json(goods.findings[0]))

    def test_a_point_that_is_not_right_and_each_reading_are_stated(self):
        look = self.stage.finding.inspection
        look.looks = [
            {"key": "wheels", "result": "wrong", "reading": "8", "unit": "psi"},
            {"key": "frame", "result": "right", "reading": "", "unit": ""},
        ]
        look.save()

        (point,) = self.facts(self.people.tomas).goods.readings

        self.assertEqual(point.point, "Wheels and casters")
        self.assertEqual((point.result, point.reading), ("not right", "8 psi"))


class ShortTests(GoodsCase):
    def setUp(self):
        self.stage.handover.pieces_counted = 3
        self.stage.handover.save()
        self.claim = claim_it(self.people, self.stage, outcome="short")
        self.kind = KINDS["non-receipt"]

    def against(self):
        return " ".join(self.kind.against(self.facts()))

    def test_a_whole_crate_that_never_came_may_be_certified(self):
        pieces = self.facts().goods.pieces

        self.assertEqual(self.against(), "")
        self.assertEqual((pieces.counted, pieces.billed, pieces.short), (3, 4, 1))

    def test_a_truck_that_brought_it_meanwhile_ends_that(self):
        later = making.make_delivery(
            location=self.people.riverside, arrived_at=AT + timedelta(days=1)
        )
        making.make_handover(later, self.stage.shipment, pieces_counted=1)

        self.assertIn("Every package billed has arrived", self.against())

    def test_a_truck_that_is_not_counted_yet_stops_it(self):
        later = making.make_delivery(
            location=self.people.riverside, arrived_at=AT + timedelta(days=1)
        )
        making.make_handover(later, self.stage.shipment, pieces_counted=None)

        self.assertIn("Complete the count first", self.against())

    def test_the_serial_on_another_bill_stops_it(self):
        other = making.make_shipment(location=self.people.hillcrest)
        making.make_unit(other, serial=self.stage.unit.serial.lower())

        self.assertIn(f"is on freight bill {other.pro_number}.", self.against())

    def test_an_over_piece_with_its_mark_stops_it(self):
        other = making.make_shipment(location=self.people.riverside)
        making.make_crate(other, mark=self.stage.crate.mark, is_over=True)

        self.assertIn(f"was over on freight bill {other.pro_number}.", self.against())

    def test_other_goods_stop_nothing(self):
        other = making.make_shipment(location=self.people.riverside)
        making.make_unit(other)
        making.make_crate(other, mark="ZZ-9", is_over=True)

        self.assertEqual(self.against(), "")


class SalvageTests(GoodsCase):
    def setUp(self):
        self.claim = claim_it(self.people, self.stage, outcome="total")

    def offer(self, number, **over):
        choices = OfferChoices((1,), "Bay 4", TODAY + timedelta(days=7 + number))
        values = {
            "kind": "salvage-offer",
            "number": number,
            "addressee": "Carrier",
            "subject": "Offer",
            "text": "Offer",
            "content": "{}",
            "choices": frozen.to_json(choices),
            "dated_on": TODAY,
            "digest": "0" * 64,
            "confirmed_at": AT,
            "confirmed_by": self.people.mina,
            "sent_on": TODAY,
            "sent_how": "email",
        }
        return ClaimLetter.objects.create(claim=self.claim, **{**values, **over})

    def test_the_last_offer_that_went_out_counts(self):
        self.offer(1)
        self.offer(2)
        self.offer(3, sent_on=None, sent_how="")

        offered = self.facts().goods.offered

        self.assertEqual(offered.offered_on, TODAY)
        self.assertEqual(offered.answer_by, date(2026, 3, 25))

    def test_no_offer_is_none(self):
        self.offer(1, sent_on=None, sent_how="")

        self.assertIsNone(self.facts().goods.offered)

    def test_the_place_comes_from_the_claim_and_the_salvage_from_its_lines(self):
        self.claim.salvage_held = "Bay 4"
        self.claim.save()
        self.claim.lines.update(salvage_cents=30_000)

        facts = self.facts()

        self.assertEqual(facts.goods.held_at, "Bay 4")
        self.assertEqual(facts.lines[0].salvage_cents, 30_000)
        self.assertEqual(facts.lines[0].outcome, "total")

    def test_a_repair_deducts_no_salvage(self):
        self.claim.lines.update(salvage_cents=30_000, outcome="repair")

        self.assertEqual(self.facts().lines[0].salvage_cents, 0)

    def test_the_questions_stay_the_same_with_more_lines(self):
        with CaptureQueriesContext(connection) as alone:
            self.facts(self.people.tomas)
        for _ in range(3):
            finding = making.make_finding(
                crate=self.stage.crate,
                unit=self.stage.unit,
                recorded_by=self.people.tomas,
            )
            making.make_claim_line(self.claim, finding=finding, number=finding.number)
        with self.assertNumQueries(len(alone)):
            found = self.facts(self.people.tomas).goods.findings
        self.assertEqual(len(found), 4)


def test_facts_are_frozen_with_their_day():
    choices = OfferChoices((1,), "Bay 4", TODAY)
    assert frozen.from_json(OfferChoices, frozen.to_json(choices)) == choices
    assert replace(choices, answer_by=AT.date()).answer_by == TODAY
