"""Months of the calendar: their ends, their neighbors, and how an address names one."""

import datetime as dt
import re
from dataclasses import dataclass

from inventory.rules.reckoning.calendars import FULL_MONTHS
from inventory.rules.reckoning.periods import add_months

EARLIEST = dt.date(2000, 1, 1)
"""No page goes back beyond this day: what is older is in a company's older books."""

LATEST = dt.date(2099, 12, 31)
"""No page goes ahead beyond this day."""

_ONE_DAY = dt.timedelta(days=1)
_KEY = re.compile(r"([0-9]{4})-(0[1-9]|1[0-2])")


@dataclass(frozen=True, order=True)
class CalendarMonth:
    """One month of the calendar, named by its first day."""

    first: dt.date

    @classmethod
    def of(cls, day: dt.date) -> "CalendarMonth":
        """Return the month of this day."""
        return cls(day.replace(day=1))

    @property
    def last(self) -> dt.date:
        """Return its last day."""
        return add_months(self.first, 1) - _ONE_DAY

    @property
    def before(self) -> "CalendarMonth":
        """Return the month before."""
        return CalendarMonth(add_months(self.first, -1))

    @property
    def after(self) -> "CalendarMonth":
        """Return the month after."""
        return CalendarMonth(add_months(self.first, 1))

    @property
    def key(self) -> str:
        """Return the month as an address has it: "2026-11"."""
        return f"{self.first:%Y-%m}"

    def __str__(self) -> str:
        return f"{FULL_MONTHS[self.first.month - 1]} {self.first.year}"


def month_named(key: str, *, newest: CalendarMonth) -> CalendarMonth | None:
    """Return the month that is written as 2026-11; None for none up to ``newest``."""
    found = _KEY.fullmatch(key)
    if not found:
        return None
    # Compared as text: a year that no calendar has never becomes a day.
    if not CalendarMonth(EARLIEST).key <= key <= newest.key:
        return None
    return CalendarMonth(dt.date(int(found[1]), int(found[2]), 1))
