"""The plan of each kind of machine, and its places."""

import pytest

from claims.rules.bench.places import (
    PLACES,
    PLANS,
    in_order,
    place_words,
    plan_of,
    rows_of,
)
from claims.rules.bench.setup_lists import KINDS

KEYS = (
    "front rear left right top under left-front-wheel right-front-wheel "
    "left-rear-wheel right-rear-wheel left-wheel right-wheel engine hood seat "
    "controls rops deck deck-left deck-right auger chute handles bucket arms bed"
)


def test_every_kind_of_machine_has_a_plan_of_known_places():
    assert PLANS.keys() == KINDS.keys()
    for plan in PLANS.values():
        found = [key for row in plan for key in row]
        assert set(found) <= PLACES.keys()
        assert len(found) == len(set(found))
        assert "under" in found


def test_the_keys_are_stored_and_stay():
    assert PLACES.keys() == set(KEYS.split())


@pytest.mark.parametrize("kind", PLANS)
def test_left_is_left_on_every_plan(kind):
    for row in plan_of(kind):
        sides = [key for key in row if key.startswith(("left", "deck-left"))]
        others = [key for key in row if key.startswith(("right", "deck-right"))]
        assert len(sides) == len(others)
        for one, other in zip(sides, others, strict=True):
            assert row.index(one) < row.index(other)


def test_another_kind_has_the_general_plan():
    assert plan_of("hovercraft") == PLANS["general"]


def test_what_another_plan_marked_is_shown_in_a_row_of_its_own():
    assert rows_of("snow-thrower", ["deck", "engine"])[-1] == ("deck",)
    assert rows_of("snow-thrower", ["engine"]) == PLANS["snow-thrower"]


def test_places_are_said_in_the_order_of_the_list():
    assert in_order(["rops", "front", "nowhere", "rops"]) == ["front", "rops"]
    assert place_words(["rops", "left-front-wheel"]) == "left front wheel, ROPS"
    assert place_words([]) == ""
