"""What came against what was announced: marks missing, marks extra, days late."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from inventory.rules.codes.normal_keys import normal_key


@dataclass(frozen=True)
class Compared:
    """The differences between an announcement and what came."""

    announced: int
    came: int
    missing: tuple[str, ...]
    extra: tuple[str, ...]
    days_late: int | None

    @property
    def agrees(self) -> bool:
        """Return whether everything came as announced, on the day or before it."""
        is_late = self.days_late is not None and self.days_late > 0
        return self.announced == self.came and not (
            self.missing or self.extra or is_late
        )


def compare(
    *,
    announced_marks: Sequence[str],
    announced: int,
    marks: Sequence[str],
    expected_on: date,
    arrived_on: date | None,
) -> Compared:
    """Compare the marks, whatever separates their letters, the counts and the days.

    ``marks`` are those of the crates that came, "" for one without a mark.
    """
    came = {normal_key(mark) for mark in marks if mark}
    told = {normal_key(mark) for mark in announced_marks if mark}
    return Compared(
        announced=announced,
        came=len(marks),
        missing=tuple(m for m in announced_marks if m and normal_key(m) not in came),
        extra=tuple(m for m in marks if m and normal_key(m) not in told),
        days_late=(arrived_on - expected_on).days if arrived_on else None,
    )


def state_of(*, expected_on: date, has_come: bool, today: date) -> str:
    """Return "arrived", "late" or "due"."""
    if has_come:
        return "arrived"
    return "late" if expected_on < today else "due"
