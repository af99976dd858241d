"""Periods: which day is counted, where they end, what may move the last day."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.reckoning.calendars import CalendarError, calendar_named
from inventory.rules.reckoning.periods import (
    MOST,
    Period,
    PeriodError,
    add_months,
    add_period,
)

US = calendar_named("US")
DAYS = st.dates(dt.date(1910, 1, 1), dt.date(2190, 12, 31))
COUNTS = st.integers(0, 400)
UNITS = st.sampled_from(["days", "business-days", "weeks", "months", "years"])


def ends(start, count, unit, calendar=US, **more):
    return add_period(start, Period(count, unit, **more), calendar).due


@pytest.mark.parametrize(
    ("count", "unit", "due"),
    [
        (0, "days", dt.date(2026, 1, 31)),
        (1, "days", dt.date(2026, 2, 1)),
        (2, "weeks", dt.date(2026, 2, 14)),
        (1, "months", dt.date(2026, 2, 28)),
        (2, "months", dt.date(2026, 3, 31)),
        (1, "years", dt.date(2027, 1, 31)),
        (1, "business-days", dt.date(2026, 2, 2)),
    ],
)
def test_the_day_that_starts_is_not_counted(count, unit, due):
    assert ends(dt.date(2026, 1, 31), count, unit) == due


@pytest.mark.parametrize(
    ("count", "unit", "due"),
    [
        (1, "days", dt.date(2026, 11, 20)),
        (5, "business-days", dt.date(2026, 11, 27)),
        (1, "months", dt.date(2026, 12, 19)),
    ],
)
def test_the_first_day_can_be_counted(count, unit, due):
    start = dt.date(2026, 11, 20)
    assert ends(start, count, unit, is_start_counted=True) == due


def test_the_first_day_counted_backward_ends_a_day_later():
    start = dt.date(2026, 11, 20)
    back = {"direction": "backward", "is_start_counted": True}
    assert ends(start, 3, "days", **back) == dt.date(2026, 11, 18)


def test_a_first_day_that_is_left_out_is_not_counted_even_if_it_might_be():
    sunday = dt.date(2026, 11, 22)
    excepted = {"excepted": "sundays-and-holidays", "is_start_counted": True}
    assert ends(sunday, 1, "days", **excepted) == dt.date(2026, 11, 23)


@pytest.mark.parametrize(
    ("roll", "direction", "due"),
    [
        ("none", "forward", dt.date(2026, 7, 4)),
        ("next", "forward", dt.date(2026, 7, 6)),
        ("previous", "forward", dt.date(2026, 7, 2)),
        ("continue", "forward", dt.date(2026, 7, 6)),
        ("continue", "backward", dt.date(2026, 7, 2)),
        ("next", "backward", dt.date(2026, 7, 6)),
    ],
)
def test_a_last_day_on_a_holiday_moves_only_as_asked(roll, direction, due):
    start = dt.date(2026, 6, 24) if direction == "forward" else dt.date(2026, 7, 14)
    assert ends(start, 10, "days", roll=roll, direction=direction) == due


def test_a_last_day_on_a_business_day_never_moves():
    start = dt.date(2026, 11, 24)
    rolls = [ends(start, 3, "days", roll=each) for each in ("none", "next", "previous")]
    assert rolls == [dt.date(2026, 11, 27)] * 3


def test_saturdays_count_when_sundays_and_holidays_are_excepted():
    thursday = dt.date(2026, 11, 19)
    excepted = "sundays-and-holidays"
    assert ends(thursday, 2, "days", excepted=excepted) == dt.date(2026, 11, 21)
    assert ends(thursday, 3, "days", excepted=excepted) == dt.date(2026, 11, 23)


def test_weeks_are_seven_counted_days_when_sundays_are_excepted():
    start = dt.date(2026, 11, 19)
    excepted = {"excepted": "sundays-and-holidays"}
    assert ends(start, 1, "weeks", **excepted) == ends(start, 7, "days", **excepted)


@pytest.mark.parametrize("unit", ["months", "years"])
def test_sundays_cannot_be_left_out_of_months(unit):
    with pytest.raises(PeriodError, match="days and weeks only"):
        ends(dt.date(2026, 1, 1), 1, unit, excepted="sundays-and-holidays")


@pytest.mark.parametrize("count", [-1, MOST + 1])
def test_a_count_out_of_reason_is_refused(count):
    with pytest.raises(PeriodError):
        ends(dt.date(2026, 1, 1), count, "days")


@pytest.mark.parametrize("unit", ["days", "weeks", "months", "years", "business-days"])
@pytest.mark.parametrize("direction", ["forward", "backward"])
def test_a_period_past_the_calendar_is_refused(unit, direction):
    start = dt.date(9999, 12, 1) if direction == "forward" else dt.date(1, 1, 31)
    with pytest.raises(PeriodError, match="runs past the calendar"):
        ends(start, 40, unit, calendar=calendar_named(""), direction=direction)


def test_an_unknown_calendar_shows_through():
    calendar = calendar_named("US")
    with pytest.raises(CalendarError):
        ends(dt.date(2026, 1, 1), 5, "business-days", calendar=type(calendar)("ZZ"))


def test_the_steps_name_each_holiday_left_out():
    counted = add_period(dt.date(2026, 11, 20), Period(5, "business-days"), US)
    assert counted.steps == (
        (
            "Start from Fri 20 Nov 2026; that day is not counted. "
            "Count 5 business days forward."
        ),
        "Saturdays and Sundays are left out (4 days).",
        "Thu 26 Nov 2026 is left out: Thanksgiving Day.",
        "The last day is Mon 30 Nov 2026.",
    )


def test_the_steps_say_that_a_month_is_too_short():
    steps = add_period(dt.date(2025, 5, 31), Period(9, "months")).steps
    assert "Feb 2026 has no day 31, so its last day is used." in steps


def test_the_steps_say_why_the_last_day_moved():
    counted = add_period(dt.date(2026, 6, 24), Period(10, "days", roll="next"), US)
    assert counted.steps[-1] == (
        "Sat 4 Jul 2026 is not a business day (Independence Day): "
        "it moves forward to Mon 6 Jul 2026."
    )


def test_many_holidays_are_counted_and_not_all_named():
    steps = add_period(dt.date(2020, 1, 2), Period(900, "business-days"), US).steps
    assert len(steps) < 20
    assert any(step.startswith("And ") for step in steps)


def test_a_table_that_ended_is_said():
    steps = add_period(dt.date(2100, 12, 20), Period(20, "business-days"), US).steps
    assert any("does not cover" in step for step in steps)


@given(DAYS, COUNTS, UNITS)
def test_a_later_start_never_ends_earlier(start, count, unit):
    later = start + dt.timedelta(days=1)
    assert ends(start, count, unit) <= ends(later, count, unit)


@given(DAYS, COUNTS, UNITS)
def test_a_longer_period_never_ends_earlier(start, count, unit):
    assert ends(start, count, unit) <= ends(start, count + 1, unit)


@given(DAYS, COUNTS, COUNTS, st.sampled_from(["days", "business-days", "weeks"]))
def test_splitting_a_period_adds_up(start, first, second, unit):
    middle = ends(start, first, unit)
    assert ends(middle, second, unit) == ends(start, first + second, unit)


@given(DAYS, COUNTS, COUNTS)
def test_splitting_months_adds_up_where_the_day_exists(start, first, second):
    start = start.replace(day=min(start.day, 28))
    middle = ends(start, first, "months")
    assert ends(middle, second, "months") == ends(start, first + second, "months")


@given(DAYS, st.integers(0, 300), UNITS)
def test_forward_then_backward_never_passes_the_start(start, count, unit):
    there = ends(start, count, unit, calendar=calendar_named(""))
    back = ends(there, count, unit, calendar=calendar_named(""), direction="backward")
    assert back <= start


@given(DAYS, st.integers(-1200, 1200))
def test_months_keep_the_day_or_take_the_last(start, months):
    due = add_months(start, months)
    next_day = due + dt.timedelta(days=1)
    assert due.day == start.day or (due.day < start.day and next_day.day == 1)


def test_weekends_are_told_in_one_line_and_only_where_there_were_any():
    start = dt.date(2026, 11, 23)
    few = add_period(start, Period(2, "business-days"), calendar_named("US"))
    assert not any("are left out" in step for step in few.steps)
    many = add_period(start, Period(5, "business-days"), calendar_named("US"))
    told = [step for step in many.steps if "left out" in step]
    assert told == [
        "Saturdays and Sundays are left out (2 days).",
        "Thu 26 Nov 2026 is left out: Thanksgiving Day.",
    ]


def test_a_count_of_plain_days_says_that_every_day_counts():
    says = "Every day counts, weekends and holidays too."
    assert says in add_period(dt.date(2026, 11, 20), Period(5, "days"), US).steps
    weeks = add_period(dt.date(2026, 11, 20), Period(1, "weeks"), US).steps
    assert says not in weeks
    assert "It ends on the same day of the week." in weeks


@pytest.mark.parametrize(
    ("holidays", "last"),
    [
        (12, ""),
        (13, "And 1 more holiday is left out."),
        (14, "And 2 more holidays are left out."),
    ],
)
def test_twelve_holidays_are_named_and_the_rest_counted(holidays, last):
    weekdays = [dt.date(2026, 11, day) for day in range(2, 30)]
    weekdays = [day for day in weekdays if day.weekday() < 5][:holidays]
    own = calendar_named("", added=weekdays)
    steps = add_period(dt.date(2026, 10, 30), Period(1, "business-days"), own).steps
    assert len([step for step in steps if "left out:" in step]) == min(holidays, 12)
    assert [step for step in steps if step.startswith("And ")] == [last] * bool(last)


def test_the_steps_say_how_a_period_ends_and_when():
    months = add_period(dt.date(2026, 3, 10), Period(9, "months")).steps
    assert months[1:] == (
        "It ends on the day with the same number.",
        "The last day is Thu 10 Dec 2026.",
    )
    counted = Period(5, "days", is_start_counted=True)
    assert add_period(dt.date(2026, 3, 10), counted).steps[2:] == (
        "One day less, because the first day counts.",
        "The last day is Sat 14 Mar 2026.",
    )
