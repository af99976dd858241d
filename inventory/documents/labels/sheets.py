"""The sheets of labels that crate labels are printed on, and labels of one page.

Sizes are those of common blank sheets of die-cut labels: common practice, no source.
A printer's own scaling would move them, so they are printed at actual size.
"""

from dataclasses import dataclass
from typing import Literal

Paper = Literal["letter", "a4"]


@dataclass(frozen=True)
class LabelSheet:
    """A sheet of equal labels, in points: 72 an inch. ``words`` says what to buy."""

    paper: Paper
    words: str
    columns: int
    rows: int
    width: float
    height: float
    left: float
    top: float
    gap: float

    @property
    def count(self) -> int:
        """Return how many labels a sheet has."""
        return self.columns * self.rows


_MM = 72 / 25.4

SHEETS: dict[Paper, LabelSheet] = {
    "letter": LabelSheet(
        paper="letter",
        words="Letter sheets of 2 by 3 labels, each 4 by 3⅓ in",
        columns=2,
        rows=3,
        width=288.0,
        height=240.0,
        left=11.25,
        top=36.0,
        gap=13.5,
    ),
    "a4": LabelSheet(
        paper="a4",
        words="A4 sheets of 2 by 4 labels, each 99.1 by 67.7 mm",
        columns=2,
        rows=4,
        width=99.1 * _MM,
        height=67.7 * _MM,
        left=4.65 * _MM,
        top=13.1 * _MM,
        gap=2.5 * _MM,
    ),
}

SINGLES: dict[Paper, tuple[float, float, str]] = {
    "letter": (432.0, 288.0, "One label a page, 6 by 4 in"),
    "a4": (148 * _MM, 105 * _MM, "One label a page, 148 by 105 mm (A6)"),
}
"""Width and height in points of one label alone, and what to call it."""
