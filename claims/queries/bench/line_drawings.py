"""The readings of one line as drawings: on a ruler, and around a plan of the machine."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from claims.queries.bench.model_entries import targets_of
from claims.queries.bench.setup_lines import LineRead
from claims.queries.bench.setups import SetupPage
from claims.rules.bench.entries import readings_from
from claims.rules.bench.readings import FOUR_WHEELS, in_unit, short
from claims.rules.bench.rulers import Ruler, lay_ruler
from claims.rules.bench.targets import Verdict, judge
from inventory.rules.reckoning.quantities import Quantity

WHEELS = {
    "left-front": (2, 34, 16, 36),
    "right-front": (62, 34, 16, 36),
    "left-rear": (0, 150, 22, 52),
    "right-rear": (58, 150, 22, 52),
}
"""Where each wheel is on the plan: x, y, width and height."""


@dataclass(frozen=True)
class LastRead:
    """One point as last read: its text and unit, and its verdict; "" without a target."""

    text: str
    state: str = ""
    off: str = ""

    @property
    def is_off(self) -> bool:
        """Return whether it is out of range."""
        return bool(self.off)

    @property
    def said(self) -> str:
        """Return it as it is said beside its field."""
        verdict = f"{self.off} {self.state}" if self.is_off else "in range"
        return f"Read {self.text}{f': {verdict}' if self.state else ''}."


@dataclass(frozen=True)
class DrawnWheel:
    """One wheel of the plan: where it is, and whether its reading is out of range."""

    x: int
    y: int
    width: int
    height: int
    is_off: bool


@dataclass(frozen=True)
class Drawings:
    """What is drawn of one line. ``points`` are its last readings by point."""

    rulers: tuple[Ruler, ...] = ()
    points: Mapping[str, LastRead] = field(default_factory=dict)
    wheels: tuple[DrawnWheel, ...] = ()


def drawings_of(page: SetupPage, read: LineRead) -> Drawings:
    """Return the drawings of a line; none of one without readings.

    The entry that counts now judges them; the verdict of then is in words beside it.
    """
    asked, last = read.line.readings, read.last
    if asked is None:
        return Drawings()
    readings = readings_from(last.readings) if last else {}
    targets = targets_of(page.entry, read.line.key)
    verdicts = judge(readings, targets).verdicts if readings else ()
    points = _points(readings, verdicts)
    has_wheels = asked.points == FOUR_WHEELS
    drawn = [
        lay_ruler(one, readings)
        for one in verdicts
        if not (has_wheels and one.target.rule == "each")
    ]
    return Drawings(
        rulers=tuple(one for one in drawn if one),
        points=points,
        wheels=_wheels(points) if has_wheels else (),
    )


def _points(
    readings: Mapping[str, Quantity], verdicts: tuple[Verdict, ...]
) -> dict[str, LastRead]:
    by_point = {one.point: one for one in verdicts if one.point}
    found = {}
    for point, reading in readings.items():
        verdict = by_point.get(point)
        off = (
            short(in_unit(verdict.off, reading.unit)) if verdict and verdict.off else ""
        )
        found[point] = LastRead(short(reading), verdict.state if verdict else "", off)
    return found


def _wheels(points: Mapping[str, LastRead]) -> tuple[DrawnWheel, ...]:
    return tuple(
        DrawnWheel(*box, is_off=point in points and points[point].is_off)
        for point, box in WHEELS.items()
    )
