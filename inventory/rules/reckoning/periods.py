"""Adding a period to a day, forward or backward, with the steps of the count.

The day that starts the clock is not counted unless the rule says so. Months
and years end on the same-numbered day, or on the month's last day where it has
none: the corresponding date rule, Dodds v Walker [1981] 1 WLR 1027. Nothing
moves a last day off a weekend or holiday unless ``roll`` asks for it.
"""

import calendar as month_table
import datetime as dt
from dataclasses import dataclass
from typing import Literal

from inventory.rules.reckoning import calendars
from inventory.rules.reckoning.calendars import WEEKENDS_ONLY, Calendar, in_words

Unit = Literal["days", "business-days", "weeks", "months", "years"]
Direction = Literal["forward", "backward"]
Roll = Literal["none", "next", "previous", "continue"]
Excepted = Literal["none", "sundays-and-holidays"]

UNITS: tuple[Unit, ...] = ("days", "business-days", "weeks", "months", "years")
DIRECTIONS: tuple[Direction, ...] = ("forward", "backward")
ROLLS: tuple[Roll, ...] = ("none", "next", "previous", "continue")
EXCEPTED: tuple[Excepted, ...] = ("none", "sundays-and-holidays")

MOST = 150_000
_NAMED_AT_MOST = 12
_ONE_DAY = dt.timedelta(days=1)
_SINGULAR = {
    "days": "day",
    "business-days": "business day",
    "weeks": "week",
    "months": "month",
    "years": "year",
}


class PeriodError(ValueError):
    """A period cannot be counted."""


@dataclass(frozen=True, slots=True)
class Period:
    """A period and how it is counted."""

    count: int
    unit: Unit
    direction: Direction = "forward"
    roll: Roll = "none"
    excepted: Excepted = "none"
    is_start_counted: bool = False


@dataclass(frozen=True, slots=True)
class Counted:
    """The last day of a period and the steps that led to it."""

    due: dt.date
    steps: tuple[str, ...]


def counted_words(count: int, unit: Unit) -> str:
    """Return "5 business days" or "1 year"."""
    singular = _SINGULAR[unit]
    return f"{count} {singular}" if count == 1 else f"{count} {singular}s"


def add_period(
    start: dt.date, period: Period, calendar: Calendar = WEEKENDS_ONLY
) -> Counted:
    """Return the last day of ``period`` counted from ``start``, with steps.

    Raise PeriodError for a negative or enormous count, for Sundays and
    holidays excepted from months or years, and beyond the years 1 to 9999.
    """
    _check(period)
    try:
        if period.unit == "business-days" or period.excepted != "none":
            counted = _walk(start, period, calendar)
        else:
            counted = _jump(start, period)
        return _rolled(counted, period, calendar)
    except (OverflowError, ValueError) as error:
        if isinstance(error, calendars.CalendarError | PeriodError):
            raise
        raise PeriodError("The period runs past the calendar.") from None


def _check(period: Period) -> None:
    if not 0 <= period.count <= MOST:
        raise PeriodError(f"A period must have from 0 to {MOST} units.")
    if period.excepted != "none" and period.unit in {"months", "years"}:
        raise PeriodError(
            "Sundays and holidays can be left out of days and weeks only, not of "
            "months or years."
        )


def _opening(start: dt.date, period: Period) -> str:
    counted = "counted as the first day" if period.is_start_counted else "not counted"
    way = "forward" if period.direction == "forward" else "backward"
    return (
        f"Start from {in_words(start)}; that day is {counted}. "
        f"Count {counted_words(period.count, period.unit)} {way}."
    )


def _jump(start: dt.date, period: Period) -> Counted:
    """Count every calendar day, week, month or year."""
    sign = 1 if period.direction == "forward" else -1
    steps = [_opening(start, period)]
    if period.unit in {"months", "years"}:
        months = period.count * (12 if period.unit == "years" else 1)
        due = add_months(start, sign * months)
        if due.day != start.day:
            steps.append(
                f"{calendars.MONTHS[due.month - 1]} {due.year} has no day "
                f"{start.day}, so its last day is used."
            )
        else:
            steps.append("It ends on the day with the same number.")
    else:
        days = period.count * (7 if period.unit == "weeks" else 1)
        due = start + dt.timedelta(days=sign * days)
        if period.unit == "days":
            steps.append("Every day counts, weekends and holidays too.")
        else:
            steps.append("It ends on the same day of the week.")
    if period.is_start_counted and period.count:
        due -= sign * _ONE_DAY
        steps.append("One day less, because the first day counts.")
    steps.append(f"The last day is {in_words(due)}.")
    return Counted(due=due, steps=tuple(steps))


def add_months(start: dt.date, months: int) -> dt.date:
    """Return the corresponding date ``months`` later, or earlier if negative.

    Where the month has no such day the month's last day stands for it.
    """
    year, month = divmod(start.year * 12 + start.month - 1 + months, 12)
    last = month_table.monthrange(year, month + 1)[1]
    return dt.date(year, month + 1, min(start.day, last))


def _why_skipped(day: dt.date, period: Period, calendar: Calendar) -> str:
    """Return why the day is left out of the count; empty where it counts."""
    if period.unit == "business-days":
        return calendars.why_not_business_day(day, calendar)
    holiday = calendars.holiday_on(day, calendar)
    if holiday is not None:
        return holiday.name
    return "a Sunday" if calendars.is_sunday(day) else ""


def _walk(start: dt.date, period: Period, calendar: Calendar) -> Counted:
    """Count day by day, skipping the days that the rule leaves out."""
    step = _ONE_DAY if period.direction == "forward" else -_ONE_DAY
    left = period.count * (7 if period.unit == "weeks" else 1)
    day = start - step if period.is_start_counted and left else start
    skipped: list[tuple[dt.date, str]] = []
    while left:
        day += step
        reason = _why_skipped(day, period, calendar)
        if reason:
            skipped.append((day, reason))
        else:
            left -= 1
    steps = [_opening(start, period), *_skipped_words(skipped, period)]
    if not (
        calendars.is_covered(start, calendar) and calendars.is_covered(day, calendar)
    ):
        steps.append(
            f"The holiday table for {calendar.code} does not cover all these years. "
            "In the years without a table only weekends and added days were left "
            "out."
        )
    steps.append(f"The last day is {in_words(day)}.")
    return Counted(due=day, steps=tuple(steps))


def _skipped_words(skipped: list[tuple[dt.date, str]], period: Period) -> list[str]:
    """Return which days were left out: weekends in one line, holidays by name."""
    plain = "a weekend" if period.unit == "business-days" else "a Sunday"
    holidays = [(day, why) for day, why in skipped if why != plain]
    words = []
    if len(holidays) < len(skipped):
        left_out = "Saturdays and Sundays" if plain == "a weekend" else "Sundays"
        words.append(f"{left_out} are left out ({len(skipped) - len(holidays)} days).")
    words += [
        f"{in_words(day)} is left out: {why}." for day, why in holidays[:_NAMED_AT_MOST]
    ]
    if len(holidays) > _NAMED_AT_MOST:
        more = len(holidays) - _NAMED_AT_MOST
        words.append(
            f"And {more} more {'holiday is' if more == 1 else 'holidays are'} left out."
        )
    return words


def _rolled(counted: Counted, period: Period, calendar: Calendar) -> Counted:
    """Move the last day to a business day where the rule says so."""
    if period.roll == "none" or calendars.is_business_day(counted.due, calendar):
        return counted
    is_later = period.roll == "next" or (
        period.roll == "continue" and period.direction == "forward"
    )
    move = calendars.on_or_after if is_later else calendars.on_or_before
    due = move(counted.due, calendar)
    step = (
        f"{in_words(counted.due)} is not a business day "
        f"({calendars.why_not_business_day(counted.due, calendar)}): it moves "
        f"{('forward' if is_later else 'back')} to {in_words(due)}."
    )
    return Counted(due=due, steps=(*counted.steps, step))
