"""Leveling by the page's own advice: one adjuster, one step, then measure again.

Which way an adjuster turns stands in the model's entry and nowhere else. Without it
the advice says what must come up or down, and never which way to turn.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from claims.rules.bench.adjusting import Adjuster
from claims.rules.bench.readings import POINTS, in_unit, short
from claims.rules.bench.targets import Target, Verdict, judge
from inventory.rules.core.text import mid_sentence
from inventory.rules.reckoning.measures import round_to
from inventory.rules.reckoning.quantities import Quantity, print_figure

FIRST_STEP = Fraction(1)
"""Turns to begin with where the manual does not say what one turn does.

The reading after it shows it; where it shows nothing the next step is twice as long.
"""

LEAST_STEP = Fraction(1, 8)
MOST_STEP = Fraction(4)

IN_RANGE = "In range. Tighten the lock nuts, then measure once more."

NOT_ENTERED = (
    "The model's entry does not say what moves it. Follow the maker's manual, and "
    "measure again."
)


@dataclass(frozen=True)
class Step:
    """One step: which adjuster, how many turns (below zero: back), and the sentence.

    ``adjuster`` is "" where nothing is to turn: it is level, a reading is missing, or
    nothing is entered.
    """

    sentence: str
    adjuster: str = ""
    turns: Fraction = Fraction(0)
    off: Fraction = Fraction(0)
    is_level: bool = False


def next_step(
    *,
    readings: Mapping[str, Quantity],
    targets: Sequence[Target],
    adjusters: Sequence[Adjuster],
    last: Step | None = None,
) -> Step:
    """Return the next step of leveling by these readings.

    Left and right come before front and rear, in the order of ``targets``. ``last`` is
    the step before: what it moved tells what a turn does.
    """
    judged = judge(readings, targets)
    if judged.state == "missing":
        return Step(judged.sentence)
    off = [row for row in judged.verdicts if row.state in {"low", "high"}]
    if not off:
        level = bool(judged.verdicts)
        return Step(IN_RANGE if level else judged.sentence, is_level=level)
    worst = min(off, key=lambda row: row.target.rule != "apart")
    return _step(worst, readings, adjusters, last)


def _step(
    verdict: Verdict,
    readings: Mapping[str, Quantity],
    adjusters: Sequence[Adjuster],
    last: Step | None,
) -> Step:
    """Return the step for one verdict, with the adjuster that moves one of its points."""
    point, move = _wanted(verdict, readings)
    usable = _adjuster_for(verdict, point, adjusters)
    words = _move_words(point, move, readings[point].unit)
    if usable is None:
        return Step(f"{verdict.sentence} {words} {NOT_ENTERED}", off=move)
    adjuster, at = usable
    if at != point:
        move = -move
    turns = _turns(adjuster, move, last)
    hand = adjuster.turn if turns > 0 else adjuster.turn_back
    return Step(
        f"{verdict.sentence} {words} {hand} by {_turn_words(abs(turns))} "
        f"({adjuster.page}). Then measure again at every point.",
        adjuster.key,
        turns,
        move,
    )


def _wanted(verdict: Verdict, readings: Mapping[str, Quantity]) -> tuple[str, Fraction]:
    """Return the point to move, and by how much: above zero is up."""
    target = verdict.target
    if target.rule == "each":
        return verdict.point, target.middle - readings[verdict.point].base
    if target.rule == "apart":
        low = min(target.points, key=lambda one: readings[one].base)
        high = max(target.points, key=lambda one: readings[one].base)
        return low, readings[high].base - readings[low].base
    first, second = target.points
    lower_by = readings[second].base - readings[first].base
    return first, lower_by - target.middle


def _adjuster_for(
    verdict: Verdict, point: str, adjusters: Sequence[Adjuster]
) -> tuple[Adjuster, str] | None:
    """Return an adjuster of this line and the point of the target that it moves."""
    target = verdict.target
    mine = [one for one in adjusters if one.line == target.line]
    others = [] if target.rule == "each" else target.points
    for wanted in (point, *others):
        for one in mine:
            if wanted in one.points:
                return one, wanted
    return None


def _turns(adjuster: Adjuster, move: Fraction, last: Step | None) -> Fraction:
    """Return the turns of one step: forward where that moves it the way it must go.

    What the step before was seen to move counts more than what the manual says of a
    turn: moving one corner tilts the whole deck.
    """
    per_turn, turns = adjuster.per_turn, FIRST_STEP
    if last is not None and last.adjuster == adjuster.key:
        seen = (last.off - move) / last.turns * (1 if adjuster.raises else -1)
        turns = abs(last.turns) * 2
        per_turn = seen if seen > 0 else per_turn
    if per_turn:
        turns = round_to(abs(move) / per_turn, 8)
    turns = min(max(turns, LEAST_STEP), MOST_STEP)
    forward = adjuster.raises == (move > 0)
    return turns if forward else -turns


def _move_words(point: str, move: Fraction, unit: str) -> str:
    name = mid_sentence(POINTS[point].label)
    way = "up" if move > 0 else "down"
    return f"The {name} must come {way} {short(in_unit(abs(move), unit))}."


def _turn_words(turns: Fraction) -> str:
    return f"{print_figure(turns)} turn{'s' if turns > 1 else ''}"
