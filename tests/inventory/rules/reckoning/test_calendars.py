"""A business day is Monday to Friday and no holiday, actual or observed."""

import datetime as dt

import pytest

from inventory.rules.reckoning.calendars import (
    WEEKENDS_ONLY,
    CalendarError,
    calendar_named,
    holiday_on,
    in_words,
    is_business_day,
    is_covered,
    is_holiday,
    on_or_after,
    on_or_before,
    previous_business_day,
    why_not_business_day,
)

US = calendar_named("US")


@pytest.mark.parametrize(
    ("day", "is_one"),
    [
        (dt.date(2026, 7, 2), True),
        (dt.date(2026, 7, 3), False),
        (dt.date(2026, 7, 4), False),
        (dt.date(2026, 7, 6), True),
    ],
)
def test_the_observed_friday_before_a_saturday_holiday_is_no_business_day(day, is_one):
    assert is_business_day(day, US) is is_one


def test_the_observed_day_is_told_apart_from_the_actual_one():
    kept, actual = (holiday_on(dt.date(2026, 7, n), US) for n in (3, 4))
    assert (kept.is_observed, actual.is_observed) == (True, False)


def test_without_a_calendar_only_weekends_are_left_out():
    assert is_business_day(dt.date(2026, 11, 26), WEEKENDS_ONLY)
    assert not is_business_day(dt.date(2026, 11, 28), WEEKENDS_ONLY)


def test_a_day_added_by_hand_is_a_holiday():
    calendar = calendar_named("US", [dt.date(2026, 11, 27)])
    assert is_holiday(dt.date(2026, 11, 27), calendar)
    assert not is_holiday(dt.date(2026, 11, 27), US)


def test_the_previous_one_leaves_the_day_itself():
    friday = dt.date(2026, 11, 27)
    assert previous_business_day(friday, US) == dt.date(2026, 11, 25)


def test_on_or_after_and_on_or_before_keep_a_business_day():
    friday, saturday = dt.date(2026, 11, 27), dt.date(2026, 11, 28)
    assert on_or_after(friday, US) == on_or_before(friday, US) == friday
    assert on_or_after(saturday, US) == dt.date(2026, 11, 30)
    assert on_or_before(saturday, US) == friday


def test_a_subdivision_has_holidays_its_country_has_not():
    day = dt.date(2026, 2, 16)
    assert is_holiday(day, calendar_named("CA-ON"))
    assert not is_holiday(day, calendar_named("CA"))


@pytest.mark.parametrize("code", ["ZZ", "US-QQ", "us", "USA-TX", "US ", "../US"])
def test_an_unknown_calendar_is_refused(code):
    with pytest.raises(CalendarError):
        calendar_named(code)


def test_a_table_has_its_first_and_last_year():
    # The ``holidays`` package's own bounds of the United States, 1777 to 2100.
    years = {year: is_covered(dt.date(year, 7, 4), US) for year in (1776, 1777, 2100)}
    assert years == {1776: False, 1777: True, 2100: True}


def test_a_table_that_has_ended_says_so():
    assert is_covered(dt.date(2100, 12, 25), US)
    assert not is_covered(dt.date(2101, 1, 1), US)
    assert not is_holiday(dt.date(2101, 12, 25), US)


def test_the_reason_is_the_holiday_or_the_weekend():
    assert why_not_business_day(dt.date(2026, 11, 26), US) == "Thanksgiving Day"
    assert why_not_business_day(dt.date(2026, 11, 28), US) == "a weekend"
    assert not why_not_business_day(dt.date(2026, 11, 27), US)


def test_a_day_reads_the_same_in_every_locale():
    assert in_words(dt.date(2026, 3, 5)) == "Thu 5 Mar 2026"
