"""Ten thousand periods counted twice: by ours, and by dateutil and numpy."""

import datetime as dt
import random

import holidays
import numpy as np
import pytest
from dateutil.relativedelta import relativedelta

from inventory.rules.reckoning.calendars import calendar_named
from inventory.rules.reckoning.periods import Period, add_period
from tests.sizes import cases

CASES = cases(1_000, 10_000)
CODES = ("", "US", "CA-ON", "DE-BY", "GB-ENG", "FR")
FIRST, LAST = dt.date(1975, 1, 1), dt.date(2095, 12, 31)
MASK = "1111100"
MASK_WITH_SATURDAY = "1111110"


@pytest.fixture(scope="module")
def kept():
    """Return the days of each calendar as numpy dates, straight from the library."""
    found = {"": []}
    for code in CODES[1:]:
        country, _, part = code.partition("-")
        table = holidays.country_holidays(
            country, subdiv=part or None, years=range(1960, 2101)
        )
        found[code] = sorted(table)
    return {code: np.array(days, dtype="datetime64[D]") for code, days in found.items()}


def by_other_means(start, period, days):
    """Count with relativedelta and numpy's business days alone."""
    sign = 1 if period.direction == "forward" else -1
    if period.unit == "business-days" or period.excepted != "none":
        mask = MASK if period.unit == "business-days" else MASK_WITH_SATURDAY
        count = period.count * (7 if period.unit == "weeks" else 1)
        due = _offset(start, sign * count, mask, days)
    else:
        due = start + relativedelta(**{period.unit: sign * period.count})
    if period.roll == "none":
        return due
    way = {"next": "forward", "previous": "backward"}.get(period.roll, period.direction)
    return np.busday_offset(due, 0, roll=way, weekmask=MASK, holidays=days).item()


def _offset(start, count, mask, days):
    if count == 0:
        return start
    # From a day left out, the first day counted is the next one in the direction:
    # step back onto the last counted day first.
    roll = "backward" if count > 0 else "forward"
    return np.busday_offset(
        start, count, roll=roll, weekmask=mask, holidays=days
    ).item()


def a_case(source):
    start = FIRST + dt.timedelta(days=source.randrange((LAST - FIRST).days))
    unit = source.choice(["days", "business-days", "weeks", "months", "years"])
    can_except = unit in {"days", "weeks", "business-days"}
    most = {"years": 4, "months": 40, "weeks": 60}.get(unit, 300)
    period = Period(
        count=source.randrange(most + 1),
        unit=unit,
        direction=source.choice(["forward", "backward"]),
        roll=source.choice(["none", "next", "previous", "continue"]),
        excepted="sundays-and-holidays"
        if can_except and unit != "business-days" and source.random() < 0.4
        else "none",
    )
    return start, period, source.choice(CODES)


@pytest.mark.slow
def test_ten_thousand_periods_end_on_the_same_day_by_other_means(kept):
    source = random.Random(20261120)
    differing = []
    for _ in range(CASES):
        start, period, code = a_case(source)
        ours = add_period(start, period, calendar_named(code)).due
        theirs = by_other_means(start, period, kept[code])
        if ours != theirs:
            differing.append((start, period, code, ours, theirs))
    assert differing == []
