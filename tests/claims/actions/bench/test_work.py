"""Minutes and tags: setup never reaches a claim; a part waits for its answer."""

from datetime import date

import pytest
from django.db import IntegrityError, transaction
from django.test import TestCase

from claims.actions.bench.minutes import book_minutes, reverse_minutes
from claims.actions.bench.part_tags import (
    collect_part,
    scrap_part,
    tag_part,
    waive_part,
)
from claims.models import BookedMinutes, PartTag
from claims.queries.bench.part_tags import tags_here, tags_joined, verdict_on
from claims.queries.core.facts import finding_cents, minutes_of
from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.models import Event
from tests import making
from tests.claims.stage import AT, claim_it, set_stage
from tests.people import cast

pytestmark = pytest.mark.database


class WorkCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.stage = set_stage(cls.people)

    def book(self, work, minutes, **over):
        finding = None if work == "setup" else self.stage.finding
        values = {
            "person": self.people.tomas,
            "at": AT,
            "unit": self.stage.unit,
            "finding": finding,
        }
        return book_minutes(work=work, minutes=minutes, **{**values, **over})


class MinutesTests(WorkCase):
    def cents(self):
        return finding_cents(self.stage.finding)

    def test_minutes_of_setup_never_reach_a_claim(self):
        before = self.cents()
        self.book("setup", 240)
        assert self.cents() == before
        line = claim_it(self.people, self.stage).lines.get()
        assert line.repair_cents == before

    def test_time_for_damage_reaches_it_at_the_shop_rate(self):
        before = self.cents()
        self.book("inspection", 30)
        self.book("tear-down", 60)
        assert self.cents() == before + 18_750  # 1.5 h at 125.00
        line = claim_it(self.people, self.stage).lines.get()
        assert line.repair_cents == before + 18_750

    def test_time_booked_for_the_repair_replaces_its_estimate(self):
        assert minutes_of(self.stage.finding) == 120
        self.book("repair", 90)
        self.book("repair", 15)
        self.book("re-test", 10)
        assert minutes_of(self.stage.finding) == 115

    def test_a_mistake_is_taken_back_and_both_rows_stay(self):
        self.book("inspection", 30)
        self.book("inspection", -30)
        assert minutes_of(self.stage.finding) == 120
        assert BookedMinutes.objects.count() == 2
        with pytest.raises(RefusedError, match="24 hours"):
            self.book("inspection", -1)

    def test_what_is_taken_back_whole_counts_no_more_and_both_rows_stay(self):
        before = self.cents()
        row = self.book("repair", 90)
        again = self.book("inspection", 30)
        back = self.back(row)
        assert (back.minutes, back.reverses, back.finding) == (-90, row, row.finding)
        assert minutes_of(self.stage.finding) == 120 + 30
        self.back(again)
        assert self.cents() == before
        assert BookedMinutes.objects.count() == 4
        event = Event.objects.filter(kind="minutes.reversed").first()
        assert event.data["reason"] == "Wrong machine."

    def test_it_is_taken_back_once_and_with_a_reason(self):
        row = self.book("setup", 90)
        with pytest.raises(RefusedError, match="Enter the reason"):
            self.back(row, reason=" ")
        back = self.back(row)
        for taken in (row, back):
            with self.subTest(taken), pytest.raises(RefusedError, match="already"):
                self.back(taken)
        with pytest.raises(IntegrityError), transaction.atomic():
            BookedMinutes.objects.bulk_create(
                [
                    BookedMinutes(
                        unit=row.unit,
                        work="setup",
                        minutes=-90,
                        reverses=row,
                        done_on=row.done_on,
                        booked_at=AT,
                        booked_by=row.booked_by,
                    )
                ]
            )

    def back(self, row, reason="Wrong machine."):
        return reverse_minutes(person=self.people.tomas, at=AT, row=row, reason=reason)

    def test_time_belongs_to_a_finding_of_this_machine(self):
        with pytest.raises(RefusedError, match="belongs to a finding"):
            self.book("repair", 30, finding=None)
        with pytest.raises(RefusedError, match="belongs to no finding"):
            self.book("setup", 30, finding=self.stage.finding)
        other = making.make_finding(unit=making.make_unit(self.stage.shipment))
        with pytest.raises(RefusedError, match="another machine"):
            self.book("repair", 30, finding=other)
        assert not BookedMinutes.objects.exists()

    def test_the_database_keeps_setup_out_of_every_finding(self):
        row = self.book("setup", 30)
        with pytest.raises(IntegrityError), transaction.atomic():
            BookedMinutes.objects.bulk_create(
                [
                    BookedMinutes(
                        unit=row.unit,
                        finding=self.stage.finding,
                        work="setup",
                        minutes=5,
                        done_on=row.done_on,
                        booked_at=AT,
                        booked_by=row.booked_by,
                    )
                ]
            )

    def test_it_is_in_the_history(self):
        self.book("repair", 90)
        event = Event.objects.get(kind="minutes.booked")
        assert event.data["work"] == "damage: repair"


class TagTests(WorkCase):
    def tag(self, **over):
        values = {
            "person": self.people.tomas,
            "at": AT,
            "finding": self.stage.finding,
            "part": "Deck shell",
            "shelf": "C4",
        }
        return tag_part(**{**values, **over})

    def step(self, act, tag, **more):
        tag.refresh_from_db()
        values = {"person": self.people.mina, "at": AT, "version": tag.version}
        return act(tag=tag, **{**values, **more})

    def waiver(self, **over):
        values = {"shipment": self.stage.shipment, "kind": "inspection-waiver"}
        return making.make_evidence(**{**values, **over})

    def test_tags_are_numbered_at_the_location(self):
        first, second = self.tag(), self.tag(part="Left hanger")
        assert (str(first), second.number) == ("Tag T-0001, Deck shell", 2)

    def test_a_part_is_not_scrapped_before_its_answer(self):
        tag = self.tag()
        with pytest.raises(RefusedError, match="in no claim yet"):
            self.step(scrap_part, tag)
        claim_it(self.people, self.stage)
        with pytest.raises(RefusedError, match="still open"):
            self.step(scrap_part, tag)
        tag.refresh_from_db()
        assert tag.scrapped_at is None

    def test_a_written_waiver_lets_it_go(self):
        tag = self.tag()
        self.step(waive_part, tag, waiver=self.waiver())
        assert self.step(scrap_part, tag).scrapped_at == AT
        event = Event.objects.get(kind="part.scrapped")
        assert event.data["why"] == "carrier waived it in writing"
        with pytest.raises(RefusedError, match="already scrapped"):
            self.step(scrap_part, tag)

    def test_only_the_carriers_waiver_for_this_bill_counts(self):
        tag = self.tag()
        for over in ({"kind": "damage"}, {"shipment": making.make_shipment()}):
            with self.subTest(over), pytest.raises(RefusedError, match="waiver"):
                self.step(waive_part, tag, waiver=self.waiver(**over))

    def test_a_closed_claim_lets_it_go(self):
        tag = self.tag()
        claim = claim_it(self.people, self.stage)
        for state, allowed in (("offered", False), ("settled", True)):
            type(claim).objects.filter(pk=claim.pk).update(state=state)
            assert verdict_on(tags_joined().get(pk=tag.pk)).allowed is allowed
        assert self.step(scrap_part, tag).scrapped_by == self.people.mina

    def test_a_withdrawn_claim_is_no_answer(self):
        tag = self.tag()
        claim = claim_it(self.people, self.stage)
        type(claim).objects.filter(pk=claim.pk).update(
            state="withdrawn", withdrawn_reason="Made twice."
        )
        assert not verdict_on(tags_joined().get(pk=tag.pk)).allowed

    def test_a_collected_part_is_not_here(self):
        tag = self.tag()
        self.step(collect_part, tag, on=date(2026, 3, 18), who="Lou Parr")
        assert tags_here(self.people.mina) == []
        for act, more in ((scrap_part, {}), (waive_part, {"waiver": self.waiver()})):
            with self.subTest(act), pytest.raises(RefusedError, match="not here"):
                self.step(act, tag, **more)

    def test_a_collector_is_named_and_a_stale_page_writes_nothing(self):
        tag = self.tag()
        with pytest.raises(RefusedError, match="Enter who"):
            self.step(collect_part, tag, on=date(2026, 3, 18), who=" ")
        self.step(waive_part, tag, waiver=self.waiver())
        with pytest.raises(StaleRowError):
            scrap_part(person=self.people.mina, at=AT, tag=tag, version=1)

    def test_a_part_has_a_name_and_a_shelf(self):
        for over in ({"part": " "}, {"shelf": ""}):
            with self.subTest(over), pytest.raises(RefusedError, match="shelf"):
                self.tag(**over)
        assert not PartTag.objects.exists()

    def test_the_list_puts_first_what_may_go_with_the_same_queries(self):
        tags = [self.tag(part=f"Part {number}") for number in range(6)]
        self.step(waive_part, tags[-1], waiver=self.waiver())
        rows = tags_here(self.people.mina)
        assert [row.verdict.allowed for row in rows] == [True] + [False] * 5
        assert rows[0].tag == tags[-1]
        with self.assertNumQueries(2):
            tags_here(self.people.mina)
        assert tags_here(self.people.nell) == []
