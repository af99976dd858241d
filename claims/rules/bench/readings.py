"""What is read at setup, where, and which readings are asked about a second time.

The plausible ranges are common practice, no source. They only ask whether a reading is
typed as it was read; right or wrong is said by the maker's figure alone.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from inventory.rules.reckoning.measures import format_exact
from inventory.rules.reckoning.quantities import FINEST, INCHES, UNITS, Quantity


@dataclass(frozen=True)
class Point:
    """One place or moment of a reading: its label, and as it is said in a sentence."""

    label: str
    said: str


POINTS = {
    "left-front": Point("Left front", "at the left front"),
    "right-front": Point("Right front", "at the right front"),
    "left-rear": Point("Left rear", "at the left rear"),
    "right-rear": Point("Right rear", "at the right rear"),
    "left": Point("Left", "at the left"),
    "right": Point("Right", "at the right"),
    "front": Point("Front", "at the front"),
    "rear": Point("Rear", "at the rear"),
    "before": Point("Before charge", "before the charge"),
    "after": Point("After charge", "after the charge"),
    "only": Point("Reading", ""),
}
"""Every point that a line may have, by its key."""

FOUR_WHEELS = ("left-front", "right-front", "left-rear", "right-rear")
REAR_WHEELS = ("left-rear", "right-rear")
TWO_WHEELS = ("left", "right")
FOUR_TIPS = ("left", "right", "front", "rear")


@dataclass(frozen=True)
class Measure:
    """One thing that is measured, with the unit asked for and its plausible range.

    What ``is_set`` is brought to the maker's figure at every setup, such as a pressure:
    out of range it is set and read again, and nobody need decide what it is.
    """

    key: str
    label: str
    unit: str
    lowest: Fraction
    highest: Fraction
    is_set: bool = False

    @property
    def span(self) -> str:
        """Return the plausible range in words."""
        low, high = format_exact(self.lowest), format_exact(self.highest)
        return f"{low} to {high} {self.unit}"


_TABLE = (
    Measure("pressure", "Pressure", "psi", Fraction(3), Fraction(80), is_set=True),
    Measure("voltage", "Voltage", "V", Fraction(9), Fraction(90), is_set=True),
    Measure("torque", "Torque", "ft-lb", Fraction(3), Fraction(500), is_set=True),
    Measure("tip", "Blade tip to floor", "in", Fraction(1, 2), Fraction(8)),
    Measure("gap", "Gap", "in", Fraction(0), Fraction(6)),
    Measure("hours", "Hours", "h", Fraction(0), Fraction(10)),
    Measure("stop", "Time to stop", "s", Fraction(0), Fraction(15)),
    Measure("speed", "Engine speed", "rpm", Fraction(500), Fraction(5000)),
)

MEASURES = {measure.key: measure for measure in _TABLE}
"""Every measure, by its key."""


@dataclass(frozen=True)
class ReadingSet:
    """The readings of one line: what is measured, and at which points."""

    measure: str
    points: tuple[str, ...] = ("only",)

    @property
    def is_set(self) -> bool:
        """Return whether this is brought to the maker's figure at every setup."""
        return MEASURES[self.measure].is_set

    @property
    def unit(self) -> str:
        """Return the unit that is asked for."""
        return MEASURES[self.measure].unit


def short(quantity: Quantity) -> str:
    """Return a reading as it is said: exact where that is short, else three places."""
    on_tape = quantity.unit in INCHES and FINEST % quantity.figure.denominator == 0
    if on_tape or (quantity.figure * 1000).denominator == 1:
        return str(quantity)
    return f"{format_exact(quantity.figure)} {quantity.unit}"


def in_unit(base: Fraction, unit: str) -> Quantity:
    """Return a figure of the base unit in this unit, exactly."""
    return Quantity(base / UNITS[unit].size, unit)


def doubts(
    asked: ReadingSet,
    readings: Mapping[str, Quantity],
    spans: Sequence[tuple[str, Fraction, Fraction]] = (),
) -> dict[str, str]:
    """Return a question for each point whose reading is not plausible.

    ``spans`` are points with the lowest and highest allowed figure of the model's
    entry: below half or above twice of them is asked about too.
    """
    measure = MEASURES[asked.measure]
    entered = {point: (low, high) for point, low, high in spans}
    found = {}
    for point, reading in readings.items():
        low, high = measure.lowest, measure.highest
        if point in entered:
            low = max(low, entered[point][0] / 2)
            high = min(high, entered[point][1] * 2)
        if not low <= reading.base <= high:
            where = POINTS[point].said
            found[point] = (
                f"{short(reading)}{' ' + where if where else ''}? Usual is "
                f"{format_exact(low, 2)} to {format_exact(high, 2)} {measure.unit}. "
                "Read it again."
            )
    return found
