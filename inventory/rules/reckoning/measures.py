"""Mass as stated, and lengths in inches and fractions of an inch.

Mass keeps the figure and unit of its source document: converted to grams,
limits by the pound would lose cents.
"""

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

KG_PER_LB = Decimal("0.45359237")
"""Kilograms in one pound, exact: international yard and pound agreement, 1959."""

MASS_UNITS = ("lb", "kg")

LENGTHS = {"ft": "Feet and inches", "m": "Meters"}
"""The units of the lengths on our documents."""

ROUNDING = {
    "ft": "Lengths are to the whole inch, halves up; 1 ft is 0.3048 m exactly.",
    "m": "Lengths are to the centimeter, halves up.",
}
"""What a plan says of its lengths; the foot by NIST SP 811 (2008), appendix B.8."""

HEAVIEST = Decimal(1_000_000)

_NUMBER = re.compile(r"(?:[0-9]{1,3}(?:,[0-9]{3})+|[0-9]+)?(?:\.[0-9]+)?")
_FRACTION = re.compile(
    r"(?:(?P<whole>[0-9]{1,5})(?: ?[-+&] ?| and | ))?"
    r"(?P<top>[0-9]{1,3}) ?/ ?(?P<bottom>[0-9]{1,3})"
)
_SINGLE_SIGNS = re.compile("[\u00bc-\u00be\u2150-\u215e]")
"""One-sign fractions, such as the one of five eighths."""

_PLAIN_SIGNS = str.maketrans(
    {"\u2010": "-", "\u2011": "-", "\u2013": "-", "\u2044": "/", "\u2215": "/"}
)
"""Hyphens, dashes and fraction bars that keyboards put for - and /."""


class MeasureError(ValueError):
    """A text is not a measure; the message is one sentence."""


@dataclass(frozen=True)
class Mass:
    """A mass as stated: the figure and its unit, "lb" or "kg"."""

    amount: Decimal
    unit: str

    def __post_init__(self) -> None:
        """Raise MeasureError for an unknown unit, a figure below zero or a non-number."""
        if self.unit not in MASS_UNITS:
            raise MeasureError("A weight must be in lb or kg.")
        if not self.amount.is_finite() or self.amount < 0:
            raise MeasureError("A weight cannot be less than zero.")

    @property
    def kilograms(self) -> Fraction:
        """Return the mass in kilograms, exactly."""
        amount = Fraction(self.amount)
        return amount * Fraction(KG_PER_LB) if self.unit == "lb" else amount

    @property
    def pounds(self) -> Fraction:
        """Return the mass in pounds, exactly."""
        amount = Fraction(self.amount)
        return amount / Fraction(KG_PER_LB) if self.unit == "kg" else amount

    def __str__(self) -> str:
        return f"{format_figure(self.amount)} {self.unit}"


def parse_mass(text: str, unit: str) -> Mass:
    """Return what a person typed, in ``unit`` unless the text names its own.

    Raise MeasureError with a sentence that can be shown.
    """
    bare = text.strip().lower()
    for mark, own in (("lbs", "lb"), ("lb", "lb"), ("kgs", "kg"), ("kg", "kg")):
        if bare.endswith(mark):
            bare, unit = bare.removesuffix(mark).strip(), own
            break
    if not bare:
        raise MeasureError("Enter a weight, such as 1,240 lb.")
    if len(bare) > 16 or not _NUMBER.fullmatch(bare):
        raise MeasureError("That is not a weight. Enter it like 1,240 or 562.5.")
    amount = Decimal(bare.replace(",", ""))
    if amount > HEAVIEST:
        raise MeasureError("That is too heavy for a truck. Check the digits.")
    return Mass(amount, unit)


def format_figure(amount: Decimal) -> str:
    """Return a figure with commas and without trailing zeros: 1240.50 is 1,240.5."""
    figure = f"{amount:,f}"
    return figure.rstrip("0").rstrip(".") if "." in figure else figure


def format_exact(value: Fraction, places: int = 3) -> str:
    """Return an exact value as a short decimal for people, halves up."""
    scaled = value * 10**places
    whole = (scaled.numerator * 2 + scaled.denominator) // (scaled.denominator * 2)
    return format_figure(Decimal(whole).scaleb(-places))


def parse_figure(text: str) -> Fraction:
    """Return a figure typed as 3, 3.25, 1,240, 1/2, 3 1/2, 3-1/2 or 3⅝, exactly.

    Raise MeasureError with a sentence that can be shown.
    """
    bare = _SINGLE_SIGNS.sub(_spelled, text.strip().lower()).translate(_PLAIN_SIGNS)
    bare = " ".join(bare.split())
    if len(bare) <= 24 and bare and _NUMBER.fullmatch(bare):
        return Fraction(bare.replace(",", ""))
    found = _FRACTION.fullmatch(bare)
    if found is None or int(found["bottom"]) == 0:
        raise MeasureError("That is not a figure. Enter it like 3 1/2 or 3.25.")
    part = Fraction(int(found["top"]), int(found["bottom"]))
    if found["whole"] and part >= 1:
        raise MeasureError(
            "The fraction is 1 or more. Check the digits: enter it like 16 1/2."
        )
    return int(found["whole"] or 0) + part


def _spelled(sign: re.Match[str]) -> str:
    """Return a one-sign fraction as digits, apart from the whole before it."""
    return " " + unicodedata.normalize("NFKC", sign[0])


def parse_inches(text: str) -> Fraction:
    """Return inches as ``parse_figure`` reads them; a " after them is dropped.

    Raise MeasureError with a sentence that can be shown.
    """
    try:
        return parse_figure(text.strip().removesuffix('"'))
    except MeasureError as error:
        raise MeasureError(
            "That is not a length. Enter inches like 3 1/2 or 3.25."
        ) from error


MM_PER_INCH = Fraction(127, 5)
"""Millimeters in one inch, exact: international yard and pound agreement, 1959."""

LONGEST_MM = 20_000

LENGTH_UNITS = {"in": "inches", "mm": "millimetres"}

_MILLIMETRES = re.compile(r"[0-9]{1,3}(?:,[0-9]{3})+|[0-9]{1,6}")
_UNIT_MARKS = (
    ("inches", "in"),
    ("inch", "in"),
    ("in", "in"),
    ('"', "in"),
    ("mm", "mm"),
)


def parse_length_mm(text: str, unit: str) -> int:
    """Return a length to the nearest millimeter; inches may hold fractions.

    The text is in ``unit``, "in" or "mm", unless it names its own: 48 1/2", 1232 mm.
    Raise MeasureError with a sentence that can be shown.
    """
    bare = text.strip().lower()
    for mark, own in _UNIT_MARKS:
        if bare.endswith(mark):
            bare, unit = bare.removesuffix(mark).strip(), own
            break
    if unit == "mm":
        if not _MILLIMETRES.fullmatch(bare):
            raise MeasureError("That is not a length. Enter millimeters like 1232.")
        exact = Fraction(bare.replace(",", ""))
    else:
        exact = parse_inches(bare) * MM_PER_INCH
    millimetres = (exact.numerator * 2 + exact.denominator) // (exact.denominator * 2)
    if not 0 < millimetres <= LONGEST_MM:
        raise MeasureError("Enter a length above 0, up to 787 inches or 20,000 mm.")
    return millimetres


def format_length(millimetres: int) -> str:
    """Return a length in inches to the sixteenth, with millimeters in parentheses."""
    inches = format_inches(Fraction(millimetres) / MM_PER_INCH)
    return f"{inches} ({millimetres:,} mm)"


def round_to(value: Fraction, finest: int = 16) -> Fraction:
    """Return a figure to the nearest 1/``finest``, halves up."""
    steps = (value.numerator * finest * 2 + value.denominator) // (
        value.denominator * 2
    )
    return Fraction(steps, finest)


def format_inches(value: Fraction, finest: int = 16) -> str:
    """Return inches to the nearest 1/``finest``, as a shop reads them: 3 1/2"."""
    whole, part = divmod(round_to(value, finest), 1)
    if not part:
        return f'{whole}"'
    return f'{whole} {part}"' if whole else f'{part}"'


def length_in(millimeters: int, unit: str) -> str:
    """Return a length for a document: "6 ft 5 in" or "1.96 m", halves up.

    Feet and inches to the whole inch: a plan for a dock, not for a workshop.
    """
    if unit == "m":
        whole, rest = divmod(millimeters + 5, 1000)
        return f"{whole:,}.{rest // 10:02d} m"
    inches = int(millimeters / MM_PER_INCH + Fraction(1, 2))
    feet, rest = divmod(inches, 12)
    parts = [f"{feet:,} ft" if feet else "", f"{rest} in" if rest or not feet else ""]
    return " ".join(part for part in parts if part)
