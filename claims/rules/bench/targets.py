"""The maker's figures of a model, and what readings are by them.

A target stands in the model's entry with its page of the manual. Without one the page
says how far apart the readings are, and nothing else: no target is ever assumed.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from claims.rules.bench.readings import POINTS, in_unit, short
from inventory.rules.core.text import mid_sentence
from inventory.rules.reckoning.quantities import Quantity

TARGET_RULES = {
    "each": "Each reading",
    "apart": "How far apart",
    "lower": "First lower than the second by",
}
"""What a target limits."""

NO_TARGET = "No target on file."


@dataclass(frozen=True)
class Target:
    """One figure of the maker for one line. A limit that is None is open.

    "each" limits every named point; "apart" the highest less the lowest of them;
    "lower" by how much the first of two points is below the second.
    """

    line: str
    rule: str
    points: tuple[str, ...]
    low: Quantity | None
    high: Quantity | None
    page: str

    @property
    def allowed(self) -> str:
        """Return what is allowed, in words."""
        tail = " lower" if self.rule == "lower" else ""
        if self.low is None or (self.rule == "apart" and not self.low.figure):
            return f"up to {short(self.high)}{tail}" if self.high else ""
        if self.high is None:
            return f"at least {short(self.low)}{tail}"
        if self.low.base == self.high.base:
            return f"{short(self.low)}{tail}"
        return f"{short(self.low)} to {short(self.high)}{tail}"

    @property
    def middle(self) -> Fraction:
        """Return the base figure to aim at."""
        low = self.low.base if self.low else None
        high = self.high.base if self.high else None
        if self.rule == "apart":
            return Fraction(0)
        if low is None or high is None:
            return high if low is None and high is not None else low or Fraction(0)
        return (low + high) / 2


@dataclass(frozen=True)
class Verdict:
    """What readings are by one target: right, low, high, or missing.

    ``off`` is how far outside the limit, in the base unit; ``point`` the point that
    is off, "" for a rule about two or more.
    """

    target: Target
    state: str
    sentence: str
    point: str = ""
    off: Fraction = Fraction(0)


@dataclass(frozen=True)
class Judged:
    """All verdicts of one line. Without a target there is none, only the spread."""

    verdicts: tuple[Verdict, ...]
    spread: str = ""

    @property
    def state(self) -> str:
        """Return right, off, missing, or no-target."""
        states = {row.state for row in self.verdicts}
        if states & {"low", "high"}:
            return "off"
        if "missing" in states:
            return "missing"
        return "right" if states else "no-target"

    @property
    def sentence(self) -> str:
        """Return what to read out: everything that is off, or that it is in range."""
        if not self.verdicts:
            return f"{self.spread} {NO_TARGET}".strip()
        found = [row.sentence for row in self.verdicts if row.state != "right"]
        return " ".join(found) or "In range."


def judge(readings: Mapping[str, Quantity], targets: Sequence[Target]) -> Judged:
    """Return what these readings of one line are by its targets."""
    found: list[Verdict] = []
    for target in targets:
        missing = [point for point in target.points if point not in readings]
        if missing:
            names = ", ".join(mid_sentence(POINTS[one].label) for one in missing)
            found.append(Verdict(target, "missing", f"Not read yet: {names}."))
        elif target.rule == "each":
            found += [_each(target, one, readings[one]) for one in target.points]
        else:
            found.append(_together(target, readings))
    return Judged(tuple(found), spread_of(readings))


def spread_of(readings: Mapping[str, Quantity]) -> str:
    """Return how far apart these readings are; "" for fewer than two."""
    if len(readings) < 2:
        return ""
    low = min(readings, key=lambda point: readings[point].base)
    high = max(readings, key=lambda point: readings[point].base)
    apart = readings[high].base - readings[low].base
    if not apart:
        return f"All {len(readings)} read {short(readings[low])}."
    return (
        f"{short(in_unit(apart, readings[low].unit))} apart: lowest "
        f"{POINTS[low].said}, highest {POINTS[high].said}."
    )


def _each(target: Target, point: str, reading: Quantity) -> Verdict:
    where = f" {POINTS[point].said}" if POINTS[point].said else ""
    for state, limit in (("low", target.low), ("high", target.high)):
        if limit is None:
            continue
        off = limit.base - reading.base if state == "low" else reading.base - limit.base
        if off > 0:
            most = "lowest" if state == "low" else "highest"
            return Verdict(
                target,
                state,
                f"{short(in_unit(off, reading.unit))} {state}{where}: it reads "
                f"{short(reading)}, the {most} allowed is {short(limit)}.",
                point,
                off,
            )
    return Verdict(target, "right", f"In range{where}.", point)


def _together(target: Target, readings: Mapping[str, Quantity]) -> Verdict:
    points = target.points
    unit = readings[points[0]].unit
    if target.rule == "apart":
        values = [readings[one].base for one in points]
        found = max(values) - min(values)
        said = spread_of({one: readings[one] for one in points}).removesuffix(".")
    else:
        first, second = points
        found = readings[second].base - readings[first].base
        said = _lower_words(first, second, found, unit)
    state, off = "right", Fraction(0)
    if target.high is not None and found > target.high.base:
        state, off = "high", found - target.high.base
    elif target.low is not None and found < target.low.base:
        state, off = "low", target.low.base - found
    allowed = target.allowed
    return Verdict(target, state, f"{said}. Allowed: {allowed}.", off=off)


def _lower_words(first: str, second: str, found: Fraction, unit: str) -> str:
    one, other = POINTS[first].label, mid_sentence(POINTS[second].label)
    if not found:
        return f"{one} as high as {other}"
    how = "lower" if found > 0 else "higher"
    return f"{one} {short(in_unit(abs(found), unit))} {how} than {other}"
