"""A reading on a ruler: where it is, and the span that the maker allows.

Pure geometry, in percent of the ruler's width. The figures are those of the verdict.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor

from claims.rules.bench.readings import POINTS, in_unit, short
from claims.rules.bench.targets import Target, Verdict
from inventory.rules.core.text import mid_sentence
from inventory.rules.reckoning.measures import format_exact
from inventory.rules.reckoning.quantities import INCHES, UNITS, Quantity

MOST_STEPS = 8

_TAPE = [Fraction(1, 2**at) for at in (4, 3, 2, 1)]
_DECIMAL = [
    Fraction(size) * Fraction(10) ** power
    for power in range(-2, 5)
    for size in (1, 2, 5)
]


@dataclass(frozen=True)
class Cut:
    """One cut of the ruler; ``label`` is empty on a short one."""

    x: str
    label: str


@dataclass(frozen=True)
class Ruler:
    """One reading, or one difference, against what is allowed.

    ``state`` is right, low or high. ``span_x`` and ``span_width`` are the allowed span,
    ``mark_x`` the reading.
    """

    title: str
    allowed: str
    state: str
    mark_x: str
    span_x: str
    span_width: str
    cuts: tuple[Cut, ...]


def lay_ruler(verdict: Verdict, readings: Mapping[str, Quantity]) -> Ruler | None:
    """Lay out one verdict; None where a reading of it is missing."""
    target = verdict.target
    points = (verdict.point,) if verdict.point else target.points
    if verdict.state == "missing" or any(point not in readings for point in points):
        return None
    unit = readings[points[0]].unit
    found = _found(target, points, readings) / UNITS[unit].size
    low, high = (
        None if limit is None else limit.base / UNITS[unit].size
        for limit in (target.low, target.high)
    )
    if target.rule == "apart":
        low = Fraction(0)
    step = _step([one for one in (found, low, high) if one is not None], unit)
    known = [one for one in (found, low, high) if one is not None]
    first = 2 * floor((min(known) / step - 1) / 2)
    last = 2 * ceil((max(known) / step + 1) / 2)
    if target.rule == "apart":
        first = 0

    def at(value: Fraction) -> Fraction:
        return (value / step - first) / (last - first) * 100

    left = at(low) if low is not None else Fraction(0)
    right = at(high) if high is not None else Fraction(100)
    return Ruler(
        title=_title(target, points, found, unit),
        allowed=target.allowed,
        state=verdict.state,
        mark_x=_percent(at(found)),
        span_x=_percent(left),
        span_width=_percent(max(right - left, Fraction(1))),
        cuts=tuple(
            _cut(number, (first, last), step, unit) for number in range(first, last + 1)
        ),
    )


def _found(
    target: Target, points: tuple[str, ...], readings: Mapping[str, Quantity]
) -> Fraction:
    """Return what the target limits, in the base unit."""
    bases = [readings[point].base for point in points]
    if target.rule == "apart":
        return max(bases) - min(bases)
    return bases[1] - bases[0] if target.rule == "lower" else bases[0]


def _step(known: list[Fraction], unit: str) -> Fraction:
    """Return the smallest usual step with which all of these fit on the ruler."""
    spread = max(known) - min(known)
    on_tape = unit in INCHES and spread <= _TAPE[-1] * (MOST_STEPS - 2)
    for step in _TAPE if on_tape else _DECIMAL:
        if spread / step <= MOST_STEPS - 2:
            return step
    return _DECIMAL[-1]


def _cut(number: int, ends: tuple[int, int], step: Fraction, unit: str) -> Cut:
    first, last = ends
    share = Fraction(number - first, last - first) * 100
    label = "" if number % 2 else _figure(number * step, unit)
    return Cut(_percent(share), label)


def _figure(value: Fraction, unit: str) -> str:
    if unit in INCHES:
        return str(Quantity(value, unit)).removesuffix(f" {unit}")
    return format_exact(value)


def _percent(share: Fraction) -> str:
    return f"{format_exact(min(max(share, Fraction(0)), Fraction(100)), 2)}%"


def _title(target: Target, points: tuple[str, ...], found: Fraction, unit: str) -> str:
    size = UNITS[unit].size
    amount = short(in_unit(abs(found) * size, unit))
    names = [POINTS[point].label for point in points]
    if target.rule == "each":
        return f"{names[0]}: {amount}" if points != ("only",) else amount
    if target.rule == "apart":
        joined = " and ".join([", ".join(names[:1]), *map(mid_sentence, names[1:])])
        return f"{joined}: {amount} apart"
    how = "lower" if found > 0 else "higher" if found else "as high"
    tail = f"{amount} {how}" if found else how
    return f"{names[0]} to {mid_sentence(names[1])}: {mid_sentence(names[0])} {tail}"
