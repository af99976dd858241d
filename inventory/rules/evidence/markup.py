"""Marks on a photo: circle, arrow, measure line, words. The photo is never changed.

A place is in thousandths of the picture's width or height, from its top left corner,
so that the marks fit every copy of it, large or small.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from fractions import Fraction
from typing import Any, Literal, get_args

from inventory.rules.core.text import clean_text
from inventory.rules.reckoning.measures import MeasureError, parse_inches

Kind = Literal["circle", "arrow", "measure", "words"]

KINDS: Mapping[str, str] = {
    "circle": "Circle",
    "arrow": "Arrow",
    "measure": "Measure line",
    "words": "Words",
}
UNITS: Mapping[str, str] = {"in": "in", "ft": "ft", "mm": "mm", "cm": "cm"}

WHOLE = 1000
LEAST = 20
"""The least extent of a mark: smaller ones could not be seen."""
MOST_MARKS = 12
MOST_TEXT = 60
MOST_LENGTH = 12

NOTHING_SAVED = "Nothing was saved."


class MarkError(ValueError):
    """A mark cannot be drawn. ``field`` names what is wrong; the message says how."""

    def __init__(self, field: str, sentence: str) -> None:
        super().__init__(sentence)
        self.field = field


@dataclass(frozen=True)
class Mark:
    """One mark between two points of a picture.

    A circle fills the box between its two corners; an arrow points at the second
    point; a measure line has a ``text`` such as "3 1/2" and a ``unit``; words begin
    at the first point, and both points are the same.
    """

    kind: Kind
    x1: int
    y1: int
    x2: int
    y2: int
    text: str = ""
    unit: str = ""

    @property
    def label(self) -> str:
        """Return what is written at the mark: words, or a length with its unit."""
        return f"{self.text} {self.unit}".strip()


def mark_of(
    kind: str,
    start: tuple[int | None, int | None],
    end: tuple[int | None, int | None],
    *,
    text: str = "",
    length: str = "",
    unit: str = "",
) -> Mark:
    """Return the mark that a person described, or raise MarkError with the field.

    The fields are ``kind``, ``x1``, ``y1``, ``x2``, ``y2``, ``text``, ``length``
    and ``unit``; what the kind does not need is ignored.
    """
    if kind not in get_args(Kind):
        raise MarkError("kind", "Choose circle, arrow, measure line or words.")
    x1, y1 = _point(start, ("x1", "y1"))
    if kind == "words":
        return Mark("words", x1, y1, x1, y1, _text(text))
    x2, y2 = _point(end, ("x2", "y2"))
    if kind == "circle":
        return _circle((x1, y1), (x2, y2))
    if max(abs(x2 - x1), abs(y2 - y1)) < LEAST:
        raise MarkError("x2", "Make it longer: both ends are at one place.")
    if kind == "arrow":
        return Mark("arrow", x1, y1, x2, y2)
    return Mark("measure", x1, y1, x2, y2, _length(length), _unit(unit))


def check_marks(marks: Sequence[Mark]) -> None:
    """Raise MarkError unless every mark can be drawn and there are not too many."""
    if len(marks) > MOST_MARKS:
        raise MarkError(
            "kind",
            f"A photo takes at most {MOST_MARKS} marks; this has {len(marks)}. "
            f"{NOTHING_SAVED} Remove some.",
        )
    for mark in marks:
        again = mark_of(
            mark.kind,
            (mark.x1, mark.y1),
            (mark.x2, mark.y2),
            text=mark.text,
            length=mark.text,
            unit=mark.unit,
        )
        if again != mark:
            raise MarkError("kind", f"A mark is not as it is drawn. {NOTHING_SAVED}")


def to_stored(marks: Iterable[Mark]) -> list[dict[str, Any]]:
    """Return the marks as they are stored: a list of plain values."""
    return [asdict(mark) for mark in marks]


def from_stored(stored: Iterable[Mapping[str, Any]]) -> tuple[Mark, ...]:
    """Return the marks that ``to_stored`` wrote."""
    return tuple(Mark(**one) for one in stored)


def counted(marks: Sequence[Mark]) -> str:
    """Return the marks for a sentence: "2 circles, 1 measure line"."""
    found = {kind: sum(mark.kind == kind for mark in marks) for kind in KINDS}
    return ", ".join(_named(kind, count) for kind, count in found.items() if count)


def marked_copy(sha256: str, file: str) -> str:
    """Return the sentence under a marked copy: it names the untouched original."""
    named = f", file {file}" if file else ""
    return f"Marked copy. Original: SHA-256 {sha256[:12]}...{named}."


def _named(kind: str, count: int) -> str:
    if kind == "words":
        return "words" if count == 1 else f"words at {count} places"
    word = KINDS[kind].lower()
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def _point(
    point: tuple[int | None, int | None], names: tuple[str, str]
) -> tuple[int, int]:
    found = []
    for place, name in zip(point, names, strict=True):
        if place is None:
            raise MarkError(name, "Enter a percentage, such as 50 for the middle.")
        if not 0 <= place <= WHOLE:
            raise MarkError(name, "That is outside the photo. Enter 0 to 100.")
        found.append(place)
    return found[0], found[1]


def _circle(one: tuple[int, int], other: tuple[int, int]) -> Mark:
    """Return the circle with its corners in order: top left, bottom right."""
    x1, x2 = sorted((one[0], other[0]))
    y1, y2 = sorted((one[1], other[1]))
    if min(x2 - x1, y2 - y1) < LEAST:
        raise MarkError("x2", "Make it larger: a circle needs a width and a height.")
    return Mark("circle", x1, y1, x2, y2)


def _text(text: str) -> str:
    line = " ".join(clean_text(text).split())
    if not line:
        raise MarkError("text", "Enter the words.")
    if len(line) > MOST_TEXT:
        raise MarkError(
            "text", f"Shorten this to {MOST_TEXT} characters; it has {len(line)}."
        )
    return line


def _length(text: str) -> str:
    line = " ".join(clean_text(text).split())
    if not line:
        raise MarkError("length", "Enter the length that you measured.")
    try:
        value = parse_inches(line)
    except MeasureError:
        value = Fraction(0)
    if value <= 0 or len(line) > MOST_LENGTH:
        raise MarkError("length", "Enter a length above 0, such as 3 1/2 or 88.5.")
    return line.removesuffix('"').strip()


def _unit(unit: str) -> str:
    if unit not in UNITS:
        raise MarkError("unit", "Choose in, ft, mm or cm.")
    return unit
