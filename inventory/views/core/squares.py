"""QR codes as what a template draws: a square and one path."""

from dataclasses import dataclass

QUIET = 4
"""Modules of margin (ISO/IEC 18004)."""


@dataclass(frozen=True)
class Square:
    """One code: modules along a side with its margin, and the path of the dark ones."""

    side: int
    path: str


def square_of(text: str) -> Square:
    """Return the QR code of this text."""
    import segno  # noqa: PLC0415 - few pages draw one

    rows = list(segno.make(text, error="m", micro=False).matrix)
    dark = (
        f"M{x + QUIET} {y + QUIET}h1v1h-1z"
        for y, row in enumerate(rows)
        for x, module in enumerate(row)
        if module
    )
    return Square(len(rows) + 2 * QUIET, "".join(dark))
