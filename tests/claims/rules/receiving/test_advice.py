"""Accept with exceptions, or refuse."""

import pytest

from claims.rules.receiving.advice import advise, may_refuse, names_battery
from inventory.rules.core.vocabulary import REFUSAL_REASONS, REFUSALS_OFFERED

COURSES = [
    ([], "none", "clear"),
    ([], "refuse", "clear"),
    (["crushed"], "none", "accept"),
    (["crushed"], "accept", "accept"),
    (["crushed"], "refuse", "refuse-by-order"),
    (["leaking"], "none", "may-refuse"),
    (["leaking", "indicator"], "accept", "may-refuse"),
    (["indicator"], "none", "accept"),
    (["indicator"], "refuse", "accept"),
    (["indicator", "crushed"], "refuse", "refuse-by-order"),
]


@pytest.mark.parametrize(("kinds", "order", "course"), COURSES)
def test_the_course_follows_damage_and_standing_order(kinds, order, course):
    assert advise(damage_kinds=kinds, standing_order=order).course == course


def test_an_indicator_alone_is_never_a_reason():
    advice = advise(damage_kinds=["indicator"], standing_order="refuse")

    assert "no reason to refuse" in advice.sentences[0]


REFUSALS = [
    ("worthless", ["crushed"], "none", False),
    ("leaking", ["leaking"], "none", False),
    ("unsafe", ["tipped"], "none", False),
    ("not-ours", ["wrong"], "none", False),
    ("standing-order", ["crushed"], "refuse", False),
    ("standing-order", ["crushed"], "none", True),
    ("standing-order", ["crushed"], "accept", True),
    ("standing-order", ["indicator"], "refuse", True),
    ("worthless", ["indicator"], "none", True),
    ("unsafe", ["indicator"], "none", True),
    ("not-ours", ["indicator"], "none", False),
]


@pytest.mark.parametrize(("reason", "kinds", "order", "is_against"), REFUSALS)
def test_a_refusal_needs_its_ground(reason, kinds, order, is_against):
    said = may_refuse(reason=reason, damage_kinds=kinds, standing_order=order)

    assert bool(said) is is_against


@pytest.mark.parametrize(
    ("text", "is_battery"),
    [
        ("TX 48 Battery rider", True),
        ("Lithium pack, swollen", True),
        ("2 batteries on top", True),
        ("li-ion", True),
        ("Battered corner", False),
        ("TX 48", False),
    ],
)
def test_a_battery_is_known_by_its_name(text, is_battery):
    assert names_battery(["HT-002", text]) is is_battery


@pytest.mark.parametrize(
    ("reason", "kinds", "is_against"),
    [
        ("unsafe", ["leaking"], True),
        ("standing-order", ["dented"], True),
        ("not-ours", ["wrong"], False),
    ],
)
def test_a_damaged_battery_does_not_go_back_on_the_road(reason, kinds, is_against):
    said = may_refuse(
        reason=reason, damage_kinds=kinds, standing_order="refuse", has_battery=True
    )

    assert bool(said) is is_against
    if is_against:
        for who in ("manager", "carrier", "emergency number on the shipping paper"):
            assert who in said


def test_only_the_listed_reasons_exist_and_four_are_offered():
    assert set(REFUSAL_REASONS) - set(REFUSALS_OFFERED) == {"leaking"}
    with pytest.raises(KeyError):
        may_refuse(reason="dusty", damage_kinds=["broken"], standing_order="none")
