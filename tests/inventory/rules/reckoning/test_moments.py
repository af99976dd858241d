"""A moment reads the same everywhere: on the clock of the dock where it happened."""

from datetime import UTC, date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest

from inventory.rules.reckoning.moments import (
    clock_difference,
    day_words,
    dock_clock,
    dock_day,
    dock_hour,
    dock_time,
    paper_time,
)

CHICAGO = ZoneInfo("America/Chicago")
TODAY = date(2026, 11, 26)


@pytest.mark.parametrize(
    ("moment", "words"),
    [
        (datetime(2026, 11, 26, 11, 0, tzinfo=UTC), "Thu 26 Nov, 5:00 AM"),
        (datetime(2026, 11, 26, 6, 0, tzinfo=UTC), "Thu 26 Nov, 12:00 AM"),
        (datetime(2026, 11, 26, 5, 59, tzinfo=UTC), "Wed 25 Nov, 11:59 PM"),
        (datetime(2026, 11, 26, 18, 5, tzinfo=UTC), "Thu 26 Nov, 12:05 PM"),
        (datetime(2026, 11, 26, 17, 59, tzinfo=UTC), "Thu 26 Nov, 11:59 AM"),
        (datetime(2026, 7, 4, 18, 5, tzinfo=UTC), "Sat 4 Jul, 1:05 PM"),
        (datetime(2027, 1, 1, 5, 30, tzinfo=UTC), "Thu 31 Dec, 11:30 PM"),
        (datetime(2027, 1, 1, 6, 0, tzinfo=UTC), "Fri 1 Jan 2027, 12:00 AM"),
        (datetime(2025, 11, 26, 11, 0, tzinfo=UTC), "Wed 26 Nov 2025, 5:00 AM"),
    ],
)
def test_a_moment_is_told_on_the_docks_clock(moment, words):
    assert dock_time(moment, CHICAGO, TODAY) == words


def test_the_sender_of_a_moment_does_not_matter():
    tokyo = timezone(timedelta(hours=9))
    moment = datetime(2026, 11, 26, 20, 0, tzinfo=tokyo)
    assert dock_time(moment, CHICAGO, TODAY) == "Thu 26 Nov, 5:00 AM"
    assert dock_day(datetime(2026, 11, 26, 14, 0, tzinfo=tokyo), CHICAGO) == date(
        2026, 11, 25
    )


def test_the_hour_that_happens_twice_reads_twice_and_a_paper_tells_them_apart():
    first = datetime(2026, 11, 1, 6, 30, tzinfo=UTC)
    second = first + timedelta(hours=1)
    assert dock_time(first, CHICAGO, TODAY) == dock_time(second, CHICAGO, TODAY)
    assert paper_time(first, CHICAGO) == "Sun 1 Nov 2026, 1:30 AM (-05:00)"
    assert paper_time(second, CHICAGO) == "Sun 1 Nov 2026, 1:30 AM (-06:00)"


def test_a_paper_always_states_the_year_and_half_hour_offsets():
    moment = datetime(2026, 11, 26, 11, 0, tzinfo=UTC)
    assert dock_time(moment, CHICAGO, None) == "Thu 26 Nov 2026, 5:00 AM"
    words = paper_time(moment, ZoneInfo("America/St_Johns"))
    assert words == "Thu 26 Nov 2026, 7:30 AM (-03:30)"


def test_the_time_of_day_alone():
    moment = datetime(2026, 11, 26, 21, 7, tzinfo=UTC)
    assert dock_hour(moment, CHICAGO) == "3:07 PM"


def test_a_time_without_an_offset_is_refused():
    with pytest.raises(ValueError, match="no moment"):
        dock_clock(datetime(2026, 11, 26, 11, 0), CHICAGO)  # noqa: DTZ001


def test_days():
    assert day_words(date(2026, 1, 3), TODAY) == "Sat 3 Jan"
    assert day_words(date(2027, 1, 3), TODAY) == "Sun 3 Jan 2027"
    assert day_words(date(2026, 1, 3), None) == "Sat 3 Jan 2026"


@pytest.mark.parametrize(
    ("minutes", "said"),
    [
        (0, ""),
        (5, ""),
        (-5, ""),
        (6, "6 min ahead"),
        (-42, "42 min behind"),
        (60, "1 h ahead"),
        (-125, "2 h 5 min behind"),
        (24 * 60, "1 day ahead"),
        (-(49 * 60 + 7), "2 days 1 h behind"),
    ],
)
def test_a_clock_that_is_off_by_more_than_a_few_minutes_is_said(minutes, said):
    right = datetime(2026, 3, 10, 16, 0, tzinfo=UTC)

    assert clock_difference(right + timedelta(minutes=minutes), right) == said
