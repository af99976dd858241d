"""What the bench writes, and what it refuses to write."""

from datetime import UTC, date, datetime

import pytest
from django.test import TestCase

from claims.actions.bench.decisions import (
    Prices,
    answer_handling,
    price_finding,
    route_finding,
)
from claims.actions.bench.findings import change_finding, record_finding
from claims.actions.bench.holds import place_hold, release_hold
from claims.actions.bench.inspections import LookTaken, Subject, record_inspection
from claims.actions.bench.opening import open_crate
from claims.actions.bench.words import FindingWords, PartNeeded
from claims.models import Finding, Inspection
from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.models import Event, Hold
from tests import making
from tests.people import cast
from tests.verifying import last_image_of

pytestmark = pytest.mark.database

AT = datetime(2026, 3, 12, 2, 30, tzinfo=UTC)
"""Still the evening of 11 March at Riverside."""

CRACK = FindingWords(
    damage_kind="cracked", severity="severe", facts="Cracked, 12 cm.", cause="transit"
)


def words(**over):
    values = {"damage_kind": "cracked", "severity": "severe", "facts": "Cracked."}
    return FindingWords(**{**values, **over})


class BenchCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.shipment = making.make_shipment(location=cls.people.riverside)
        cls.truck = making.make_signed_delivery(location=cls.people.riverside)
        making.make_handover(cls.truck, cls.shipment)
        cls.crate = making.make_crate(
            cls.shipment,
            delivery=cls.truck,
            look="clear",
            opened_at=making.ARRIVED,
            opened_on=date(2026, 3, 10),
        )
        cls.unit = making.make_unit(crate=cls.crate)

    def find(self, **over):
        values = {
            "person": self.people.tomas,
            "at": AT,
            "subject": Subject(self.shipment, unit=self.unit),
            "stage": "uncrating",
            "words": CRACK,
            "crate_condition": "sound",
        }
        return record_finding(**{**values, **over})

    def last_event(self):
        return Event.objects.order_by("-sequence").first()


class OpeningTests(BenchCase):
    def closed(self, **over):
        return making.make_crate(
            self.shipment, **{"delivery": self.truck, "look": "clear", **over}
        )

    def test_opening_keeps_the_moment_and_the_local_day(self):
        crate = open_crate(person=self.people.tomas, at=AT, crate=self.closed())

        assert (crate.opened_at, crate.opened_on) == (AT, date(2026, 3, 11))
        event = self.last_event()
        assert event.kind == "crate.opened"
        assert {row.noun for row in event.subjects.all()} == {
            "delivery",
            "shipment",
            "crate",
        }

    def test_nothing_is_opened_before_the_receipt_is_signed(self):
        unsigned = making.make_delivery(location=self.people.riverside)
        for over in ({"delivery": unsigned}, {"delivery": None}):
            with self.subTest(over), pytest.raises(RefusedError, match="receipt"):
                open_crate(person=self.people.tomas, at=AT, crate=self.closed(**over))

    def test_a_refused_crate_is_not_ours_to_open(self):
        crate = self.closed(look="refused", refused_for="leaking")
        with pytest.raises(RefusedError, match="not ours"):
            open_crate(person=self.people.tomas, at=AT, crate=crate)

    def test_a_crate_is_opened_once(self):
        with pytest.raises(RefusedError, match="already open"):
            open_crate(person=self.people.tomas, at=AT, crate=self.crate)
        self.crate.refresh_from_db()
        assert self.crate.opened_at == making.ARRIVED


class InspectingTests(BenchCase):
    def look(self, **over):
        values = {
            "person": self.people.tomas,
            "at": AT,
            "subject": Subject(self.shipment, unit=self.unit),
            "stage": "set-up",
            "crate_condition": "sound",
        }
        return record_inspection(**{**values, **over})

    def test_a_look_keeps_each_result_and_reading(self):
        row = self.look(looks=[LookTaken("tires", "right", "14", "psi")])

        row.refresh_from_db()
        assert row.looks == [
            {"key": "tires", "result": "right", "reading": "14", "unit": "psi"}
        ]
        assert (row.crate, row.delivery) == (self.crate, self.truck)
        assert row.looked_on == date(2026, 3, 11)
        assert self.last_event().kind == "inspection.recorded"

    def test_a_machine_on_hold_is_not_set_up(self):
        making.make_hold(self.unit)
        with pytest.raises(RefusedError, match="on hold"):
            self.look()
        assert not Inspection.objects.exists()

    def test_a_machine_on_hold_may_still_be_looked_at_as_it_is_uncrated(self):
        making.make_hold(self.unit)
        assert self.look(stage="uncrating").pk

    def test_a_released_machine_is_set_up(self):
        making.make_hold(self.unit, released_at=AT, released_how="inspected")
        assert self.look().pk

    def test_a_closed_crate_is_opened_first(self):
        crate = making.make_crate(self.shipment, delivery=self.truck)
        unit = making.make_unit(crate=crate)
        with pytest.raises(RefusedError, match="has not been opened"):
            self.look(subject=Subject(self.shipment, unit=unit))

    def test_a_bare_machine_takes_the_condition_of_none(self):
        bare = making.make_unit(self.shipment)
        row = self.look(subject=Subject(self.shipment, unit=bare))
        assert (row.crate_condition, row.delivery) == ("none", self.truck)

    def test_before_the_signature_nothing_is_inspected(self):
        shipment = making.make_shipment(location=self.people.riverside)
        making.make_handover(shipment=shipment)
        unit = making.make_unit(shipment)
        with pytest.raises(RefusedError, match="not signed"):
            self.look(subject=Subject(shipment, unit=unit))


class FindingTests(BenchCase):
    def test_findings_are_numbered_by_the_freight_bill(self):
        first, second = self.find(), self.find()
        assert (first.number, second.number) == (1, 2)
        assert first.inspection == second.inspection

    def test_a_hidden_crack_in_a_sound_crate_could_not_be_seen(self):
        row = self.find()
        assert (row.could_be_seen, row.could_be_seen_derived) == (False, False)
        assert (row.delivery, row.crate, row.unit) == (
            self.truck,
            self.crate,
            self.unit,
        )

    def test_a_correction_needs_its_reason(self):
        with pytest.raises(RefusedError, match="enter a reason"):
            self.find(words=words(could_be_seen=True))
        assert not Finding.objects.exists()

        row = self.find(
            words=words(could_be_seen=True, seen_reason="Hole in the board.")
        )
        assert row.could_be_seen
        assert not row.could_be_seen_derived
        assert row.could_be_seen_reason == "Hole in the board."

    def test_a_correction_that_agrees_keeps_no_reason(self):
        row = self.find(words=words(could_be_seen=False, seen_reason="Same."))
        assert row.could_be_seen_reason == ""

    def test_transit_damage_stops_the_machine_and_a_second_find_adds_no_hold(self):
        self.find()
        self.find()
        hold = Hold.objects.get()
        assert (hold.unit, hold.released_at) == (self.unit, None)

    def test_another_cause_stops_nothing(self):
        self.find(words=words(cause="manufacture"))
        assert not Hold.objects.exists()

    def test_transit_damage_to_a_crate_stops_every_machine_in_it(self):
        other = making.make_unit(crate=self.crate)
        self.find(subject=Subject(self.shipment, crate=self.crate))
        held = set(Hold.objects.values_list("unit_id", flat=True))
        assert held == {self.unit.pk, other.pk}

    def test_parts_and_kept_photos_are_laid_beside_it(self):
        photo = making.make_evidence(shipment=self.shipment, crate=self.crate)
        row = self.find(
            words=words(parts=(PartNeeded("deck shell", 1, "DS-48"),)), photos=[photo]
        )
        assert row.parts.get().part_number == "DS-48"
        assert list(row.photos.all()) == [photo]

    def test_a_photo_of_the_truck_itself_may_be_used(self):
        photo = making.make_evidence(delivery=self.truck)
        assert self.find(photos=[photo]).photos.count() == 1

    def test_a_photo_of_another_freight_bill_is_refused(self):
        photo = making.make_evidence(
            shipment=making.make_shipment(location=self.people.riverside)
        )
        with pytest.raises(RefusedError, match="another freight bill"):
            self.find(photos=[photo])
        assert not Finding.objects.exists()

    def test_a_safety_part_is_marked_by_its_name(self):
        assert self.find(words=words(part="ROPS")).is_safety_part
        assert self.find(words=words(is_safety_part=True)).is_safety_part
        assert not self.find(words=words(part="deck shell")).is_safety_part

    def test_the_event_tells_it_and_keeps_its_image(self):
        row = self.find(words=words(part="deck shell", repair_minutes=90))
        event = Event.objects.get(kind="finding.recorded")
        assert event.data["what"] == "deck shell, cracked"
        assert last_image_of(row)["repair_minutes"] == 90
        assert ("finding", str(row.pk)) in event.subjects.values_list("noun", "key")

    def test_a_short_count_stands_on_the_bill(self):
        row = self.find(
            subject=Subject(self.shipment),
            stage="count",
            words=words(damage_kind="short", pieces=2),
            crate_condition="",
        )
        assert (row.crate, row.unit, row.could_be_seen) == (None, None, True)
        assert row.inspection.crate_condition == ""


class ChangingTests(BenchCase):
    def change(self, row, **over):
        values = {
            "person": self.people.tomas,
            "at": AT,
            "finding": row,
            "version": row.version,
            "words": words(),
        }
        return change_finding(**{**values, **over})

    def test_a_change_counts_the_version_up_and_says_what_changed(self):
        row = self.change(self.find(), words=words(facts="Two cracks."))
        assert (row.version, row.facts) == (2, "Two cracks.")
        assert "facts" in Event.objects.get(kind="finding.changed").data["changed"]

    def test_a_stale_change_writes_nothing(self):
        row = self.find()
        with pytest.raises(StaleRowError):
            self.change(row, version=9, words=words(facts="Lost."))
        row.refresh_from_db()
        assert row.facts == "Cracked, 12 cm."

    def test_another_kind_of_damage_is_derived_anew(self):
        row = self.change(self.find(), words=words(damage_kind="indicator"))
        assert row.could_be_seen

    def test_a_part_that_stays_keeps_its_price(self):
        part = PartNeeded("deck shell", 1)
        row = self.find(words=words(parts=(part,)))
        row.parts.update(price_cents=5_000)
        row = self.change(row, words=words(parts=(part, PartNeeded("decal", 2))))
        assert list(row.parts.values_list("price_cents", flat=True)) == [5_000, None]

    def test_handling_here_is_never_written_away(self):
        row = self.find(words=words(cause="our-handling"))
        with pytest.raises(RefusedError, match="cannot be changed here"):
            self.change(row, words=words(cause="transit"))
        row.refresh_from_db()
        assert row.cause == "our-handling"

    def test_a_cause_that_becomes_transit_stops_the_machine(self):
        row = self.find(words=words(cause="unknown"))
        self.change(row, words=words(cause="transit"))
        assert Hold.objects.filter(unit=self.unit, released_at=None).exists()

    def test_photos_are_added_once(self):
        photo = making.make_evidence(shipment=self.shipment)
        row = self.find(photos=[photo])
        row = self.change(row, photos=[photo])
        assert row.photos.count() == 1


class DecidingTests(BenchCase):
    def decide(self, act, row, **over):
        values = {
            "person": self.people.mina,
            "at": AT,
            "finding": row,
            "version": row.version,
        }
        return act(**{**values, **over})

    def test_pricing_takes_the_locations_rate_and_tells_the_total(self):
        row = self.find(
            words=words(repair_minutes=90, parts=(PartNeeded("deck shell", 2),))
        )
        part = row.parts.get()
        row = self.decide(price_finding, row, prices=Prices({part.pk: 40_050}))
        assert row.rate_cents == 12_500
        assert row.parts.get().price_cents == 40_050
        told = Event.objects.get(kind="finding.priced").data["amount"]
        assert "988.50" in told  # 2 x 400.50 + 1.5 h x 125.00

    def test_another_findings_part_is_not_priced(self):
        other = self.find(words=words(parts=(PartNeeded("rim", 1),)))
        row = self.find()
        self.decide(price_finding, row, prices=Prices({other.parts.get().pk: 1}))
        assert other.parts.get().price_cents is None

    def test_hours_without_a_rate_have_no_price(self):
        self.people.riverside.shop_rate_cents = 0
        self.people.riverside.save()
        row = self.find(words=words(repair_minutes=30))
        with pytest.raises(RefusedError, match="no shop rate"):
            self.decide(price_finding, row, prices=Prices({}))

    def test_a_safety_part_is_never_repaired_by_price(self):
        row = self.find(words=words(part="ROPS"))
        for prices in (Prices({}), Prices({}, "instruction")):
            with self.subTest(prices), pytest.raises(RefusedError):
                self.decide(price_finding, row, prices=prices)
        row = self.decide(
            price_finding, row, prices=Prices({}, "instruction", "Letter 7 of March")
        )
        assert row.safety_basis == "instruction"

    def test_an_answer_stands_beside_the_technicians_word(self):
        row = self.find(words=words(cause="our-handling"))
        row = self.decide(
            answer_handling, row, answer="not-ours", reason="The camera shows it."
        )
        assert (row.cause, row.handling_answer) == ("our-handling", "not-ours")

    def test_nothing_is_answered_that_nobody_asked(self):
        with pytest.raises(RefusedError, match="not marked as our handling"):
            self.decide(answer_handling, self.find(), answer="ours", reason="So.")

    def test_what_stands_in_a_claim_is_not_answered_or_routed_out_of_it(self):
        row = self.find(words=words(cause="our-handling"))
        line = making.make_claim_line(making.make_claim(self.shipment), finding=row)
        for act, over in (
            (answer_handling, {"answer": "ours"}),
            (route_finding, {"route": "supplier-defect"}),
        ):
            with self.subTest(act), pytest.raises(RefusedError, match="Remove"):
                self.decide(act, row, reason="So.", **over)
        line.struck_reason = "Not ours to claim."
        line.save()
        assert self.decide(answer_handling, row, answer="ours", reason="So.").pk

    def test_a_route_keeps_its_reason(self):
        row = self.decide(
            route_finding, self.find(), route="cargo-insurance", reason="Too small."
        )
        assert (row.route, row.route_reason) == ("cargo-insurance", "Too small.")
        assert self.last_event().kind == "finding.routed"


class HoldTests(BenchCase):
    def release(self, hold, **over):
        values = {
            "hold": hold,
            "how": "inspected",
            "reason": "Their man was here on 11 March.",
            "person": self.people.mina,
            "at": AT,
        }
        return release_hold(**{**values, **over})

    def test_a_hold_is_placed_once(self):
        first = place_hold(
            unit=self.unit, reason="Waits.", person=self.people.tomas, at=AT
        )
        again = place_hold(
            unit=self.unit, reason="Waits.", person=self.people.tomas, at=AT
        )
        assert first == again
        assert Event.objects.filter(kind="hold.placed").count() == 1

    def test_an_inspection_releases(self):
        hold = self.release(making.make_hold(self.unit))
        assert (hold.released_at, hold.released_how) == (AT, "inspected")
        assert self.last_event().kind == "hold.released"

    def test_a_waiver_counts_only_when_it_is_kept(self):
        hold = making.make_hold(self.unit)
        with pytest.raises(RefusedError, match="waiver"):
            self.release(hold, how="waived")
        hold.refresh_from_db()
        assert hold.released_at is None

        making.make_evidence(shipment=self.shipment, kind="inspection-waiver")
        assert self.release(hold, how="waived").released_at

    def test_a_waiver_for_another_machine_does_not_count(self):
        other = making.make_unit(crate=self.crate)
        making.make_evidence(
            shipment=self.shipment, unit=other, kind="inspection-waiver"
        )
        with pytest.raises(RefusedError, match="waiver"):
            self.release(making.make_hold(self.unit), how="waived")

    def test_the_managers_own_release_needs_photos(self):
        hold = making.make_hold(self.unit)
        with pytest.raises(RefusedError, match="photos"):
            self.release(hold, how="manager")
        photo = making.make_evidence(shipment=self.shipment, unit=self.unit)
        assert self.release(hold, how="manager", evidence=[photo]).released_at

    def test_photos_of_the_machines_findings_count(self):
        making.attach_photo(self.find())
        hold = Hold.objects.get()
        assert self.release(hold, how="manager").released_at

    def test_a_hold_is_released_once(self):
        hold = self.release(making.make_hold(self.unit))
        with pytest.raises(RefusedError, match="already released"):
            self.release(hold)
