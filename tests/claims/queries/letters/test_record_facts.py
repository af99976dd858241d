"""The record behind a claim, read from its rows for a letter that quotes it."""

import json
from datetime import date, timedelta

import pytest
from django.test import TestCase

from claims.actions.core.deadlines import count_deadlines
from claims.models import Claim
from claims.queries.letters.claim_letters import letter_facts
from claims.queries.letters.exhibit_numbers import exhibit_numbers
from claims.rules.letters.record_facts import Custody, Filed, Found, Noticed
from tests import making
from tests.claims.stage import AT, TODAY
from tests.people import cast

pytestmark = pytest.mark.database

DELIVERED = date(2026, 3, 10)
OPENED = date(2026, 3, 16)


def a_stage(people):
    """Make a claim on a machine in a crate that was marked at delivery."""
    shipment = making.make_shipment(
        location=people.riverside,
        pieces_billed=3,
        freight_payer="prepaid",
        released_value_cents_per_lb=500,
    )
    truck = making.make_signed_delivery(
        location=people.riverside,
        carrier=shipment.carrier,
        signed_by=people.rosa,
        trailer_number="5312",
        seal_number="88120",
        seal_condition="broken",
        unloaded_by="driver",
        unloaded_with="forklift",
        damaged_on_trailer=True,
    )
    making.make_handover(
        truck,
        shipment,
        words_full="Crate 1: corner post split.",
        witness_name="Al Finch",
        carrier_image="matches",
    )
    crate = making.make_crate(
        shipment, delivery=truck, opened_at=AT, opened_on=OPENED, look="exception"
    )
    making.make_crate(shipment, delivery=truck, look="clear")
    making.make_crate(shipment, delivery=truck, look="refused", refused_for="unsafe")
    unit = making.make_unit(crate=crate, condition="new", serial="10021")
    outside = making.make_finding(
        making.make_inspection(crate=crate, stage="tailgate", crate_condition="marked"),
        part="",
        damage_kind="crushed",
        facts="Corner post split.",
    )
    inside = making.make_finding(
        making.make_inspection(crate=crate, unit=unit, looked_on=OPENED)
    )
    claim = making.make_claim(
        shipment,
        made_by=people.mina,
        stood_unopened=True,
        stood_at="Bay 2",
        stood_moves="Rosa, forklift",
        salvage_held="We hold the shell.",
        inspect_at="Bay 4, weekdays",
        sent_on=date(2026, 3, 24),
        received_on=date(2026, 3, 25),
    )
    making.make_claim_line(
        claim, finding=inside, unit=unit, value_cents=412_500, recovered_cents=1_000
    )
    return claim, crate, unit, outside, inside


def joined(claim):
    rows = Claim.objects.select_related(
        "location", "shipment__carrier", "shipment__supplier", "shipment__location"
    )
    return rows.get(pk=claim.pk)


class TestRecordFacts(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.claim, cls.crate, cls.unit, cls.outside, cls.inside = a_stage(cls.people)
        cls.shipment = cls.claim.shipment

    def facts(self):
        return letter_facts(joined(self.claim), person=self.people.mina, today=TODAY)

    def record(self):
        return self.facts().record

    def test_the_receipt_is_as_it_ended(self):
        (row,) = self.record().receipts
        assert (row.on, row.words, row.ending) == (
            DELIVERED,
            "Crate 1: corner post split.",
            "signed",
        )
        assert (row.copies, row.driver, row.witness, row.pod) == (
            "both",
            "Lou Parr",
            "Al Finch",
            "matches",
        )
        assert (row.counted, row.trailer, row.seal, row.seal_condition) == (
            3,
            "5312",
            "88120",
            "broken",
        )
        assert (row.unloaded_by, row.unloaded_with, row.on_trailer) == (
            "driver",
            "forklift",
            True,
        )

    def test_a_receipt_without_exceptions_has_no_words_to_quote(self):
        shipment = making.make_shipment(location=self.people.riverside, pieces_billed=1)
        truck = making.make_signed_delivery(
            location=self.people.riverside, carrier=shipment.carrier
        )
        said = "PRO 1, crates: 1 billed, 1 tendered. Count agrees. No visible damage."
        bill = making.make_handover(truck, shipment, words_full=said)
        crate = making.make_crate(shipment, delivery=truck, look="clear")
        claim = making.make_claim(shipment, made_by=self.people.mina)

        def words():
            facts = letter_facts(joined(claim), person=self.people.mina, today=TODAY)
            return facts.record.receipts[0].words

        assert words() == ""
        bill.pieces_counted = 0
        bill.save()
        assert words() == said
        bill.pieces_counted = 1
        bill.save()
        for look in ("exception", "refused"):
            crate.look = look
            crate.save()
            assert words() == said
        crate.look = "clear"
        crate.save()
        making.make_finding(making.make_inspection(crate=crate, stage="tailgate"))
        assert words() == said

    def test_findings_are_those_claimed_and_those_on_their_crate(self):
        other = making.make_unit(shipment=self.shipment)
        making.make_finding(unit=other, facts="Another machine.")
        making.make_finding(crate=self.crate, route="own-handling", facts="Our forks.")
        assert self.record().findings == (
            Found(
                "Crate, crushed",
                "Corner post split.",
                DELIVERED,
                "crushed",
                is_on_crate=True,
                at_delivery=True,
            ),
            Found(
                "Deck shell, cracked",
                "Deck shell cracked at the left hinge, 12 cm.",
                OPENED,
                "cracked",
                is_inside=True,
            ),
        )

    def test_the_goods_and_the_bill(self):
        record = self.record()
        assert record.custody == (
            Custody(str(self.crate), OPENED, "Bay 2", "Rosa, forklift"),
        )
        assert record.new_machines == ("TX 48 tiller · 10021",)
        assert record.weights == ("TX 48 tiller, 640 lb",)
        assert (record.pieces, record.piece_unit) == (3, "crate")
        assert record.unmarked == 1
        assert record.refused == ("Crate 3 (HT-003)",)
        assert record.salvage == "We hold the shell."
        assert record.inspect_at == "Bay 4, weekdays"
        assert record.freight_payer == "prepaid"
        assert record.released_cents_per_lb == 500

    def test_a_crate_that_nobody_certified_unopened_has_no_custody(self):
        Claim.objects.filter(pk=self.claim.pk).update(stood_unopened=False)
        assert self.record().custody == ()

    def test_a_crate_with_damage_inside_is_not_unmarked(self):
        clear = self.shipment.crates.get(look="clear")
        making.make_finding(unit=making.make_unit(crate=clear))
        assert self.record().unmarked == 0

    def test_a_limit_is_told_where_the_whole_loss_is_within_it(self):
        assert self.record().limit_cents == 640 * 500
        self.shipment.released_value_cents_per_lb = 10
        self.shipment.save()
        assert self.record().limit_cents is None

    def test_holds_say_what_was_asked_and_answered(self):
        making.make_hold(
            self.unit,
            released_at=AT,
            released_by=self.people.mina,
            released_how="inspected",
        )
        making.make_packaging_hold(
            self.crate,
            carrier_asked_on=date(2026, 3, 12),
            released_at=AT,
            released_on=OPENED,
            released_by=self.people.mina,
            released_how="waived",
        )
        record = self.record()
        assert record.inspections == (("inspected", OPENED), ("waived", OPENED))
        assert record.asked_on == (date(2026, 3, 12),)
        assert not record.is_held
        making.make_hold(self.unit)
        assert self.record().is_held

    def test_a_release_by_our_manager_is_no_answer_of_the_carrier(self):
        making.make_hold(
            self.unit,
            released_at=AT,
            released_by=self.people.mina,
            released_how="manager",
        )
        assert self.record().inspections == ()

    def test_kept_parts_are_named_until_they_are_gone(self):
        tag = making.make_part_tag(self.inside)
        assert self.record().parts_kept == (f"tag T-{tag.number:04d}, Deck shell",)
        tag.collected_on, tag.collected_by = OPENED, "Lou Parr"
        tag.save()
        assert self.record().parts_kept == ()

    def test_what_was_received_before_is_on_its_line(self):
        facts = self.facts()
        (line,) = facts.lines
        assert line.paid_cents == 1_000
        assert line.amount_cents - line.paid_cents == facts.claimed_cents

    def test_notice_and_claim_are_in_time_by_their_own_deadlines(self):
        making.make_notice(
            self.shipment,
            sent_on=date(2026, 3, 12),
            sent_how="email",
            received_on=date(2026, 3, 13),
            receipt_words="Reply",
        )
        making.make_notice(self.shipment, kind="supplier", sent_on=DELIVERED)
        making.make_notice(self.shipment, kind="concealed")
        assert not self.record().notices[0].in_time
        count_deadlines(shipment=self.shipment, at=AT, person=self.people.mina)
        record = self.record()
        assert record.notices == (
            Noticed(
                "concealed",
                date(2026, 3, 12),
                "email",
                date(2026, 3, 13),
                "Reply",
                in_time=True,
            ),
        )
        assert record.filed_in_time

    def test_a_late_notice_and_a_late_claim_are_not_in_time(self):
        making.make_notice(
            self.shipment, sent_on=date(2026, 4, 2), received_on=date(2026, 4, 3)
        )
        late = DELIVERED + timedelta(days=400)
        Claim.objects.filter(pk=self.claim.pk).update(received_on=late)
        count_deadlines(shipment=self.shipment, at=AT, person=self.people.mina)
        record = self.record()
        assert not record.notices[0].in_time
        assert not record.filed_in_time

    def test_files_have_their_day_and_their_number_in_the_file_that_went_out(self):
        first = making.make_evidence(shipment=self.shipment, kind="receipt")
        photo = making.attach_photo(self.inside)
        self.a_file(1, date(2026, 3, 23), [photo.original_id, first.original_id])
        self.a_file(2, date(2026, 4, 1), [first.original_id])
        record = self.record()
        assert set(record.files) == {
            Filed("receipt", DELIVERED, 2),
            Filed("damage", DELIVERED, 1),
        }
        assert record.findings[1].exhibits == (1,)

    def test_before_it_is_sent_the_last_file_gives_the_numbers(self):
        Claim.objects.filter(pk=self.claim.pk).update(sent_on=None, received_on=None)
        self.a_file(1, date(2026, 3, 23), ["a" * 64])
        self.a_file(2, date(2026, 4, 1), ["b" * 64])
        assert exhibit_numbers(joined(self.claim)) == {"b" * 64: 1}

    def test_a_file_of_an_older_form_gives_no_numbers(self):
        assert exhibit_numbers(joined(self.claim)) == {}
        self.a_file(1, date(2026, 3, 23), ["a" * 64], form=3)
        assert exhibit_numbers(joined(self.claim)) == {}

    def a_file(self, version, as_of, hashes, form=4):
        exhibits = [{"number": n, "sha256": one} for n, one in enumerate(hashes, 1)]
        self.claim.packets.create(
            packet_version=version,
            as_of=as_of,
            content=json.dumps({"format": form, "exhibits": exhibits}),
            tree_size=1,
            root="0" * 64,
            sha256="0" * 64,
            size=1,
            made_at=AT,
            made_by=self.people.mina,
        )

    def test_the_number_of_queries_does_not_grow(self):
        def count():
            from django.db import connection
            from django.test.utils import CaptureQueriesContext

            claim = joined(self.claim)
            with CaptureQueriesContext(
                connection,
            ) as seen:
                letter_facts(claim, person=self.people.mina, today=TODAY)
            return len(seen)

        self.grow()
        before = count()
        for _ in range(4):
            self.grow()
        assert count() == before

    def grow(self):
        crate = making.make_crate(self.shipment, opened_at=AT, opened_on=OPENED)
        unit = making.make_unit(crate=crate)
        finding = making.make_finding(
            making.make_inspection(crate=crate, unit=unit, looked_on=OPENED)
        )
        making.attach_photo(finding)
        making.make_claim_line(
            self.claim, finding=finding, unit=unit, value_cents=9_000_000
        )
        making.make_hold(unit)
        making.make_packaging_hold(crate)
        making.make_part_tag(finding)
        making.make_notice(self.shipment, sent_on=OPENED)
        truck = making.make_signed_delivery(
            location=self.people.riverside, carrier=self.shipment.carrier
        )
        making.make_handover(truck, self.shipment)
        making.make_evidence(shipment=self.shipment, delivery=truck, kind="look")
