"""A setup list as a manager edits it: what stays of each line, and the keys of new ones."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from claims.rules.bench.readings import (
    FOUR_TIPS,
    FOUR_WHEELS,
    MEASURES,
    REAR_WHEELS,
    TWO_WHEELS,
    ReadingSet,
)
from claims.rules.bench.setup_lines import SetupLine
from claims.rules.bench.setup_lists import KINDS
from inventory.rules.core.text import mid_sentence

OWN = "own-"
"""What the key of a line begins with that a manager added."""

_POINTS = {
    ("only",): "one reading",
    TWO_WHEELS: "left and right",
    REAR_WHEELS: "both rear wheels",
    FOUR_WHEELS: "four wheels",
    FOUR_TIPS: "left, right, front, rear",
    ("before", "after"): "before and after the charge",
}

READINGS = {
    f"{measure.key}|{','.join(points)}": ReadingSet(measure.key, points)
    for measure in MEASURES.values()
    for points in _POINTS
    if points in {("only",), TWO_WHEELS}
    or any(
        line.readings == ReadingSet(measure.key, points)
        for kind in KINDS.values()
        for line in kind.lines
    )
}
"""Every choice of what a line reads, by its key."""

READING_WORDS = {
    key: f"{MEASURES[one.measure].label}, {MEASURES[one.measure].unit}: "
    f"{mid_sentence(_POINTS[one.points])}"
    for key, one in READINGS.items()
}
"""The words of each choice."""


def reading_key(line: SetupLine) -> str:
    """Return the key of what this line reads; "" where it reads nothing."""
    asked = line.readings
    return f"{asked.measure}|{','.join(asked.points)}" if asked else ""


def left_out(kind: str, standing: Sequence[SetupLine]) -> list[SetupLine]:
    """Return the lines of our list that the standing version leaves out."""
    there = {line.key for line in standing}
    return [line for line in KINDS[kind].lines if line.key not in there]


def with_keys(lines: Iterable[SetupLine], used: Iterable[str]) -> list[SetupLine]:
    """Give each new line a key that no version ever used, and drop waits for the gone.

    A reading belongs to the key of its line, so a key never names another line later.
    """
    found = list(lines)
    taken = {*used, *(line.key for line in found)}
    fresh = (f"{OWN}{number}" for number in range(1, 10_000))
    free = (key for key in fresh if key not in taken)
    keyed = [line if line.key else replace(line, key=next(free)) for line in found]
    there = {line.key for line in keyed}
    return [
        replace(line, after=tuple(key for key in line.after if key in there))
        for line in keyed
    ]
