"""Months: where each ends, which stands beside it, and which an address may name."""

from datetime import date

import pytest

from inventory.rules.reckoning.months import CalendarMonth, month_named

NEWEST = CalendarMonth(date(2026, 10, 1))


@pytest.mark.parametrize(
    ("first", "last"),
    [
        (date(2026, 1, 1), date(2026, 1, 31)),
        (date(2026, 2, 1), date(2026, 2, 28)),
        (date(2028, 2, 1), date(2028, 2, 29)),
        (date(2026, 12, 1), date(2026, 12, 31)),
    ],
)
def test_a_month_ends_the_day_before_the_next_begins(first, last):
    month = CalendarMonth.of(last)
    assert (month.first, month.last) == (first, last)
    assert month.after.before == month


def test_a_month_is_named_as_people_and_as_addresses_write_it():
    assert (str(NEWEST), NEWEST.key) == ("October 2026", "2026-10")
    assert month_named("2026-10", newest=NEWEST) == NEWEST
    assert month_named("2000-01", newest=NEWEST) == CalendarMonth(date(2000, 1, 1))


@pytest.mark.parametrize("key", ["1999-12", "2026-11", "2026-00", "2026-10 ", ""])
def test_what_is_no_month_up_to_the_newest_is_none(key):
    assert month_named(key, newest=NEWEST) is None
