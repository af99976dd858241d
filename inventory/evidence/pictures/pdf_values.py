"""What a foreign PDF says of itself, read with care: numbers, rectangles, places."""

# ruff: noqa: ANN401 - the objects of a PDF are of any type

import math
from typing import Any

from pypdf.generic import (
    FloatObject,
    IndirectObject,
    NullObject,
    NumberObject,
    StreamObject,
)

MOST_DEEP = 60
LARGEST, SMALLEST = 14_400.0, 18.0


class UnfitError(Exception):
    """A PDF or a page that is not bound; the message is a code."""


def open_up(thing: Any) -> Any:
    """Return what a reference points to, or the thing itself."""
    for _ in range(MOST_DEEP):
        if not isinstance(thing, IndirectObject):
            return thing
        thing = thing.get_object()
    raise UnfitError("TooDeep")


def number_of(thing: Any, otherwise: float) -> float:
    """Return a finite number, or the other value."""
    found = open_up(thing)
    if isinstance(found, NumberObject | FloatObject | int | float):
        value = float(found)
        return value if math.isfinite(value) else otherwise
    return otherwise


def numbers_of(thing: Any, count: int) -> list[float] | None:
    """Return so many numbers, or None for anything else."""
    found = open_up(thing)
    if not isinstance(found, list) or len(found) != count:
        return None
    values = [number_of(one, math.nan) for one in found]
    return None if any(math.isnan(value) for value in values) else values


def rectangle_of(thing: Any) -> tuple[float, float, float, float] | None:
    """Return left, low, right and high, or None for anything else."""
    sides = numbers_of(thing, 4)
    if sides is None:
        return None
    x1, y1, x2, y2 = sides
    return min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)


def shown_box(page: dict[str, Any]) -> tuple[float, float, float, float]:
    """Return what is shown of the page: its crop box within its media box."""
    media = rectangle_of(page.get("/MediaBox")) or (0.0, 0.0, 612.0, 792.0)
    crop = rectangle_of(page.get("/CropBox")) or media
    left, low = max(media[0], crop[0]), max(media[1], crop[1])
    right, high = min(media[2], crop[2]), min(media[3], crop[3])
    if right - left < SMALLEST or high - low < SMALLEST:
        left, low, right, high = media
    if not SMALLEST <= right - left <= LARGEST or not SMALLEST <= high - low <= LARGEST:
        raise UnfitError("PageSize")
    return left, low, right, high


def fitting(
    look: dict[str, Any], place: tuple[float, float, float, float]
) -> tuple[float, ...] | None:
    """Return the matrix that puts an appearance into its rectangle (12.5.5)."""
    box = rectangle_of(look.get("/BBox"))
    if box is None:
        return None
    a, b, c, d, e, f = numbers_of(look.get("/Matrix"), 6) or (1, 0, 0, 1, 0, 0)
    corners = [(x, y) for x in (box[0], box[2]) for y in (box[1], box[3])]
    across = [a * x + c * y + e for x, y in corners]
    up = [b * x + d * y + f for x, y in corners]
    wide, tall = max(across) - min(across), max(up) - min(up)
    if wide <= 0 or tall <= 0:
        return None
    sx, sy = (place[2] - place[0]) / wide, (place[3] - place[1]) / tall
    return sx, 0, 0, sy, place[0] - min(across) * sx, place[1] - min(up) * sy


def filters_of(stream: StreamObject) -> list[str]:
    """Return how a stream is packed, the outermost first."""
    found = open_up(stream.get("/Filter"))
    if found is None or isinstance(found, NullObject):
        return []
    several = found if isinstance(found, list) else [found]
    return [str(open_up(one)) for one in several]
