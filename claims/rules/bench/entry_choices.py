"""What a model's entry may limit and what its adjusters may move, as short lists."""

from claims.rules.bench.readings import (
    FOUR_TIPS,
    FOUR_WHEELS,
    POINTS,
    REAR_WHEELS,
    TWO_WHEELS,
)
from claims.rules.bench.setup_lines import SetupLine
from claims.rules.bench.setup_lists import KINDS
from inventory.rules.core.text import mid_sentence

Limit = tuple[str, str, tuple[str, ...]]
"""A line, a rule, and the points that it limits."""

_BY_POINTS: dict[tuple[str, ...], tuple[tuple[str, tuple[str, ...], str], ...]] = {
    ("only",): (("each", ("only",), ""),),
    ("before", "after"): (
        ("each", ("before",), "before the charge"),
        ("each", ("after",), "after the charge"),
    ),
    FOUR_WHEELS: (
        ("each", FOUR_WHEELS[:2], "both front"),
        ("each", FOUR_WHEELS[2:], "both rear"),
        ("each", FOUR_WHEELS, "all four"),
    ),
    REAR_WHEELS: (("each", REAR_WHEELS, "each"),),
    TWO_WHEELS: (
        ("each", TWO_WHEELS, "each"),
        ("apart", TWO_WHEELS, "left and right apart"),
    ),
    FOUR_TIPS: (
        ("apart", ("left", "right"), "left and right apart"),
        ("lower", ("front", "rear"), "front lower than rear by"),
        ("each", FOUR_TIPS, "each tip"),
    ),
}


def _lines() -> dict[tuple[str, tuple[str, ...]], SetupLine]:
    """Return every line with readings of every kind, by its key and its points."""
    return {
        (line.key, line.readings.points): line
        for kind in KINDS.values()
        for line in kind.lines
        if line.readings
    }


LIMITS: dict[str, Limit] = {
    f"{key}|{rule}|{','.join(limited)}": (key, rule, limited)
    for (key, points) in _lines()
    for rule, limited, _ in _BY_POINTS[points]
}
"""Every choice of what a target limits, by its key."""

LIMIT_WORDS: dict[str, str] = {
    f"{key}|{rule}|{','.join(limited)}": f"{line.label}: {said}" if said else line.label
    for (key, points), line in _lines().items()
    for rule, limited, said in _BY_POINTS[points]
}
"""The words of each choice."""

MOVES: dict[str, tuple[str, str]] = {
    f"{key}|{point}": (key, point) for (key, points) in _lines() for point in points
}
"""Every choice of what an adjuster moves: a line and a point, by its key."""

MOVE_WORDS: dict[str, str] = {
    f"{key}|{point}": f"{line.label}: {mid_sentence(POINTS[point].label)}"
    for (key, points), line in _lines().items()
    for point in points
}
"""The words of each choice."""

UNITS_OF = {
    key: line.readings.unit for (key, _), line in _lines().items() if line.readings
}
"""The unit that each line with readings is asked in."""
