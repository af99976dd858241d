"""Damage or adjustment: an opinion with its reasons; the first reading before a wrench."""

from dataclasses import replace
from fractions import Fraction

import pytest

from claims.rules.bench.adjusting import (
    BEFORE_A_WRENCH,
    LOOKS_LIKE,
    SIGNS,
    Adjuster,
    WrongLine,
    opinion_of,
)
from claims.rules.core.vocabulary import DAMAGE_KINDS

EIGHTH = Fraction(1, 8)
LINK = Adjuster(
    "deck-level",
    "left-link",
    "the left lift link",
    ("left",),
    "Turn the left link nut clockwise",
    "Turn the left link nut counterclockwise",
    raises=True,
    page="Operator's manual 4821, page 31",
    per_turn=Fraction(1, 8),
    travel=Fraction(3, 4),
)
OUT = WrongLine(off=(EIGHTH,), adjusters=(LINK,))


def signs(*keys):
    return frozenset(keys)


@pytest.mark.parametrize("sign", sorted(SIGNS.keys() - {"loose"}))
@pytest.mark.parametrize("found", [WrongLine(), OUT])
def test_what_is_bent_is_damage_whatever_the_reading(sign, found):
    opinion = opinion_of(replace(found, signs=signs(sign)))
    assert opinion.looks_like == "damage"
    assert SIGNS[sign] in opinion.why[0]
    assert opinion.steps[0].startswith("Stop.")
    assert opinion.notice_recommended


def test_out_of_range_with_an_adjuster_and_nothing_bent_is_an_adjustment():
    opinion = opinion_of(OUT)
    assert opinion.looks_like == "adjustment"
    assert (
        "the left lift link moves it (Operator's manual 4821, page 31)"
        in opinion.why[0]
    )
    assert not opinion.notice_recommended


@pytest.mark.parametrize(
    ("more", "looks_like", "said"),
    [
        ({"adjusters": ()}, "undecided", "does not say what adjusts this"),
        ({"at_end": True}, "damage", "at its end"),
        ({"off": (Fraction(3, 4),)}, "adjustment", "moves it"),
        (
            {"off": (Fraction(13, 16),)},
            "damage",
            "13/16 in out; the adjuster moves 3/4 in",
        ),
        ({"off": (Fraction(1, 8), Fraction(1))}, "damage", "1 in out"),
        (
            {"off": (Fraction(1),), "adjusters": (replace(LINK, travel=None),)},
            "adjustment",
            "moves it",
        ),
        ({"tries": 1}, "adjustment", "adjusted once"),
        ({"is_set": True, "adjusters": ()}, "adjustment", "set at every setup"),
        ({"is_set": True, "signs": signs("leaking")}, "damage", "Leaks"),
        ({"is_set": True, "off": ()}, "undecided", "No reading"),
        ({"tries": 3}, "damage", "three times"),
        ({"signs": signs("loose")}, "adjustment", "moves it"),
        ({"off": (), "signs": signs("loose")}, "undecided", "shaken loose"),
        ({"off": ()}, "undecided", "No reading"),
        ({"off": (), "has_first_reading": True}, "undecided", "no target says"),
    ],
)
def test_the_reason_is_given(more, looks_like, said):
    opinion = opinion_of(replace(OUT, **more))
    assert opinion.looks_like == looks_like
    assert said in " ".join(opinion.why)


@pytest.mark.parametrize("more", [{}, {"adjusters": ()}])
@pytest.mark.parametrize(
    ("reading", "photo", "asked"),
    [
        (False, False, True),
        (True, False, True),
        (False, True, True),
        (True, True, False),
    ],
)
def test_the_first_reading_and_a_photo_come_before_a_wrench(
    more, reading, photo, asked
):
    found = replace(OUT, **more, has_first_reading=reading, has_photo=photo)
    assert (BEFORE_A_WRENCH in opinion_of(found).steps) is asked


def test_while_it_is_undecided_the_notice_is_recommended():
    assert opinion_of(WrongLine()).notice_recommended
    assert "notice is recommended" in BEFORE_A_WRENCH


def test_the_signs_of_damage_are_kinds_of_damage():
    assert SIGNS.keys() <= DAMAGE_KINDS.keys()
    assert LOOKS_LIKE.keys() == {"adjustment", "damage", "undecided"}
