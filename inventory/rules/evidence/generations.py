"""Which copies of a backup are kept: the last of each day, week and month, so far back."""

from collections.abc import Callable, Collection
from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True)
class Keep:
    """How many days, weeks and months keep their last copy."""

    days: int = 7
    weeks: int = 5
    months: int = 12


def kept(moments: Collection[datetime], keep: Keep) -> frozenset[datetime]:
    """Return the moments of the copies to keep, the newest always.

    A day, an ISO week or a month without a copy takes no place, so that a house that
    was shut for long still has so many. All moments are of one time zone.
    """
    newest = frozenset([max(moments)]) if moments else frozenset()
    return newest.union(
        _last_of_each(moments, keep.days, lambda at: at.date()),
        _last_of_each(moments, keep.weeks, lambda at: at.isocalendar()[:2]),
        _last_of_each(moments, keep.months, lambda at: (at.year, at.month)),
    )


def _last_of_each(
    moments: Collection[datetime], most: int, span: Callable[[datetime], object]
) -> list[datetime]:
    last = {span(at): at for at in sorted(moments)}
    return sorted(last.values(), reverse=True)[:most]
