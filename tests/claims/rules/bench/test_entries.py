"""A model's entry reads back exactly as it was stored, and is refused where it is wrong."""

import json
from dataclasses import replace
from fractions import Fraction

import pytest

from claims.rules.bench.adjusting import Adjuster
from claims.rules.bench.entries import (
    adjuster_from,
    adjuster_record,
    model_key,
    readings_from,
    readings_record,
    readings_words,
    target_from,
    target_record,
    why_not_entry,
)
from claims.rules.bench.setup_lists import RIDE_ON
from claims.rules.bench.targets import Target
from inventory.rules.reckoning.quantities import parse_quantity

PAGE = "page 31"
LEVEL = Target(
    "deck-level", "apart", ("left", "right"), None, parse_quantity("1/8", "in"), PAGE
)
LINK = Adjuster(
    "deck-level", "link", "left link", ("left",), "Turn", "Back", True, PAGE,
    Fraction(1, 8),
)  # fmt: skip
PSI = parse_quantity("14", "psi")


def through_json(record):
    return json.loads(json.dumps(record))


@pytest.mark.parametrize("target", [LEVEL, replace(LEVEL, low=LEVEL.high, high=None)])
def test_a_target_reads_back_the_same(target):
    assert target_from(through_json(target_record(target))) == target


@pytest.mark.parametrize(
    "link", [LINK, replace(LINK, per_turn=None, travel=Fraction(1))]
)
def test_an_adjuster_reads_back_the_same(link):
    assert adjuster_from(through_json(adjuster_record(link))) == link


def test_readings_read_back_exactly_with_the_text_as_typed():
    readings = {
        "right": parse_quantity("419 mm", "in"),
        "left": parse_quantity('16-1/2"', "in"),
    }
    stored = through_json(readings_record(readings))
    assert [row["point"] for row in stored] == ["left", "right"]
    assert readings_from(stored) == readings
    assert readings_words(readings_from(stored)) == "left 16 1/2 in, right 419 mm"


def test_a_sole_reading_has_no_place():
    assert readings_words({"only": parse_quantity("12.6", "V")}) == "12.6 V"


def test_a_model_is_found_whatever_its_case_and_spaces():
    assert model_key(" zt  60 ") == model_key("ZT 60")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"page": " "}, "page of the manual"),
        ({"line": "keys"}, "no line with readings called keys"),
        ({"line": "nothing"}, "no line with readings"),
        ({"points": ("left-front", "right")}, "which readings it limits"),
        ({"rule": "luck"}, "which readings it limits"),
        ({"points": ("left",)}, "two readings to compare"),
        ({"rule": "lower", "points": ("left", "right", "front")}, "two readings"),
        ({"rule": "each", "points": ()}, "two readings"),
        ({"high": None}, "lowest or the highest"),
        ({"high": PSI}, "unit does not measure this"),
        ({"low": parse_quantity("1/4", "in")}, "above the highest"),
    ],
)
def test_what_is_wrong_with_a_target_is_said(change, said):
    found = why_not_entry(RIDE_ON, [replace(LEVEL, **change)], [])
    assert said in " ".join(found)
    assert why_not_entry(RIDE_ON, [LEVEL], [LINK]) == ()


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"points": ()}, "which readings it moves"),
        ({"points": ("left-front",)}, "which readings it moves"),
        ({"line": "keys"}, "which readings it moves"),
        ({"turn": " "}, "both ways"),
        ({"turn_back": ""}, "both ways"),
        ({"page": ""}, "page of the manual"),
    ],
)
def test_what_is_wrong_with_an_adjuster_is_said(change, said):
    assert said in " ".join(why_not_entry(RIDE_ON, [], [replace(LINK, **change)]))
