"""A machine's setup on its pages: three mowers, from the first line to the sign-off."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils.html import escape

from claims.actions.bench.setup_lists import make_entry
from claims.models import (
    Deadline,
    Finding,
    LineDecision,
    ModelEntry,
    SetupReading,
    SignOff,
)
from claims.rules.bench.cautions import cautions_beside, cautions_for
from claims.rules.bench.setup_lists import RIDE_ON, SNOW_THROWER
from inventory.models import Hold
from inventory.views.core.clock import today_at
from tests import making
from tests.claims.actions.bench.test_bench_acts import AT
from tests.claims.actions.bench.test_setups import ACROSS, FRONT, LINK, REAR
from tests.claims.test_unopened import make_deadline
from tests.claims.views.bench.test_bench import BenchPages, photo
from tests.prepared_once import PreparedOnce

pytestmark = pytest.mark.database

NO_PARTS = {"parts-TOTAL_FORMS": "0", "parts-INITIAL_FORMS": "0"}
TIRES = {
    "reading_left-front": "14",
    "reading_right-front": "14",
    "reading_left-rear": "10",
    "reading_right-rear": "10",
}
LEVEL = {
    "reading_left": "3 3/4",
    "reading_right": "3¾",
    "reading_front": '3-3/4"',
    "reading_rear": "4",
}


class SetupPages(PreparedOnce, BenchPages):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.prepare_class()

    def prepare_once(self):
        make_entry(
            person=self.people.mina,
            at=AT,
            location=self.people.riverside,
            model=self.unit.model,
            kind="ride-on-mower",
            manual="Operator's manual 4821",
            targets=[FRONT, REAR, ACROSS],
            adjusters=[LINK],
        )

    def page(self, name, *more, who="tomas", unit=None):
        unit = unit or self.unit
        return self.as_(who).get(self.url(name, unit.pk, *more))

    def send(self, name, *more, who="tomas", unit=None, **data):
        unit = unit or self.unit
        return self.as_(who).post(self.url(name, unit.pk, *more), data)

    def begin(self, kind="ride-on-mower", **more):
        return self.send("begin_setup", kind=kind, **more)

    def read(self, line, **data):
        return self.send("read_line", line, **data)

    def rest_right(self, *but):
        """Read every line that is left as right."""
        setup = self.unit.setups.get()
        done = set(SetupReading.objects.values_list("line", flat=True))
        for line in RIDE_ON:
            if line.key in done or line.key in but:
                continue
            readings = [
                {
                    "point": point,
                    "figure": "12",
                    "unit": line.readings.unit,
                    "text": "12",
                }
                for point in (line.readings.points if line.readings else ())
            ]
            making.make_setup_reading(setup, line=line.key, readings=readings)


class FirstMower(SetupPages):
    def test_a_bent_hanger_is_damage_with_a_hold_and_a_clock(self):
        self.assertRedirects(self.page("setup"), self.url("begin_setup", self.unit.pk))
        assert (
            self.page("begin_setup").context["form"]["kind"].value() == "ride-on-mower"
        )
        self.assertRedirects(self.begin(), self.url("setup", self.unit.pk))
        self.assertContains(self.page("setup"), "0 of 34 done")
        self.read("tires", **TIRES)

        answer = self.read(
            "deck-level",
            **{**LEVEL, "reading_left": "3 1/2"},
            signs="bent",
            places="deck-left",
            note="Left hanger bent.",
            photos=photo(),
        )
        decide = self.url("decide_line", self.unit.pk, "deck-level")
        self.assertRedirects(answer, decide)
        page = self.page("decide_line", "deck-level")
        self.assertContains(page, "Looks like damage")
        self.assertContains(page, "Bent: that is not put right by an adjustment.")

        form = self.page("record_damage", "deck-level").context["form"]
        assert form["part"].value() == "Deck level"
        assert form["damage_kind"].value() == "bent"
        assert form["places"].value() == ["deck-left"]
        assert "faces" not in form.fields
        assert "left 3 1/2 in" in form["facts"].value()
        self.send(
            "record_damage",
            "deck-level",
            part="Left deck hanger",
            damage_kind="bent",
            places="deck-left",
            severity="severe",
            facts=form["facts"].value(),
            cause="transit",
            **NO_PARTS,
        )
        finding = Finding.objects.get()
        assert finding.photos.count() == 1
        assert finding.places == ["deck-left"]
        assert Hold.objects.get().unit == self.unit
        duties = set(Deadline.objects.values_list("duty", flat=True))
        assert "concealed-notice" in duties

        answer = self.read("keys", result="right")
        assert "on hold" in self.errors(answer)["__all__"]
        page = self.page("setup")
        self.assertContains(page, "Not now.")
        self.assertNotContains(page, self.url("release_unsigned", self.unit.pk))


class SecondMower(SetupPages):
    def test_a_notice_whose_last_safe_day_is_over_is_called_late(self):
        self.begin()
        self.read("tires", **TIRES)
        self.read("deck-level", **LEVEL | {"reading_left": "3 1/2"})
        today = today_at(self.unit.shipment.location)
        make_deadline(self.unit.crate, safe=today)
        running = self.page("decide_line", "deck-level")
        make_deadline(self.unit.crate, safe=today - timedelta(days=1))
        late = self.page("decide_line", "deck-level")

        self.assertContains(running, "the carrier must be notified by")
        self.assertContains(late, "the last safe day to notify the carrier was")
        self.assertNotContains(late, "must be notified by")

    def test_an_adjustment_keeps_the_first_and_the_second_reading(self):
        self.begin()
        self.read("tires", **TIRES)
        low = {**LEVEL, "reading_left": "3 1/2"}
        self.read("deck-level", **low)
        page = self.page("decide_line", "deck-level")
        self.assertContains(page, "Looks like an adjustment")
        self.assertContains(page, "Turn the left link nut clockwise by 2 turns")
        self.assertContains(page, "Before a wrench touches it")

        answer = self.send("decide_line", "deck-level", decision="adjustment")
        assert "photo as found first" in self.errors(answer)["__all__"]
        self.read("deck-level", **low, photos=photo())
        self.send("decide_line", "deck-level", decision="adjustment")
        self.read("deck-level", **LEVEL)

        texts = [
            row.readings[0]["text"]
            for row in SetupReading.objects.filter(line="deck-level").order_by("pk")
        ]
        assert texts == ["3 1/2", "3 1/2", "3 3/4"]
        assert LineDecision.objects.get().decision == "adjustment"
        assert not Finding.objects.exists()
        assert not Hold.objects.exists()
        self.assertContains(self.page("read_line", "deck-level"), "left 3 1/2 in")

    def test_without_an_entry_no_target_and_no_direction_is_said(self):
        bare = making.make_unit(crate=self.crate, model="Oddment 9")
        self.begin(unit=bare)
        self.send("read_line", "tires", unit=bare, result="right", **TIRES)
        low = {**LEVEL, "reading_left": "3 1/2", "result": "wrong"}
        self.send("read_line", "deck-level", unit=bare, **low)
        page = self.page("decide_line", "deck-level", unit=bare).content.decode()
        assert "1/2 in apart: lowest at the left" in page
        assert "No target on file" in page
        assert "clockwise" not in page
        assert "Turn " not in page


class ThirdMower(SetupPages):
    def prepare_once(self):
        super().prepare_once()
        self.begin()

    def sign(self, **data):
        return self.send("sign_off_setup", **data)

    def test_it_is_signed_off_with_one_named_open_item(self):
        self.rest_right("registration")
        day = today_at(self.people.riverside).isoformat()
        page = self.page("sign_off_setup")
        self.assertContains(page, "Product registration: not inspected")
        assert [line.key for line in page.context["form"].lines] == ["registration"]
        answer = self.sign(who_registration="Tomas Brandt")
        assert self.errors(answer)["by_registration"] == "Enter a day."
        assert "registration: not inspected" in self.errors(self.sign())["__all__"]

        self.sign(
            who_registration="Tomas Brandt",
            by_registration=day,
            what_registration="Buyer",
        )
        row = SignOff.objects.get()
        assert (row.state, row.items[0]["who"]) == ("open-items", "Tomas Brandt")
        self.assertContains(self.page("setup"), "Complete, with open items")
        self.assertNotContains(self.desk(), "Setup, 34")

    def desk(self):
        return self.as_("tomas").get(self.url("bench"))

    def test_it_is_refused_for_a_dead_seat_switch(self):
        self.rest_right("interlocks")
        self.read(
            "interlocks", result="wrong", note="Seat switch is dead.", photos=photo()
        )
        self.send("decide_line", "interlocks", decision="adjustment")
        page = self.page("sign_off_setup")
        self.assertContains(page, "not right (seat switch is dead)")
        self.assertContains(page, "cannot stay open")
        assert page.context["form"].lines == ()
        assert "cannot stay open" in self.errors(self.sign())["__all__"]
        assert not SignOff.objects.exists()

    def test_the_manager_alone_releases_without_it(self):
        assert self.page("release_unsigned").status_code == 403
        self.send("release_unsigned", who="mina", reason="Training shop.")
        assert SignOff.objects.get().reason == "Training shop."
        self.assertContains(self.page("setup"), "Training shop.")


class LinePages(SetupPages):
    def prepare_once(self):
        super().prepare_once()
        self.begin()

    def test_an_implausible_reading_is_asked_about_once(self):
        typed = {**TIRES, "reading_left-front": "999"}
        answer = self.read("tires", **typed)
        found = self.errors(answer)
        assert "Usual is 6.5 to 30 psi" in found["reading_left-front"]
        assert "Nothing was saved yet" in found["__all__"]
        self.assertContains(answer, 'name="confirmed"', status_code=422)
        self.assertContains(answer, 'value="999"', status_code=422)
        assert not SetupReading.objects.exists()

        self.read("tires", **typed, confirmed="on")
        row = SetupReading.objects.get()
        assert (row.result, row.readings[0]["text"]) == ("wrong", "999")

    def test_a_setting_is_set_and_read_again_without_a_decision(self):
        answer = self.read("tires", **{**TIRES, "reading_right-rear": "8"})
        again = self.url("read_line", self.unit.pk, "tires")
        self.assertRedirects(answer, again)
        page = self.as_("tomas").get(again)
        self.assertContains(page, "lowest allowed is 9 psi")
        self.assertContains(page, "Read 8 psi: 1 psi low.")
        self.assertContains(page, 'class="wheel off"', count=1)
        form = page.context["form"]
        assert form["reading_left-rear"].value() == "10 psi"
        assert form["reading_right-rear"].value() is None
        self.rest_right("tires")
        self.assertContains(
            self.page("sign_off_setup"), "Tires: not right (1 psi low at the right rear"
        )
        self.read("tires", **TIRES)
        self.assertContains(self.page("sign_off_setup"), "Every line is right")

    def test_a_setting_with_a_sign_of_damage_is_decided(self):
        answer = self.read(
            "tires", **{**TIRES, "reading_right-rear": "8"}, signs="leaking"
        )
        self.assertRedirects(answer, self.url("decide_line", self.unit.pk, "tires"))

    def test_the_box_is_there_only_where_it_is_asked(self):
        self.assertNotContains(self.page("read_line", "tires"), 'name="confirmed"')

    def test_bad_input_says_what_to_write(self):
        for data, field, sentence in (
            ({}, "__all__", "Choose right, not right or N/A"),
            ({"reading_left-front": "5//8"}, "reading_left-front", "Enter it like"),
            ({"reading_left-front": "14 in"}, "reading_left-front", "does not measure"),
            ({"reading_left-front": "-3"}, "reading_left-front", "Enter it like"),
            ({"reading_left-front": "9" * 50}, "reading_left-front", "Shorten this"),
            ({"result": "maybe"}, "result", "Choose one of those listed"),
            ({"result": "wrong", "signs": "gone"}, "signs", "Select a valid choice"),
            ({"result": "wrong", "note": "x" * 1001}, "note", "Shorten this to 1,000"),
        ):
            with self.subTest(data=str(data)[:40]):
                assert sentence in self.errors(self.read("tires", **data))[field]
        assert not SetupReading.objects.exists()

    def test_the_cautions_stand_open_before_the_first_field_of_their_line(self):
        for line in RIDE_ON:
            page = self.page("read_line", line.key).content.decode()
            before = page[: page.index("<form", page.index("page-head"))]
            for caution in cautions_beside(line):
                with self.subTest(line=line.key, caution=caution.key):
                    at = before.index(escape(caution.sentence))
                    folds = before[:at]
                    assert folds.count("<details") == folds.count("</details>")
            assert ("follow the maker" in before) is bool(cautions_beside(line))

    def test_the_cautions_of_opening_stand_open_too(self):
        for name, args in (
            ("open_crate", [self.closed.pk]),
            ("inspect_unit", [self.unit.pk, "uncrating"]),
        ):
            page = self.as_("tomas").get(self.url(name, *args)).content.decode()
            for caution in cautions_for("uncrating"):
                with self.subTest(name=name, caution=caution.key):
                    folds = page[: page.index(escape(caution.sentence))]
                    assert folds.count("<details") == folds.count("</details>")

    def test_targets_are_shown_with_their_page(self):
        self.assertContains(
            self.page("read_line", "tires"),
            "Left front and right front: 13 psi to 15 psi (Operator&#x27;s manual 4821",
        )

    def test_a_safety_line_has_no_way_out(self):
        self.assertNotContains(self.page("read_line", "interlocks"), 'value="absent"')
        self.assertContains(self.page("read_line", "rops"), 'value="absent"')

    def test_an_unknown_line_or_machine_is_not_found(self):
        assert self.page("read_line", "auger").status_code == 404
        other = making.make_unit(crate=self.crate)
        assert self.page("read_line", "keys", unit=other).status_code == 404
        assert self.page("sign_off_setup", unit=other).status_code == 404

    def test_a_snow_thrower_is_not_asked_about_a_roll_bar(self):
        thrower = making.make_unit(crate=self.crate, model="Snow 30")
        self.begin("snow-thrower", unit=thrower)
        page = self.page("setup", unit=thrower).content.decode()
        assert f"0 of {len(SNOW_THROWER)} done" in page
        assert "ROPS" not in page
        assert self.page("read_line", "rops", unit=thrower).status_code == 404

    def test_a_newer_list_is_offered_and_not_forced(self):
        making.make_setup_list(number=2)
        page = self.page("setup")
        self.assertContains(page, "this machine keeps version 1")
        self.assertContains(page, "Take version 2")
        self.begin()
        self.assertNotContains(self.page("setup"), "Take version")

    @pytest.mark.slow
    def test_the_pages_ask_the_same_queries_at_one_line_and_at_twenty(self):
        counts = []
        for number in (1, 20):
            self.rest_right(*[line.key for line in RIDE_ON[number:]])
            counts.append([self.count(*where) for where in self.places()])
        assert counts[0] == counts[1]

    def places(self):
        return [("setup",), ("read_line", "keys"), ("sign_off_setup",)]

    def count(self, name, *more):
        self.page(name, *more)
        with CaptureQueriesContext(connection) as queries:
            self.page(name, *more)
        return len(queries)


class ModelEntries(SetupPages):
    """The maker's figures are entered by the manager, from a machine of the model."""

    GOOD = {
        "kind": "ride-on-mower",
        "manual": "Operator's manual 4821",
        "target-TOTAL_FORMS": "2",
        "target-INITIAL_FORMS": "0",
        "target-0-limit": "tires|each|left-front,right-front",
        "target-0-low": "19",
        "target-0-high": "21 psi",
        "target-0-page": "page 31",
        "target-1-limit": "deck-level|lower|front,rear",
        "target-1-low": "¼",
        "target-1-high": "3/8",
        "target-1-page": "page 40",
        "adjuster-TOTAL_FORMS": "1",
        "adjuster-INITIAL_FORMS": "0",
        "adjuster-0-moves": "deck-level|front",
        "adjuster-0-name": "front hanger",
        "adjuster-0-turn": "Lengthen the front hanger",
        "adjuster-0-way": "lowers",
        "adjuster-0-turn_back": "Shorten the front hanger",
        "adjuster-0-per_turn": "1/16",
        "adjuster-0-page": "page 40",
    }

    def enter(self, who="mina", **over):
        return self.send("enter_model", who=who, **{**self.GOOD, **over})

    def test_what_is_entered_judges_the_next_reading(self):
        self.begin()
        self.assertRedirects(self.enter(), self.url("setup", self.unit.pk))
        answer = self.read("tires", **TIRES)
        assert answer.url == self.url("read_line", self.unit.pk, "tires")
        row = SetupReading.objects.get()
        assert row.entry.number == 2
        assert row.sentence.startswith("5 psi low at the left front")
        self.assertContains(
            self.page("read_line", "deck-level"),
            "Front against rear: 1/4 in to 3/8 in lower (page 40).",
        )

    def test_the_form_shows_what_counts_now(self):
        self.enter()
        form = self.page("enter_model", who="mina").context["form"]
        assert form["manual"].value() == "Operator's manual 4821"
        first = form.line_sets["target"].forms[0]
        assert (first["low"].value(), first["page"].value()) == ("19 psi", "page 31")
        first = form.line_sets["adjuster"].forms[0]
        assert (first["way"].value(), first["per_turn"].value()) == (
            "lowers",
            "1/16 in",
        )

    def test_only_the_manager_enters_it(self):
        assert self.enter(who="tomas").status_code == 403

    def test_bad_input_says_what_to_enter(self):
        for over, sentence in (
            ({"target-0-page": ""}, "Enter it."),
            ({"target-0-limit": ""}, "Choose what it limits."),
            ({"target-0-low": "5//8"}, "Enter it like"),
            ({"target-0-low": "19 in"}, "does not measure this"),
            ({"target-0-low": "22"}, "above the highest"),
            ({"target-0-low": "", "target-0-high": ""}, "lowest or the highest"),
            ({"adjuster-0-turn_back": ""}, "Enter the other way."),
            ({"kind": "tractor"}, "no line with readings called deck-level"),
            ({"manual": ""}, "manual"),
        ):
            with self.subTest(over):
                answer = self.enter(**over)
                self.assertContains(answer, sentence, status_code=422)
        assert ModelEntry.objects.count() == 1


class HeldMachines(SetupPages):
    def test_only_who_may_release_it_is_offered_to(self):
        hold = making.make_hold(self.unit)
        release = self.url("release_hold", hold.pk)
        for name in ("unit", "setup", "bench"):
            with self.subTest(name):
                args = [] if name == "bench" else [self.unit.pk]
                page = self.as_("tomas").get(self.url(name, *args), follow=True)
                self.assertNotContains(page, release)
        page = self.as_("tomas").get(self.url("unit", self.unit.pk))
        self.assertContains(page, "To release it, ask Mina Okoro.")
        page = self.as_("mina").get(self.url("unit", self.unit.pk))
        self.assertContains(page, release)

    def test_a_finding_leads_back_to_the_bench(self):
        finding = making.make_finding(unit=self.unit)
        page = self.as_("tomas").get(self.url("finding", finding.pk))
        self.assertContains(page, f'<a href="{self.url("bench")}">Bench</a>')


class FormerMachines(SetupPages):
    def test_a_machine_set_up_before_says_so(self):
        making.make_inspection(
            unit=self.unit,
            stage="set-up",
            note="All right.",
            looked_on=date(2026, 3, 11),
        )
        self.assertContains(self.page("setup"), "Released before sign-off existed")

    def test_thirty_nine_crates_leave_the_first_screen_to_the_technician(self):
        for number in range(39):
            crate = making.make_crate(
                self.shipment, delivery=self.truck, mark=f"HT-{number:02d}"
            )
            making.make_unit(crate=crate)
        self.begin()
        page = self.as_("tomas").get(self.url("bench")).content.decode()
        assert page.index(self.url("setup", self.unit.pk)) < page.index("Open today")
        assert "Setup, 0 of 34 done" in page
        assert page.index("Serial or crate mark") < page.index("Yours: 1")
        assert page.index("Yours: 1") < page.index("HT-00")
