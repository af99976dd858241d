"""Why a supplier's statement and our books differ: the rows that add up to it."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

MOST_TRIED = 14
"""How many rows are tried in combination: 16,384 sums at most."""


@dataclass(frozen=True)
class Reason:
    """One row that may make our figure higher than the supplier's (below zero: lower).

    ``page`` and ``key`` name the page on which it is decided; ``has_letter`` says
    whether a letter with its proof can be printed there.
    """

    words: str
    cents: int
    kind: str
    page: str = ""
    key: int = 0
    has_letter: bool = False


@dataclass(frozen=True)
class Comparison:
    """Our figure against the supplier's, in cents, and what explains the difference.

    ``explained`` are the fewest rows that add up to it, to the cent; ``others`` the
    remaining rows that may have a part in it.
    """

    ours: int
    stated: int
    explained: tuple[Reason, ...] = ()
    others: tuple[Reason, ...] = ()

    @property
    def difference(self) -> int:
        """Return how much our figure exceeds the supplier's, in cents."""
        return self.ours - self.stated

    @property
    def agrees(self) -> bool:
        """Return whether both figures are the same."""
        return not self.difference

    @property
    def is_explained(self) -> bool:
        """Return whether known rows add up to the difference."""
        return self.agrees or bool(self.explained)


def compare(ours: int, stated: int, reasons: Sequence[Reason]) -> Comparison:
    """Compare both figures and name the fewest rows that explain the difference.

    The first ``MOST_TRIED`` rows are tried; give the likeliest first.
    """
    rows = [row for row in reasons if row.cents]
    gap = ours - stated
    if not gap:
        return Comparison(ours, stated, (), tuple(rows))
    found = _fewest(gap, rows[:MOST_TRIED])
    rest = [row for place, row in enumerate(rows) if place not in found]
    return Comparison(ours, stated, tuple(rows[place] for place in found), tuple(rest))


def _fewest(gap: int, rows: Sequence[Reason]) -> tuple[int, ...]:
    for size in range(1, len(rows) + 1):
        for places in combinations(range(len(rows)), size):
            if sum(rows[place].cents for place in places) == gap:
                return places
    return ()
