"""A month of the claims: opening, what came and went, closing; and their ages."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from claims.rules.books import kinds

LINES = {
    "filed": "Filed",
    "brought-in": "Brought in",
    "supplements": "Supplements",
    "reductions": "Reductions",
    "cash": "Cash received",
    "credits": "Carrier credits against freight",
    "salvage": "Salvage kept against the claim",
    "written-off": "Written off",
    "reversals": "Reversals",
}
"""What changes the open claims in a month, in the order it is shown."""

LINE_OF = {
    kinds.FILED: "filed",
    kinds.OPENED: "brought-in",
    kinds.SUPPLEMENT: "supplements",
    kinds.STRUCK: "reductions",
    kinds.REDUCTION: "reductions",
    kinds.PAID: "cash",
    kinds.CREDIT: "credits",
    kinds.KEPT: "salvage",
    kinds.SETTLED: "written-off",
    kinds.NOT_PURSUED: "written-off",
    kinds.WITHDRAWN: "written-off",
    kinds.REVERSAL: "reversals",
}
"""The line of each kind of entry; the other kinds only move what is open."""

AGES = ((30, "0 to 30 days"), (60, "31 to 60 days"), (120, "61 to 120 days"))
OLDEST = "Over 120 days"
AGE_LABELS = (*(label for _, label in AGES), OLDEST)


@dataclass(frozen=True, slots=True)
class Roll:
    """One column of the roll-forward, in cents of one currency."""

    opening: int
    lines: Mapping[str, int]
    closing: int

    @property
    def difference(self) -> int:
        """Return what the lines leave unexplained; anything but 0 is a fault."""
        return self.closing - self.opening - sum(self.lines.values())


def roll_of(opening: int, moves: Iterable[tuple[str, int]]) -> Roll:
    """Return the column of these entries, by their kind and cents."""
    lines = dict.fromkeys(LINES, 0)
    closing = opening
    for kind, cents in moves:
        closing += cents
        if kind in LINE_OF:
            lines[LINE_OF[kind]] += cents
    return Roll(opening, lines, closing)


def sum_of(rolls: Iterable[Roll]) -> Roll:
    """Return the total of columns of one currency."""
    lines = dict.fromkeys(LINES, 0)
    opening = closing = 0
    for one in rolls:
        opening, closing = opening + one.opening, closing + one.closing
        for key, cents in one.lines.items():
            lines[key] += cents
    return Roll(opening, lines, closing)


def age_label(days: int) -> str:
    """Return the column of a claim filed this many days ago; day 30 is the first's."""
    for last, label in AGES:
        if days <= last:
            return label
    return OLDEST


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar of the picture beside the roll-forward: where it stands, in whole units.

    ``look`` is sum, more or less.
    """

    x: int
    width: int
    look: str


def bars_of(roll: Roll, width: int) -> list[Bar]:
    """Return a bar for the opening, each line and the closing, on one scale."""
    levels = [0, roll.opening]
    spans = [(0, roll.opening, "sum")]
    for key in LINES:
        cents, level = roll.lines[key], levels[-1]
        levels.append(level + cents)
        look = "more" if cents >= 0 else "less"
        spans.append((min(level, level + cents), abs(cents), look))
    spans.append((0, roll.closing, "sum"))
    most = max(*levels, 1)
    return [
        Bar(start * width // most, -(-length * width // most), look)
        for start, length, look in spans
    ]
