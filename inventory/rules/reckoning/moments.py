"""Moments as the clock on a dock shows them, and days as people read them.

Every moment that a page, a paper or a rule needs on a dock's own clock passes here:
the same photo has the same time everywhere.
"""

import datetime as dt

from inventory.rules.reckoning.calendars import MONTHS, WEEKDAYS

_NOON = 12


def dock_clock(moment: dt.datetime, zone: dt.tzinfo) -> dt.datetime:
    """Return the moment on the clock of a dock in this zone, with its offset.

    Raise ValueError for a time without an offset: it names no moment.
    """
    if moment.utcoffset() is None:
        raise ValueError("A time without an offset is no moment.")
    return moment.astimezone(zone)


def dock_day(moment: dt.datetime, zone: dt.tzinfo) -> dt.date:
    """Return the day on which the moment falls at a dock in this zone."""
    return dock_clock(moment, zone).date()


def dock_time(moment: dt.datetime, zone: dt.tzinfo, today: dt.date | None) -> str:
    """Return a moment as people read it: "Thu 26 Nov, 5:00 AM".

    The year stands where it is not the year of ``today``, and always where ``today``
    is None: on papers, which are read in other years.
    """
    here = dock_clock(moment, zone)
    return f"{day_words(here.date(), today)}, {clock_words(here)}"


def dock_hour(moment: dt.datetime, zone: dt.tzinfo) -> str:
    """Return the time of day alone: "5:00 AM"."""
    return clock_words(dock_clock(moment, zone))


def paper_time(moment: dt.datetime, zone: dt.tzinfo) -> str:
    """Return a moment as a paper states it: "Thu 26 Nov 2026, 5:00 AM (-06:00)"."""
    offset = f"{dock_clock(moment, zone):%z}"
    return f"{dock_time(moment, zone, None)} ({offset[:3]}:{offset[3:5]})"


CLOCKS_AGREE = dt.timedelta(minutes=5)
"""How far two clocks may differ before a person is told; a choice of our own."""


def clock_difference(clock: dt.datetime, right: dt.datetime) -> str:
    """Return how far a clock is off: "2 h 5 min behind"; nothing for a few minutes."""
    off = clock - right
    if abs(off) <= CLOCKS_AGREE:
        return ""
    minutes = (abs(off) + dt.timedelta(seconds=30)) // dt.timedelta(minutes=1)
    days, hours, minutes = minutes // 1440, minutes // 60 % 24, minutes % 60
    parts = [
        f"{days} day{'' if days == 1 else 's'}" if days else "",
        f"{hours} h" if hours else "",
        f"{minutes} min" if minutes and not days else "",
    ]
    said = " ".join(part for part in parts if part)
    return f"{said} {'ahead' if off > dt.timedelta() else 'behind'}"


def day_words(day: dt.date, today: dt.date | None) -> str:
    """Return a day as people read it: "Thu 26 Nov".

    The year follows where it is not the year of ``today``, and always where ``today``
    is None.
    """
    words = f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]}"
    is_this_year = today is not None and day.year == today.year
    return words if is_this_year else f"{words} {day.year}"


def clock_words(here: dt.datetime) -> str:
    """Return the time of day of a clock: "5:00 AM"."""
    half = "AM" if here.hour < _NOON else "PM"
    return f"{here.hour % _NOON or _NOON}:{here.minute:02d} {half}"
