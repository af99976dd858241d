"""Marks as lines, ovals and labels, for a page or a PDF to draw over a picture.

All in whole units: the picture is 10,000 wide and as high as its shape says, counted
from its top left corner. Every line has a white halo under dark ink, so that it can
be seen on any photo.
"""

import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import isqrt

from inventory.rules.evidence.markup import WHOLE, Mark

WIDE = 10_000
INK = 64
HALO = 150
SIZE = 460
"""The height of the letters: 16 px where the picture is a phone's width."""
_LEADING = 520
_LETTER = 290
"""How wide a letter is at most, on average: bold, with room."""
_LINE = 24
_MARGIN = 140
_HEAD = 420
_TICK = 210


@dataclass(frozen=True)
class Oval:
    """A circle as wide and high as its box."""

    x: int
    y: int
    rx: int
    ry: int


@dataclass(frozen=True)
class Strokes:
    """One line through points."""

    points: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Label:
    """One line of words: where its baseline begins."""

    x: int
    y: int
    text: str


Shape = Oval | Strokes | Label


def height_of(width: int, height: int) -> int:
    """Return how high a picture of this many pixels is, in our units."""
    return max(height * WIDE // width, 1) if width > 0 else WIDE


def shapes_of(marks: Iterable[Mark], high: int) -> tuple[Shape, ...]:
    """Return what to draw over a picture that is ``high`` units high, in order."""
    return tuple(shape for mark in marks for shape in _shapes(mark, high))


def _shapes(mark: Mark, high: int) -> Sequence[Shape]:
    start = _place(mark.x1, mark.y1, high)
    end = _place(mark.x2, mark.y2, high)
    match mark.kind:
        case "circle":
            middle = ((start[0] + end[0]) // 2, (start[1] + end[1]) // 2)
            return [Oval(*middle, (end[0] - start[0]) // 2, (end[1] - start[1]) // 2)]
        case "arrow":
            return [Strokes((start, end)), _head(start, end)]
        case "measure":
            middle = ((start[0] + end[0]) // 2, (start[1] + end[1]) // 2)
            ticks = [_tick(start, end, at) for at in (start, end)]
            return [Strokes((start, end)), *ticks, *_labels(mark.label, middle, high)]
        case _:
            return _labels(mark.label, start, high)


def _place(x: int, y: int, high: int) -> tuple[int, int]:
    return x * WIDE // WHOLE, y * high // WHOLE


def _along(
    start: tuple[int, int], end: tuple[int, int], length: int
) -> tuple[int, int]:
    """Return the step of this length from start toward end."""
    across, down = end[0] - start[0], end[1] - start[1]
    whole = isqrt(across * across + down * down) or 1
    return across * length // whole, down * length // whole


def _head(start: tuple[int, int], end: tuple[int, int]) -> Strokes:
    across, down = _along(start, end, _HEAD)
    left = (end[0] - across - down * 3 // 5, end[1] - down + across * 3 // 5)
    right = (end[0] - across + down * 3 // 5, end[1] - down - across * 3 // 5)
    return Strokes((left, end, right))


def _tick(start: tuple[int, int], end: tuple[int, int], at: tuple[int, int]) -> Strokes:
    across, down = _along(start, end, _TICK)
    return Strokes(((at[0] - down, at[1] + across), (at[0] + down, at[1] - across)))


def _labels(text: str, at: tuple[int, int], high: int) -> list[Label]:
    """Return the words in short lines, moved where they would leave the picture."""
    lines = textwrap.wrap(text, _LINE) or [""]
    wide = max(len(line) for line in lines) * _LETTER
    x = max(min(at[0] + _MARGIN, WIDE - wide - _MARGIN), _MARGIN)
    last = high - _MARGIN - _LEADING * (len(lines) - 1)
    y = max(min(at[1] - _MARGIN, last), SIZE)
    return [Label(x, y + number * _LEADING, line) for number, line in enumerate(lines)]
