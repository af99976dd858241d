"""Readings as a tape or a gauge shows them: an exact figure, its unit, the text typed.

Figures of the same dimension compare exactly, whatever their units. The factors are
exact by definition: inch and pound of 1959, standard gravity of 1901.
"""

import re
from dataclasses import dataclass
from fractions import Fraction

from inventory.rules.reckoning.measures import (
    KG_PER_LB,
    MM_PER_INCH,
    MeasureError,
    parse_figure,
)

_POUND_FORCE = Fraction(KG_PER_LB) * Fraction("9.80665")
"""Newtons in one pound-force."""

_METRES_PER_INCH = MM_PER_INCH / 1000

LONGEST_TEXT = 40

LARGEST = 100_000

FINEST = 64
"""The finest mark of a tape, as parts of an inch."""


@dataclass(frozen=True)
class Unit:
    """One unit: how it is written, its dimension, and its size in the base unit."""

    key: str
    dimension: str
    size: Fraction
    names: tuple[str, ...]


_UNITS = (
    Unit("in", "length", Fraction(1), ("inches", "inch", "in.", "in", '"')),
    Unit("ft", "length", Fraction(12), ("feet", "foot", "ft.", "ft", "'")),
    Unit("mm", "length", 1 / MM_PER_INCH, ("millimeters", "millimetres", "mm.", "mm")),
    Unit("cm", "length", 10 / MM_PER_INCH, ("centimeters", "centimetres", "cm")),
    Unit("psi", "pressure", Fraction(1), ("psi.", "psi")),
    Unit("kPa", "pressure", 1000 * _METRES_PER_INCH**2 / _POUND_FORCE, ("kpa",)),
    Unit("bar", "pressure", 100_000 * _METRES_PER_INCH**2 / _POUND_FORCE, ("bar",)),
    Unit("V", "voltage", Fraction(1), ("volts", "volt", "vdc", "v")),
    Unit(
        "ft-lb",
        "torque",
        Fraction(1),
        (
            "foot-pounds",
            "ft-lbs",
            "ft-lb",
            "ft lbs",
            "ft lb",
            "ft.lb",
            "lb-ft",
            "lbf-ft",
        ),
    ),
    Unit("in-lb", "torque", Fraction(1, 12), ("in-lbs", "in-lb", "in lbs", "in lb")),
    Unit(
        "N·m",
        "torque",
        1 / (_POUND_FORCE * 12 * _METRES_PER_INCH),
        ("n·m", "n-m", "n m", "nm"),
    ),
    Unit("h", "hours", Fraction(1), ("hours", "hour", "hrs", "hr", "h")),
    Unit("rpm", "speed", Fraction(1), ("r/min", "rpm")),
    Unit("s", "seconds", Fraction(1), ("seconds", "second", "sec.", "sec", "s")),
)

UNITS = {unit.key: unit for unit in _UNITS}
"""Every unit that a reading may have, by its key."""

INCHES = frozenset({"in", "ft"})
"""Units whose tapes show fractions."""

_NAMES = sorted(
    ((name, unit) for unit in _UNITS for name in unit.names),
    key=lambda pair: -len(pair[0]),
)
"""Names with their units, the longest first: "ft-lb" before "lb"."""

_QUOTES = str.maketrans(
    {"\u2019": "'", "\u2032": "'", "\u201d": '"', "\u2033": '"', "\u2013": "-"}
)
"""Curly quotes and primes, which keyboards put for the marks of feet and inches."""

_FEET_AND_INCHES = re.compile(
    r"(?P<feet>[0-9]{1,3}) ?(?:feet|foot|ft\.?|')(?: ?- ?| ?,? ?)"
    r"(?P<inches>[0-9\u00bc-\u00be\u2150-\u215e].*?) ?(?:inches|inch|in\.?|\")"
)
_FRACTION_ALONE = re.compile("[0-9]+ ?[/\u2044\u2215] ?[0-9]+")
"""A fraction without a whole: from 1 up, a space is probably missing in 163/8."""


@dataclass(frozen=True)
class Quantity:
    """One reading: the exact figure in its unit, and the text as typed."""

    figure: Fraction
    unit: str
    text: str = ""

    @property
    def base(self) -> Fraction:
        """Return the exact figure in the base unit of its dimension."""
        return self.figure * UNITS[self.unit].size

    @property
    def dimension(self) -> str:
        """Return what is measured: length, pressure, voltage, torque and so on."""
        return UNITS[self.unit].dimension

    def __str__(self) -> str:
        figure = print_figure(self.figure, as_fraction=self.unit in INCHES)
        return f"{figure} {self.unit}"


def parse_quantity(text: str, unit: str) -> Quantity:
    """Return a reading, in ``unit`` unless the text names one of the same dimension.

    Feet and inches together become inches. Raise MeasureError with a sentence that
    can be shown.
    """
    typed = " ".join(text.split())
    if not typed or len(typed) > LONGEST_TEXT:
        raise MeasureError(_example(unit))
    bare = typed.lower().translate(_QUOTES).replace("''", '"')
    both = _FEET_AND_INCHES.fullmatch(bare)
    if both and UNITS[unit].dimension == "length":
        inches = _figure(both["inches"], unit)
        if inches >= 12:
            raise MeasureError("The inches are 12 or more. Check the feet and inches.")
        return Quantity(int(both["feet"]) * 12 + inches, "in", typed)
    bare, own = _without_unit(bare, unit)
    return Quantity(_figure(bare, unit), own, typed)


def _without_unit(bare: str, unit: str) -> tuple[str, str]:
    """Return the text without its unit, and that unit. Raise MeasureError."""
    for name, own in _NAMES:
        if bare.endswith(name):
            if own.dimension != UNITS[unit].dimension:
                raise MeasureError(f"{own.key} does not measure this. {_example(unit)}")
            return bare.removesuffix(name).strip(), own.key
    return bare, unit


def _figure(bare: str, unit: str) -> Fraction:
    try:
        figure = parse_figure(bare)
    except MeasureError as error:
        wanted = "The fraction is" in str(error)
        raise MeasureError(str(error) if wanted else _example(unit)) from error
    if figure >= 1 and _FRACTION_ALONE.fullmatch(bare):
        raise MeasureError(
            f"Is that {print_figure(figure)}? Leave a space between the whole number "
            "and the fraction."
        )
    if figure > LARGEST:
        raise MeasureError("That is too large for a reading. Check the digits.")
    return figure


def _example(unit: str) -> str:
    sample = {"length": "16 1/2, 16.5 or 419 mm", "pressure": "14 or 14.5"}
    figure = sample.get(UNITS[unit].dimension, "12.6")
    return f"That is not a reading. Enter it like {figure}."


def print_figure(value: Fraction, *, as_fraction: bool = True) -> str:
    """Return a figure as a shop reads it, exact: 16 1/2, 12.6; parses back the same.

    Marks of a tape are fractions, unless a gauge shows decimals.
    """
    whole, part = divmod(value, 1)
    if not part:
        return f"{whole:,}" if whole >= 10_000 else str(whole)
    on_tape = as_fraction and FINEST % part.denominator == 0
    decimals = "" if on_tape else _decimals(part)
    if decimals:
        return f"{whole}.{decimals}"
    return f"{whole} {part}" if whole else str(part)


def _decimals(part: Fraction) -> str:
    """Return the digits after the point, or "" where they would never end."""
    places = 0
    while part.denominator != 1:
        if part.denominator % 2 and part.denominator % 5:
            return ""
        part, places = part * 10, places + 1
    return str(part.numerator).zfill(places)
