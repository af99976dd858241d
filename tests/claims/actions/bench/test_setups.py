"""The setup of a machine: begun, read, decided, signed off; nothing read is ever lost."""

from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest

from claims.actions.bench.line_decisions import decide_line, facts_of
from claims.actions.bench.line_readings import (
    ImplausibleError,
    LineTaken,
    read_line,
)
from claims.actions.bench.setup_lists import make_entry, make_list
from claims.actions.bench.setups import begin_setup
from claims.actions.bench.sign_offs import (
    release_unsigned,
    sign_off_setup,
)
from claims.models import (
    Deadline,
    Finding,
    Inspection,
    LineDecision,
    ModelEntry,
    SetupList,
    SetupReading,
    SignOff,
)
from claims.queries.bench.releases import releases_of
from claims.queries.bench.setups import setup_page
from claims.queries.bench.sign_offs import verdict_of
from claims.rules.bench.adjusting import Adjuster
from claims.rules.bench.entries import readings_from
from claims.rules.bench.setup_lists import RIDE_ON
from claims.rules.bench.sign_off import OpenItem
from claims.rules.bench.targets import Target
from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.models import Event, Hold, OpenWork
from inventory.rules.reckoning.quantities import parse_quantity
from tests import making
from tests.claims.actions.bench.test_bench_acts import AT, BenchCase, words
from tests.verifying import last_image_of

pytestmark = pytest.mark.database

PAGE = "Operator's manual 4821, page 31"
LATER = date(2026, 3, 20)
FOUR = {"left-front": "14", "right-front": "14", "left-rear": "10", "right-rear": "10"}
LEVEL = {"left": "3 3/4", "right": "3 3/4", "front": "3 3/4", "rear": "4"}
LINES = {line.key: line for line in RIDE_ON}


def target(line, rule, points, *, low="", high, unit):
    limits = [parse_quantity(one, unit) if one else None for one in (low, high)]
    return Target(line, rule, tuple(points), *limits, PAGE)


FRONT = target(
    "tires", "each", ["left-front", "right-front"], low="13", high="15", unit="psi"
)
REAR = target(
    "tires", "each", ["left-rear", "right-rear"], low="9", high="11", unit="psi"
)
ACROSS = target("deck-level", "apart", ["left", "right"], high="1/8", unit="in")
LINK = Adjuster(
    "deck-level",
    "left-link",
    "the left lift link",
    ("left",),
    "Turn the left link nut clockwise",
    "Turn the left link nut counterclockwise",
    raises=True,
    page=PAGE,
    per_turn=Fraction(1, 8),
)


class SetupCase(BenchCase):
    def begin(self, kind="ride-on-mower", **over):
        values = {"person": self.people.tomas, "at": AT, "unit": self.unit}
        return begin_setup(kind=kind, **{**values, **over})

    def entry(self, *targets, adjusters=(), **over):
        values = {
            "person": self.people.mina,
            "at": AT,
            "location": self.people.riverside,
            "model": self.unit.model,
            "kind": "ride-on-mower",
            "manual": "Operator's manual 4821",
            "targets": targets,
            "adjusters": adjusters,
        }
        return make_entry(**{**values, **over})

    def read(self, line, *, photos=(), unit=None, **taken):
        return read_line(
            person=self.people.tomas,
            at=AT,
            unit=unit or self.unit,
            taken=LineTaken(line, **taken),
            photos=photos,
        )

    def decide(self, line, decision, **over):
        values = {"person": self.people.tomas, "at": AT, "unit": self.unit}
        return decide_line(line=line, decision=decision, **{**values, **over})

    def photo(self):
        return making.make_evidence(shipment=self.shipment, unit=self.unit)

    def all_right(self, *but):
        """Read every line as right that is not read yet, those named left out."""
        read = set(SetupReading.objects.values_list("line", flat=True))
        for line in RIDE_ON:
            if line.key in read.union(but):
                continue
            asked = line.readings.points if line.readings else ()
            figure = {"tip": "3 3/4", "hours": "0.4"}.get(
                line.readings.measure if line.readings else "", "12"
            )
            if line.may_skip_reading:
                asked = ()
            self.read(line.key, result="right", readings=dict.fromkeys(asked, figure))

    def sign(self, *items):
        return sign_off_setup(
            person=self.people.tomas, at=AT, unit=self.unit, items=items
        )


class BeginningTests(SetupCase):
    def test_a_machine_takes_the_last_list_of_its_kind(self):
        setup = self.begin()
        assert setup.setup_list.number == 1
        assert setup.setup_list.rows == RIDE_ON
        assert Inspection.objects.get(stage="set-up").unit == self.unit
        event = self.last_event()
        assert event.kind == "setup.begun"
        assert {row.noun for row in event.subjects.all()} == {"shipment", "unit"}
        assert last_image_of(setup.setup_list)["kind"] == "ride-on-mower"
        assert last_image_of(setup)["unit_id"] == self.unit.pk

    def test_it_begins_once_with_one_list(self):
        self.begin()
        with pytest.raises(RefusedError, match="has begun"):
            self.begin()

    def test_a_machine_on_hold_is_not_set_up(self):
        making.make_hold(self.unit)
        with pytest.raises(RefusedError, match="on hold"):
            self.begin()
        assert not SetupList.objects.exists()

    def test_an_unknown_kind_is_refused(self):
        with pytest.raises(RefusedError, match="Choose the kind"):
            self.begin("airplane")

    def test_nothing_is_read_before_it_begins(self):
        with pytest.raises(RefusedError, match="has not begun"):
            self.read("keys", result="right")


class VersionTests(SetupCase):
    def make(self, lines, base=1, **over):
        values = {
            "person": self.people.mina,
            "at": AT,
            "location": self.people.riverside,
            "kind": "ride-on-mower",
            "reason": "We register for the buyer.",
        }
        return make_list(lines=lines, base=base, **{**values, **over})

    def shorter(self):
        return [line for line in RIDE_ON if line.key != "registration"]

    def test_a_machine_keeps_its_version_and_is_offered_the_newer(self):
        self.begin()
        self.read("keys", result="right")
        newer = self.make(self.shorter())
        page = setup_page(self.unit)
        assert (page.setup.setup_list.number, page.newer) == (1, newer)
        assert page.line("registration")

        self.begin()
        page = setup_page(self.unit)
        assert (page.setup.setup_list, page.newer) == (newer, None)
        assert page.line("registration") is None
        assert page.line("keys").last.result == "right"

    def test_a_list_edited_meanwhile_is_stale(self):
        self.make(self.shorter())
        with pytest.raises(StaleRowError):
            self.make(self.shorter())
        assert SetupList.objects.filter(kind="ride-on-mower").count() == 2

    def test_no_safety_line_is_dropped(self):
        with pytest.raises(RefusedError, match="safety line and must stay"):
            self.make([line for line in RIDE_ON if line.key != "interlocks"])


class ReadingTests(SetupCase):
    def setUp(self):
        self.begin()

    def test_readings_are_kept_as_typed_and_judged_by_the_entry(self):
        entry = self.entry(FRONT, REAR)
        row = self.read("tires", readings={**FOUR, "right-rear": "8 psi"})
        assert (row.result, row.judged, row.entry) == ("wrong", "off", entry)
        assert row.sentence.startswith("1 psi low at the right rear")
        stored = SetupReading.objects.get(pk=row.pk).readings
        assert stored[3] == {
            "point": "right-rear",
            "figure": "8",
            "unit": "psi",
            "text": "8 psi",
        }
        assert last_image_of(row)["judged"] == "off"

    def test_the_makers_figure_decides_against_the_button(self):
        self.entry(FRONT, REAR)
        row = self.read("tires", result="right", readings={**FOUR, "left-rear": "8"})
        assert row.result == "wrong"
        assert self.read("tires", readings=FOUR).result == "right"

    def test_what_is_in_range_may_still_be_called_not_right(self):
        self.entry(FRONT, REAR)
        row = self.read("tires", result="wrong", readings=FOUR, note="Sidewall cut.")
        assert row.result == "wrong"

    def test_without_a_target_a_person_decides(self):
        with pytest.raises(RefusedError, match="Only a reading with a target"):
            self.read("tires", readings=FOUR)
        row = self.read("tires", result="right", readings=FOUR)
        assert row.judged == "no-target"
        assert "No target on file" in row.sentence

    def test_an_implausible_reading_is_asked_about_once(self):
        for line, readings in (
            ("tires", {**FOUR, "left-front": "999"}),
            ("battery", {"before": "3.1", "after": "12.6"}),
            ("hours", {"only": "412"}),
        ):
            with self.subTest(line):
                with pytest.raises(ImplausibleError) as caught:
                    self.read(line, result="right", readings=readings)
                assert list(caught.value.doubts) == [next(iter(readings))]
                assert not SetupReading.objects.filter(line=line).exists()
                row = self.read(line, result="right", readings=readings, confirmed=True)
                assert row.result == "right"

    def test_what_is_no_reading_is_refused(self):
        with pytest.raises(RefusedError, match="Nothing was saved"):
            self.read("tires", result="right", readings={"left-front": "5//8"})
        with pytest.raises(RefusedError, match="no such reading"):
            self.read("tires", result="right", readings={"front": "14"})
        with pytest.raises(RefusedError, match="not on the machine's list"):
            self.read("auger", result="right")

    def test_the_deck_is_read_after_the_tires(self):
        with pytest.raises(RefusedError, match="is read after: Tires"):
            self.read("deck-level", result="right", readings=LEVEL)
        self.read("tires", result="right", readings=FOUR)
        assert self.read("deck-level", result="right", readings=LEVEL).pk

    def test_a_serial_that_differs_is_not_right(self):
        row = self.read("labels", result="right", serial="TX48-99999")
        assert row.result == "wrong"
        assert self.unit.serial in row.sentence
        assert self.read("labels", serial=self.unit.serial.lower()).result == "right"

    def test_an_engine_that_is_not_the_one_on_the_papers_is_said(self):
        assert (
            self.read("engine-serial", serial="E-1", result="right").result == "right"
        )
        self.unit.engine_serial = "E-1077"
        self.unit.save()
        row = self.read("engine-serial", result="right", serial="E-1771")
        assert row.result == "wrong"
        assert "The engine reads E-1771, the papers say E-1077." in row.sentence
        assert self.read("engine-serial", serial="e 1077").result == "right"

    def test_a_place_that_is_not_right_is_kept_in_order(self):
        row = self.read("deck", result="right", places=("under", "deck-left"))
        assert (row.result, row.places) == ("wrong", ["under", "deck-left"])

    def test_a_sign_of_damage_is_not_right(self):
        row = self.read("deck", result="right", signs=("bent",))
        assert (row.result, row.signs) == ("wrong", ["bent"])

    def test_photos_belong_to_this_bill(self):
        row = self.read("deck", result="wrong", photos=[self.photo()])
        assert row.photos.count() == 1
        with pytest.raises(RefusedError, match="another freight bill"):
            self.read("deck", result="wrong", photos=[making.make_evidence()])

    def test_a_hold_stops_the_readings(self):
        making.make_hold(self.unit)
        with pytest.raises(RefusedError, match="on hold"):
            self.read("keys", result="right")

    def test_an_entry_corrected_later_leaves_the_verdict_that_was_given(self):
        first = self.entry(FRONT, REAR)
        row = self.read("tires", readings=FOUR)
        second = self.entry(replace(FRONT, low=parse_quantity("20", "psi"), high=None))
        assert (second.number, ModelEntry.objects.count()) == (2, 2)
        row.refresh_from_db()
        assert (row.entry, row.judged) == (first, "right")

    def test_a_wrong_entry_is_refused_with_every_reason(self):
        with pytest.raises(RefusedError) as caught:
            self.entry(replace(FRONT, page=""), replace(ACROSS, points=("left",)))
        assert "page of the manual" in str(caught.value)
        assert "two readings to compare" in str(caught.value)


class DecidingTests(SetupCase):
    def setUp(self):
        self.begin()
        self.entry(FRONT, REAR, ACROSS, adjusters=[LINK])
        self.read("tires", readings=FOUR)

    def low(self, **more):
        return self.read("deck-level", readings={**LEVEL, "left": "3 1/2"}, **more)

    def test_an_adjustment_keeps_both_readings_and_files_nothing(self):
        first = self.low(photos=[self.photo()])
        self.decide("deck-level", "adjustment")
        second = self.read("deck-level", readings=LEVEL)
        assert (first.result, second.result) == ("wrong", "right")
        line = setup_page(self.unit).line("deck-level")
        assert line.readings == (first, second)
        assert (line.adjusted, line.state.undecided) == (1, False)
        assert not Finding.objects.exists()
        assert not Hold.objects.exists()
        assert not Deadline.objects.exists()

    def test_a_reading_and_a_photo_come_before_a_wrench(self):
        self.low()
        with pytest.raises(RefusedError, match="Save the photo as found first"):
            self.decide("deck-level", "adjustment")
        self.read("deck", result="wrong", photos=[self.photo()])
        with pytest.raises(RefusedError, match="Save the reading as found first"):
            self.decide("deck", "adjustment")

    def test_damage_becomes_a_finding_a_hold_and_a_clock(self):
        self.low(photos=[self.photo()])
        self.decide("deck-level", "ask")
        told = words(damage_kind="bent", cause="transit", part="left hanger")
        row = self.decide("deck-level", "damage", words=told)
        assert row.finding.photos.count() == 1
        assert row.finding.inspection.stage == "set-up"
        assert Hold.objects.filter(unit=self.unit, released_at=None).exists()
        duties = Deadline.objects.values_list("duty", flat=True)
        assert "concealed-notice" in set(duties)

    def test_an_adjustment_proves_to_be_damage_with_its_first_reading_intact(self):
        first = self.low(photos=[self.photo()])
        self.decide("deck-level", "adjustment")
        self.read("deck-level", readings=LEVEL)
        line = setup_page(self.unit).line("deck-level")
        told = words(damage_kind="bent", cause="transit", facts=facts_of(line))
        row = self.decide("deck-level", "damage", words=told)
        first.refresh_from_db()
        assert readings_from(first.readings)["left"].text == "3 1/2"
        assert "left 3 1/2 in" in row.finding.facts
        assert "Measured again" in row.finding.facts
        assert LineDecision.objects.count() == 2

    def test_damage_is_decided_even_on_hold_and_an_adjustment_is_not(self):
        self.low(photos=[self.photo()])
        making.make_hold(self.unit)
        with pytest.raises(RefusedError, match="on hold"):
            self.decide("deck-level", "adjustment")
        told = words(damage_kind="bent", cause="unknown")
        assert self.decide("deck-level", "damage", words=told).finding

    def test_what_is_right_or_recorded_is_not_decided_again(self):
        with pytest.raises(RefusedError, match="This line is right"):
            self.decide("tires", "damage", words=words())
        with pytest.raises(RefusedError, match="not inspected yet"):
            self.decide("keys", "ask")
        self.low()
        self.decide("deck-level", "damage", words=words(cause="unknown"))
        with pytest.raises(RefusedError, match="recorded as damage already"):
            self.decide("deck-level", "ask")
        assert Finding.objects.count() == 1

    def test_while_it_is_undecided_it_is_not_signed_off(self):
        self.low(photos=[self.photo()])
        state = setup_page(self.unit).line("deck-level").state
        assert state.undecided
        self.decide("deck-level", "ask")
        assert setup_page(self.unit).line("deck-level").state.undecided


class SigningTests(SetupCase):
    OPEN = ("registration", "interlocks", "keys", "tires", "deck-level", "tracking")
    """What one test or another leaves unread; the rest is read once for all."""

    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        case = cls()
        case.begin()
        case.all_right(*cls.OPEN)

    def item(self, line="registration", by=LATER):
        return OpenItem(line, "Waits for the buyer", "Tomas Reed", by)

    def test_a_complete_setup_releases_the_machine(self):
        assert releases_of([self.unit]) == {self.unit.pk: ""}
        self.all_right()
        row = self.sign()
        assert (row.state, row.items) == ("complete", [])
        assert len(row.lines) == len(RIDE_ON)
        assert releases_of([self.unit]) == {self.unit.pk: "complete"}
        assert self.last_event().kind == "setup.signed-off"
        with pytest.raises(RefusedError, match="signed off already"):
            self.sign()

    def test_one_named_item_stays_open_and_is_closed_later(self):
        self.all_right("registration")
        row = self.sign(self.item())
        assert row.state == "open-items"
        assert row.items == [
            {
                "line": "registration",
                "what": "Waits for the buyer",
                "who": "Tomas Reed",
                "by": "2026-03-20",
            }
        ]
        assert "Tomas Reed, by 2026-03-20" in self.last_event().data["items"]
        self.read("registration", result="right")
        assert self.sign().state == "complete"
        assert SignOff.objects.count() == 2

    def test_a_dead_seat_switch_is_refused(self):
        self.all_right("interlocks")
        dead = {"result": "wrong", "note": "Seat switch is dead"}
        self.read("interlocks", **dead, photos=[self.photo()])
        self.decide("interlocks", "adjustment")
        with pytest.raises(
            RefusedError, match=r"seat switch is dead.*cannot stay open"
        ):
            self.sign(self.item("interlocks"))
        assert not SignOff.objects.exists()

    def test_a_hold_is_one_of_the_reasons(self):
        self.all_right("keys")
        making.make_hold(self.unit)
        with pytest.raises(RefusedError, match=r"on hold.*Keys: not inspected"):
            self.sign()

    def test_readings_that_are_missing_refuse_it(self):
        self.all_right("tires", "deck-level", "tracking")
        self.read("tires", result="right", readings={"left-front": "14"})
        verdict = verdict_of(setup_page(self.unit), today=LATER)
        assert (
            "Tires: not read yet: right front, left rear, right rear."
            in verdict.reasons
        )

    def test_the_manager_releases_without_it_and_says_why(self):
        values = {"person": self.people.mina, "at": AT, "unit": self.unit}
        with pytest.raises(RefusedError, match="Enter the reason"):
            release_unsigned(reason=" ", **values)
        release_unsigned(reason="Goes to the training shop.", **values)
        assert releases_of([self.unit]) == {self.unit.pk: "manager"}
        assert self.last_event().kind == "setup.released"
        with pytest.raises(RefusedError, match="released already"):
            release_unsigned(reason="Again.", **values)


class FormerTests(SetupCase):
    def test_a_machine_set_up_before_was_released_then(self):
        making.make_inspection(unit=self.unit, stage="set-up", note="All right.")
        other = making.make_unit(self.shipment)
        assert releases_of([self.unit, other]) == {self.unit.pk: "before", other.pk: ""}

    def test_a_finding_at_setup_releases_nothing(self):
        self.find(stage="set-up")
        assert Inspection.objects.filter(stage="set-up").exists()
        assert releases_of([self.unit]) == {self.unit.pk: ""}
        assert OpenWork.keys("machine") == [self.unit.pk]

    def test_the_bench_keeps_what_is_not_released(self):
        def waits():
            return self.unit.pk in OpenWork.keys("machine")

        assert waits()
        making.make_inspection(unit=self.unit, stage="set-up", note="All right.")
        assert not waits()
        self.begin()
        assert waits()
        self.all_right()
        self.sign()
        assert not waits()

    def test_begun_again_it_needs_its_sign_off(self):
        making.make_inspection(unit=self.unit, stage="set-up", note="All right.")
        self.begin()
        assert releases_of([self.unit]) == {self.unit.pk: ""}

    def test_the_number_of_queries_is_the_same_for_many(self):
        units = [making.make_unit(self.shipment) for _ in range(20)]
        with self.assertNumQueries(3):
            releases_of(units)
        with self.assertNumQueries(3):
            releases_of(units[:1])

    def test_a_setup_is_read_with_the_same_number_of_queries(self):
        self.begin()
        for number in (1, 8):
            for line in RIDE_ON[:number]:
                self.read(line.key, result="right", photos=[self.photo()])
            with self.assertNumQueries(6):
                page = setup_page(self.unit)
                assert [row.state for row in page.lines]
        assert Event.objects.filter(kind="setup.line-read").count() == 9
