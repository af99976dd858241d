"""The days of what is next on a claim: of a deadline, or of an answer that is owed."""

from dataclasses import dataclass
from datetime import date

from inventory.rules.reckoning.ruler import Cells, Ruler, lay_cells, lay_ruler


@dataclass(frozen=True)
class Term:
    """The days of a deadline, or of an answer that is owed."""

    start: date
    safe: date | None
    due: date
    today: date

    @property
    def bar(self) -> Ruler | None:
        """Return the days as one bar; None where there is no length to draw."""
        return lay_ruler(
            starts_on=self.start, due=self.due, today=self.today, safe=self.safe
        )

    @property
    def cells(self) -> Cells | None:
        """Return one cell a day, None where they are too many."""
        return lay_cells(
            starts_on=self.start, due=self.due, today=self.today, safe=self.safe
        )

    @property
    def marks(self) -> list[tuple[str, date]]:
        """Return the days by their names, in their order."""
        named = {"Start": self.start, "Safe": self.safe, "Due": self.due}
        marks = [(word, day) for word, day in named.items() if day]
        return sorted([*marks, ("Today", self.today)], key=lambda one: one[1])
