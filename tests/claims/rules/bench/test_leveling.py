"""A deck comes out level by following the page's own advice, step by step.

The deck is a rigid plane on three hangers: two links and a front rod. Turning one
tilts the whole plane, so each step moves other tips too. The targets are common
practice without a source (left and right equal, front 1/4 to 3/8 in lower); the
product never shows them.
"""

import random
import re
from dataclasses import dataclass, field, replace
from fractions import Fraction

import pytest

from claims.rules.bench.adjusting import Adjuster
from claims.rules.bench.leveling import IN_RANGE, LEAST_STEP, NOT_ENTERED, next_step
from claims.rules.bench.targets import Target, judge
from inventory.rules.reckoning.measures import round_to
from inventory.rules.reckoning.quantities import Quantity, parse_quantity

PAGE = "Operator's manual 4821, page 31"
MOST_STEPS = 40


def inches(text):
    return parse_quantity(text, "in")


TARGETS = (
    Target("deck-level", "apart", ("left", "right"), None, inches("1/8"), PAGE),
    Target(
        "deck-level", "lower", ("front", "rear"), inches("1/4"), inches("3/8"), PAGE
    ),
)


def adjuster(key, points, raises, per_turn):
    return Adjuster(
        "deck-level",
        key,
        f"the {key}",
        points,
        f"Turn the {key} clockwise",
        f"Turn the {key} counterclockwise",
        raises=raises,
        page=PAGE,
        per_turn=per_turn,
    )


@dataclass
class Deck:
    """A plane on hangers at three places (x, y), each at a height."""

    heights: dict
    thread: dict
    places: dict = field(
        default_factory=lambda: {
            "left-link": (Fraction(-1), Fraction(-1, 2)),
            "right-link": (Fraction(1), Fraction(-1, 2)),
            "front-rod": (Fraction(0), Fraction(1)),
        }
    )

    TIPS = {"left": (-1, 0), "right": (1, 0), "front": (0, 1), "rear": (0, -1)}

    def height_at(self, x, y):
        left, right, front = (self.heights[one] for one in self.places)
        across = (right - left) / 2
        links = (left + right) / 2
        along = (front - links) / Fraction(3, 2)
        return links + across * x + along * (y + Fraction(1, 2))

    def read(self):
        """Return the tips as a tape shows them, to the sixteenth."""
        return {
            tip: Quantity(round_to(self.height_at(*place)), "in")
            for tip, place in self.TIPS.items()
        }

    def turn(self, step):
        self.heights[step.adjuster] += step.turns * self.thread[step.adjuster]


def draw_deck(draw, per_turn):
    """Return a deck out of level, its real threads up to a fifth off the entry's."""
    keys = ("left-link", "right-link", "front-rod")
    real = {key: per_turn[key] * Fraction(draw.randint(80, 120), 100) for key in keys}
    while True:
        heights = {key: 4 + Fraction(draw.randint(-8, 8), 16) for key in keys}
        deck = Deck(heights, real)
        if judge(deck.read(), TARGETS).state == "off":
            return deck


def entered(per_turn, signs, *, known):
    """Return the adjusters of the entry; a sign below zero lowers by its turn."""
    points = {"left-link": ("left",), "right-link": ("right",), "front-rod": ("front",)}
    return [
        adjuster(
            key, points[key], signs[key] > 0, abs(per_turn[key]) if known else None
        )
        for key in points
    ]


def level(deck, adjusters):
    """Follow the advice until it says that the deck is level; return the steps."""
    last, steps = None, []
    for _ in range(MOST_STEPS):
        step = next_step(
            readings=deck.read(), targets=TARGETS, adjusters=adjusters, last=last
        )
        if step.is_level:
            return steps
        assert step.adjuster, step.sentence
        deck.turn(step)
        last = step
        steps.append(step)
    raise AssertionError(f"Not level after {MOST_STEPS} steps: {deck.read()}")


@pytest.mark.slow
@pytest.mark.parametrize("known", [True, False])
@pytest.mark.parametrize("start", range(200))
def test_a_deck_comes_out_level_by_the_advice(start, known):
    draw = random.Random(start)
    signs = {
        key: draw.choice((-1, 1)) for key in ("left-link", "right-link", "front-rod")
    }
    per_turn = {
        key: sign * Fraction(1, draw.choice((8, 12, 16))) for key, sign in signs.items()
    }
    deck = draw_deck(draw, per_turn)
    steps = level(deck, entered(per_turn, signs, known=known))
    assert judge(deck.read(), TARGETS).state == "right"
    assert len(steps) <= (6 if known else 9)


def test_a_wrong_direction_in_the_entry_never_comes_out_level():
    deck = Deck(
        {"left-link": Fraction(4), "right-link": Fraction(5), "front-rod": Fraction(4)},
        dict.fromkeys(("left-link", "right-link", "front-rod"), Fraction(-1, 8)),
    )
    thread = dict.fromkeys(deck.thread, Fraction(1, 8))
    signs = dict.fromkeys(deck.thread, 1)
    with pytest.raises(AssertionError, match="Not level"):
        level(deck, entered(thread, signs, known=True))


WAYS = re.compile(
    r"turn|clockwise|nut|tighten|loosen|lengthen|shorten|screw|link|rod|bolt",
    re.IGNORECASE,
)


@pytest.mark.parametrize("start", range(200))
@pytest.mark.parametrize("other_line", [True, False])
def test_without_the_entry_it_never_says_which_way_to_turn(start, other_line):
    draw = random.Random(start)
    thread = dict.fromkeys(("left-link", "right-link", "front-rod"), Fraction(1, 8))
    deck = draw_deck(draw, thread)
    more = [
        replace(one, line="lap-bars") for one in entered(thread, thread, known=True)
    ]
    step = next_step(
        readings=deck.read(), targets=TARGETS, adjusters=more if other_line else []
    )
    assert (step.adjuster, step.turns) == ("", 0)
    assert NOT_ENTERED in step.sentence
    assert not WAYS.search(step.sentence)


def read(**texts):
    return {point: inches(text) for point, text in texts.items()}


LEFT = adjuster("left-link", ("left",), True, Fraction(1, 8))


def test_the_advice_says_what_is_off_what_moves_it_and_by_how_much():
    step = next_step(
        readings=read(left="3 3/4", right="4", front="3 3/4", rear="4"),
        targets=TARGETS,
        adjusters=[LEFT],
    )
    assert step.sentence == (
        "1/4 in apart: lowest at the left, highest at the right. Allowed: up to 1/8 in. "
        "The left must come up 1/4 in. Turn the left-link clockwise by 2 turns "
        f"({PAGE}). Then measure again at every point."
    )


@pytest.mark.parametrize(
    ("raises", "readings", "turns"),
    [
        (True, {"left": "3 3/4", "right": "4"}, 2),
        (False, {"left": "3 3/4", "right": "4"}, -2),
        (True, {"left": "4", "right": "3 3/4"}, -2),
        (False, {"left": "4", "right": "3 3/4"}, 2),
    ],
)
def test_the_entry_says_which_way(raises, readings, turns):
    step = next_step(
        readings=read(**readings, front="3 3/4", rear="4"),
        targets=TARGETS,
        adjusters=[replace(LEFT, raises=raises)],
    )
    assert step.turns == turns
    assert ("counterclockwise" in step.sentence) is (turns < 0)


def test_a_longer_front_hanger_lowers_the_front_tip():
    # Common practice, no source: a longer front hanger lowers the front tip.
    hanger = replace(
        adjuster("front-rod", ("front",), False, Fraction(1, 8)),
        turn="Lengthen the front hanger",
        turn_back="Shorten the front hanger",
    )
    level_across = {"left": "4", "right": "4", "rear": "4"}
    high, low = (
        next_step(
            readings=read(**level_across, front=front),
            targets=TARGETS,
            adjusters=[hanger],
        )
        for front in ("4", "3 1/4")
    )
    assert (
        "The front must come down 5/16 in. Lengthen the front hanger" in high.sentence
    )
    assert "The front must come up 7/16 in. Shorten the front hanger" in low.sentence


def test_left_and_right_come_before_front_and_rear():
    readings = read(left="3 1/2", right="4", front="5", rear="4")
    front = adjuster("front-rod", ("front",), True, Fraction(1, 8))
    step = next_step(readings=readings, targets=TARGETS[::-1], adjusters=[front, LEFT])
    assert step.adjuster == "left-link"


def test_a_missing_reading_and_a_missing_target_are_said():
    step = next_step(
        readings=read(left="4", right="4"), targets=TARGETS, adjusters=[LEFT]
    )
    assert step.sentence == "Not read yet: front, rear."
    step = next_step(readings=read(left="4", right="3"), targets=(), adjusters=[LEFT])
    assert "No target on file" in step.sentence
    assert not step.is_level


def test_a_level_deck_is_said_to_be_level():
    readings = read(left="4", right="4 1/8", front="3 3/4", rear="4")
    step = next_step(readings=readings, targets=TARGETS, adjusters=[LEFT])
    assert (step.is_level, step.sentence) == (True, IN_RANGE)


def test_a_step_is_never_less_than_a_hand_can_turn():
    coarse = replace(LEFT, per_turn=Fraction(4))
    step = next_step(
        readings=read(left="3 3/4", right="4", front="3 3/4", rear="4"),
        targets=TARGETS,
        adjusters=[coarse],
    )
    assert step.turns == LEAST_STEP
