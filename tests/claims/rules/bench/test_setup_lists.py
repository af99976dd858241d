"""What a machine is asked at setup, and what nobody can take off its list."""

import json
from dataclasses import replace

import pytest

from claims.rules.bench.cautions import (
    BESIDE,
    BY_KEY,
    CAUTIONS,
    DEFERS,
    cautions_beside,
    cautions_for,
)
from claims.rules.bench.serials import compare_serial
from claims.rules.bench.setup_lists import (
    GENERAL,
    KINDS,
    RIDE_ON,
    SNOW_THROWER,
    as_records,
    from_records,
    why_not_version,
)

NAMED = {
    "loose-parts": "hardware bag",
    "keys": "keys",
    "manual": "manual",
    "labels": "serial plate",
    "engine-serial": "engine serial",
    "lug-nuts": "lug-nut torque",
    "oil": "oil filled",
    "belts": "belt routing",
    "interlocks": "safety switches",
    "decals": "safety decals",
    "guards": "shields",
    "recalls": "recalls and service bulletins",
    "tires": "let down from shipping pressure",
    "test-run": "test run",
    "fuel-left": "fuel drained or in it",
    "registration": "product registration",
}
RIDING = {
    "rops-bolts": "ROPS bolt torque",
    "purge": "hydro purge",
    "bypass": "hydro bypass levers closed",
    "lap-bars": "lap-bar alignment",
    "tracking": "creep and tracking",
    "blade-stop": "blade stop time",
    "deck-level": "deck level",
}


def by_key(lines):
    return {line.key: line for line in lines}


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_has_a_sound_list(kind):
    assert why_not_version(kind, KINDS[kind].lines) == ()
    assert KINDS[kind].label


def test_the_general_list_and_the_one_for_ride_on_mowers_cover_what_is_usual():
    assert NAMED.keys() <= by_key(GENERAL).keys()
    assert NAMED.keys() | RIDING.keys() <= by_key(RIDE_ON).keys()


def test_a_kind_without_a_list_of_its_own_uses_the_general_one():
    assert {KINDS[key].lines for key in ("tractor", "loader", "general")} == {GENERAL}


def test_a_snow_thrower_is_never_asked_what_it_does_not_have():
    words = " ".join(f"{one.label} {one.hint}" for one in SNOW_THROWER).lower()
    for word in ("rops", "roll bar", "seat belt", "lap-bar", "mower", "deck"):
        assert word not in words
    assert by_key(SNOW_THROWER)["tires"].readings.points == ("left", "right")
    assert by_key(RIDE_ON)["tires"].readings.points == (
        "left-front",
        "right-front",
        "left-rear",
        "right-rear",
    )


def test_what_was_asked_before_is_still_asked_under_its_key():
    former = (
        "tires battery deck oil hydraulics coolant fuel blades belts rops controls "
        "brakes interlocks lights hours"
    )
    assert set(former.split()) <= by_key(GENERAL).keys()


@pytest.mark.parametrize(
    ("lines", "keys"),
    [
        (
            RIDE_ON,
            "brakes controls interlocks rops rops-bolts guards blades fuel decals "
            "recalls blade-stop",
        ),
        (SNOW_THROWER, "controls interlocks guards auger fuel decals recalls"),
        (
            GENERAL,
            "brakes controls interlocks rops rops-bolts guards blades fuel decals "
            "recalls",
        ),
    ],
)
def test_what_keeps_people_safe_can_never_stay_open(lines, keys):
    assert {line.key for line in lines if line.never_open} == set(keys.split())


def test_the_deck_is_read_after_the_tires_and_the_tires_are_let_down():
    assert by_key(RIDE_ON)["deck-level"].after == ("tires",)
    order = [line.key for line in RIDE_ON]
    for line in RIDE_ON:
        assert all(order.index(key) < order.index(line.key) for key in line.after)
    assert "shipping pressure" in by_key(RIDE_ON)["tires"].hint


@pytest.mark.parametrize("kind", KINDS)
def test_a_stored_version_reads_back_the_same(kind):
    lines = KINDS[kind].lines
    assert from_records(json.loads(json.dumps(as_records(lines)))) == lines


class TestVersions:
    def test_a_manager_may_reword_move_add_and_drop(self):
        added = replace(RIDE_ON[0], key="own-1", label="Mirror", hint="Fitted?")
        kept = [line for line in reversed(RIDE_ON) if line.key != "registration"]
        assert why_not_version("ride-on-mower", [added, *kept]) == ()

    @pytest.mark.parametrize(
        "key", sorted(line.key for line in RIDE_ON if line.never_open)
    )
    def test_no_safety_line_is_dropped(self, key):
        kept = [line for line in RIDE_ON if line.key != key]
        reasons = why_not_version("ride-on-mower", kept)
        label = by_key(RIDE_ON)[key].label
        assert reasons[0] == f"{label} is a safety line and must stay."

    @pytest.mark.parametrize(
        ("change", "reason"),
        [
            ({"never_open": False}, "must stay a safety line"),
            ({"always": False}, "cannot become N/A"),
            ({"label": " "}, "no words"),
            ({"caution": "luck"}, "no such caution"),
            ({"after": ("nothing",)}, "not on the list"),
            ({"key": "keys"}, "there twice"),
        ],
    )
    def test_what_is_wrong_with_a_version_is_said(self, change, reason):
        lines = [
            replace(line, **change) if line.key == "interlocks" else line
            for line in RIDE_ON
        ]
        assert any(reason in one for one in why_not_version("ride-on-mower", lines))

    def test_an_empty_list_is_none(self):
        assert "The list is empty." in why_not_version("general", [])


class TestCautions:
    @pytest.mark.parametrize("kind", KINDS)
    def test_a_caution_is_there_where_the_hand_is(self, kind):
        cautions = {line.key: line.caution for line in KINDS[kind].lines}
        wanted = {
            "tires": "tires",
            "battery": "batteries",
            "battery-pack": "lithium",
            "blades": "blades",
            "deck-level": "blades",
            "fuel": "fuel",
            "hydraulics": "hydraulics",
            "oil": "hot",
            "test-run": "test-run",
            "lug-nuts": "jack",
            "auger": "augers",
        }
        for key, caution in wanted.items():
            assert cautions.get(key, caution) == caution

    @pytest.mark.parametrize(
        ("line", "wanted"),
        [
            ("auger", "augers jack"),
            ("battery", "batteries lithium"),
            ("battery-pack", "lithium"),
            ("belts", "blades jack"),
            ("blade-stop", "blades test-run"),
            ("blades", "blades jack"),
            ("brakes", "test-run"),
            ("chute", "augers"),
            ("coolant", "hot"),
            ("deck", "blades jack lifting"),
            ("deck-level", "blades jack"),
            ("drive", "augers test-run"),
            ("fuel", "fuel"),
            ("fuel-left", "fuel hot"),
            ("hydraulics", "hydraulics hot"),
            ("interlocks", "test-run"),
            ("lug-nuts", "jack lifting"),
            ("oil", "hot"),
            ("purge", "jack hydraulics"),
            ("rops-bolts", "lifting"),
            ("shoes", "augers"),
            ("test-run", "test-run hot fuel"),
            ("tires", "tires"),
            ("tracking", "test-run"),
        ],
    )
    def test_each_line_has_its_cautions_beside_it(self, line, wanted):
        found = [one for kind in KINDS.values() for one in kind.lines]
        same = [one for one in found if one.key == line]
        assert same
        for one in same:
            shown = [caution.key for caution in cautions_beside(one)]
            assert shown == wanted.split()

    def test_what_is_beside_a_line_is_a_caution_of_a_line(self):
        lines = {one.key for kind in KINDS.values() for one in kind.lines}
        assert BESIDE.keys() <= lines
        assert {key for keys in BESIDE.values() for key in keys} <= BY_KEY.keys()

    @pytest.mark.parametrize(
        ("key", "words"),
        [
            ("blades", "gloves engine off key out disconnected"),
            ("tires", "sidewall maximum bead clip-on tread manual"),
            ("batteries", "tool across terminals negative frozen cracked"),
            (
                "lithium",
                "wet dented swollen hissing hot charge move ship people emergency "
                "manager maker 173.185(f) memory",
            ),
            ("straps", "tension eye protection gloves"),
            ("nails", "staples"),
            ("lifting", "helper"),
            ("jack", "rated stands chocked nobody under deck lift"),
            ("test-run", "outdoors exhaust rops belt"),
            ("hydraulics", "never feel hand"),
            ("hot", "muffler cool"),
            ("fuel", "flames sparks indoors"),
            ("truck-leak", "people flames carrier emergency shipping"),
        ],
    )
    def test_each_says_what_it_must(self, key, words):
        sentence = f"{BY_KEY[key].about} {BY_KEY[key].sentence}".lower()
        assert [word for word in words.split() if word not in sentence] == []

    def test_they_defer_to_the_maker_and_to_local_rules(self):
        assert "maker's manual" in DEFERS
        assert "local law" in DEFERS

    def test_a_leak_at_the_truck_is_for_the_dock_alone(self):
        assert [one.key for one in cautions_for("tailgate")] == ["truck-leak"]
        assert len(BY_KEY) == len(CAUTIONS)


@pytest.mark.parametrize(
    ("read", "listed", "same", "said"),
    [
        ("CB60A02217", "CB60A02217", True, "Matches"),
        ("cb60 a-02217", "CB60A02217", True, "Matches"),
        ("CB60A02217", "", True, "None was listed"),
        ("CB60A02271", "CB60A02217", False, "the papers say CB60A02217"),
        ("CB6OA02217", "CB60A02217", False, "look alike"),
    ],
)
def test_a_serial_is_compared_with_the_listed_one(read, listed, same, said):
    found, sentence = compare_serial(read, listed)
    assert found is same
    assert said in sentence
    assert ("look alike" in sentence) is (said == "look alike")
