"""Holidays by country and subdivision, and what a business day is.

A business day is Monday to Friday and not a holiday. The day on which a holiday
that falls on a weekend is observed is a holiday too, and is marked as observed.
Source of the dates: the ``holidays`` library, called in one function; a table that
ends (most end in 2100) gives no holidays after its end, and ``is_covered`` is
False there.
"""

import datetime as dt
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

_CODE = re.compile(r"[A-Z]{2}(-[A-Z0-9]{1,3})?")
_SATURDAY = 5
_SUNDAY = 6
_ONE_DAY = dt.timedelta(days=1)

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = (
    *("Jan", "Feb", "Mar", "Apr", "May", "Jun"),
    *("Jul", "Aug", "Sep", "Oct", "Nov", "Dec"),
)


class CalendarError(ValueError):
    """The calendar code is not known."""


@dataclass(frozen=True, slots=True)
class Holiday:
    """One holiday: its day, its name, and whether it is only observed on that day."""

    on: dt.date
    name: str
    is_observed: bool = False


@dataclass(frozen=True, slots=True)
class Calendar:
    """The holidays that count: a table by code, and days added by hand.

    ``code`` is a country ("US") or a subdivision ("CA-ON", "DE-BY"); the
    empty code has weekends and the added days only.
    """

    code: str = ""
    added: frozenset[dt.date] = frozenset()


WEEKENDS_ONLY = Calendar()


def calendar_named(code: str, added: Iterable[dt.date] = ()) -> Calendar:
    """Return the calendar for ``code``; raise CalendarError if it is unknown."""
    if code:
        if not _CODE.fullmatch(code):
            raise CalendarError(
                f"{code[:20]!r} is not a calendar. Use a code such as US, CA-ON or "
                "DE-BY."
            )
        _table(code, 2024)
    return Calendar(code=code, added=frozenset(added))


@lru_cache(maxsize=4096)
def _table(code: str, year: int) -> Mapping[dt.date, Holiday] | None:
    """Return the holidays of one year; None where the table does not reach."""
    import holidays  # noqa: PLC0415  (slow to import, and only needed here)

    country, _, subdivision = code.partition("-")
    try:
        kept = holidays.country_holidays(
            country,
            subdiv=subdivision or None,
            years=year,
            observed=True,
            language="en_US",
        )
    except NotImplementedError:
        raise CalendarError(
            f"There is no holiday table for {code}. Use a code such as US, CA-ON or "
            "DE-BY."
        ) from None
    if not kept.start_year <= year <= kept.end_year:
        return None
    actual = holidays.country_holidays(
        country, subdiv=subdivision or None, years=year, observed=False
    )
    return {
        day: Holiday(on=day, name=name, is_observed=day not in actual)
        for day, name in kept.items()
        if day.year == year
    }


def is_covered(day: dt.date, calendar: Calendar) -> bool:
    """Return whether the calendar's table reaches the year of ``day``."""
    return not calendar.code or _table(calendar.code, day.year) is not None


def holiday_on(day: dt.date, calendar: Calendar) -> Holiday | None:
    """Return the name of the holiday on ``day``, observed ones included, or None."""
    table = _table(calendar.code, day.year) if calendar.code else None
    found = table.get(day) if table else None
    if found is None and day in calendar.added:
        return Holiday(on=day, name="a holiday you added")
    return found


def is_holiday(day: dt.date, calendar: Calendar) -> bool:
    """Return whether ``day`` is a holiday, actual or observed."""
    return holiday_on(day, calendar) is not None


def is_weekend(day: dt.date) -> bool:
    """Return whether ``day`` is a Saturday or a Sunday."""
    return day.weekday() >= _SATURDAY


def is_sunday(day: dt.date) -> bool:
    """Return whether ``day`` is a Sunday."""
    return day.weekday() == _SUNDAY


def is_business_day(day: dt.date, calendar: Calendar) -> bool:
    """Return whether ``day`` is Monday to Friday and no holiday."""
    return not is_weekend(day) and not is_holiday(day, calendar)


def on_or_after(day: dt.date, calendar: Calendar) -> dt.date:
    """Return ``day`` if it is a business day, else the next one."""
    while not is_business_day(day, calendar):
        day += _ONE_DAY
    return day


def on_or_before(day: dt.date, calendar: Calendar) -> dt.date:
    """Return ``day`` if it is a business day, else the one before."""
    while not is_business_day(day, calendar):
        day -= _ONE_DAY
    return day


def previous_business_day(day: dt.date, calendar: Calendar) -> dt.date:
    """Return the last business day before ``day``."""
    return on_or_before(day - _ONE_DAY, calendar)


def why_not_business_day(day: dt.date, calendar: Calendar) -> str:
    """Return why ``day`` is not a business day; empty where it is one."""
    holiday = holiday_on(day, calendar)
    if holiday is not None:
        return holiday.name
    return "a weekend" if is_weekend(day) else ""


def in_words(day: dt.date) -> str:
    """Return ``day`` as "Fri 20 Nov 2026", the same in every locale."""
    weekday, month = WEEKDAYS[day.weekday()], MONTHS[day.month - 1]
    return f"{weekday} {day.day} {month} {day.year}"


FULL_MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July", "August"),
    *("September", "October", "November", "December"),
)


def in_full(day: dt.date) -> str:
    """Return ``day`` as "November 20, 2026", as letters to outsiders say it."""
    return f"{FULL_MONTHS[day.month - 1]} {day.day}, {day.year}"
