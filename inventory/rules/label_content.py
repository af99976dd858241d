"""What a crate's label says, frozen, and the sheets it may be printed on.

Sheet sizes are those of common blank sheets of die-cut labels: common practice, no
source. A printer's own scaling would move them, so they are printed at actual size.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from inventory.rules.identifiers import Identifier, parse

Paper = Literal["letter", "a4"]


@dataclass(frozen=True)
class CrateLabel:
    """One label. ``code`` is what the QR holds: a Digital Link, or the crate's mark.

    ``bars`` is the bare element string of the bar code and ``readable`` the same in
    brackets; both are empty for a crate without a GS1 key. ``name`` is printed large,
    ``kicker`` small above it.
    """

    name: str
    code: str
    supplier: str
    crate_type: str
    bill: str
    kicker: str
    return_to: str
    bars: str = ""
    readable: str = ""


@dataclass(frozen=True)
class LabelSheet:
    """A sheet of equal labels, in points: 72 an inch. ``words`` tells what to buy."""

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


def label_key(grai: str, sscc: str, others: Sequence[str]) -> Identifier | None:
    """Return the identifier that a crate's label carries, or None where it has none.

    The GRAI comes first, for it names the crate for life; then a GIAI among the marks,
    then the SSCC of this trip, then the first mark that can be read.
    """
    stored = [f"(8003){grai}" if grai else "", f"(00){sscc}" if sscc else "", *others]
    found = [found for text in stored if text and (found := parse(text)).valid]
    for kind in ("grai", "giai", "sscc", "own"):
        for identifier in found:
            if identifier.kind == kind:
                return identifier
    return None


def codes_of(identifier: Identifier) -> tuple[str, str, str]:
    """Return what the QR holds, what the bar code holds, and the bar code in words."""
    element = identifier.element
    if element is None:
        return identifier.key, "", ""
    bare = element.ai + element.value
    return identifier.digital_link, bare, identifier.element_string
