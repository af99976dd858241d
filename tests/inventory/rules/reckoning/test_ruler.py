"""The ruler of days stands right at both ends, and says nothing where there is no length."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from inventory.rules.reckoning.ruler import Spot, lay_cells, lay_ruler

START = date(2026, 11, 20)
DUE = date(2026, 11, 30)


def test_start_stands_left_and_due_right():
    ruler = lay_ruler(starts_on=START, due=DUE, today=START)

    assert (ruler.start.x, ruler.due.x) == ("0.00%", "100.00%")
    assert ruler.spent == "0.00%"


def test_today_halfway_has_half_spent():
    ruler = lay_ruler(starts_on=START, due=DUE, today=date(2026, 11, 25))

    assert ruler.today.x == "50.00%"
    assert ruler.spent == "50.00%"
    assert not ruler.is_late


def test_on_the_due_day_it_is_not_late():
    assert not lay_ruler(starts_on=START, due=DUE, today=DUE).is_late


def test_a_day_over_the_ruler_runs_on_to_today():
    ruler = lay_ruler(starts_on=START, due=DUE, today=DUE + timedelta(days=1))

    assert ruler.is_late
    assert ruler.today.x == "100.00%"
    assert ruler.ends_on == date(2026, 12, 1)
    assert ruler.due.percent + Decimal(ruler.over.rstrip("%")) == 100


def test_a_kept_duty_has_no_today_and_is_whole():
    ruler = lay_ruler(starts_on=START, due=DUE, today=None)

    assert ruler.today is None
    assert ruler.spent == "100.00%"


@pytest.mark.parametrize("today", [date(2026, 11, 1), date(1, 1, 1)])
def test_a_day_before_the_start_stands_at_the_start(today):
    ruler = lay_ruler(starts_on=START, due=DUE, today=today)

    assert ruler.today.x == "0.00%"
    assert not any(tick.spent for tick in ruler.ticks)


def test_the_safe_date_has_its_place():
    ruler = lay_ruler(starts_on=START, due=DUE, today=START, safe=date(2026, 11, 27))

    assert ruler.safe.x == "70.00%"


@pytest.mark.parametrize("due", [START, START - timedelta(days=1)])
def test_no_length_no_ruler(due):
    assert lay_ruler(starts_on=START, due=due, today=START) is None


def test_short_rulers_cut_every_day_and_every_fifth_longer():
    ticks = lay_ruler(starts_on=START, due=DUE, today=date(2026, 11, 23)).ticks

    assert len(ticks) == 9
    assert [n for n, tick in enumerate(ticks, start=1) if tick.major] == [5]
    assert [n for n, tick in enumerate(ticks, start=1) if tick.spent] == [1, 2]


@pytest.mark.parametrize("days", [2, 40, 41, 280, 281, 731, 3653, 40000])
def test_no_ruler_is_crowded(days):
    ruler = lay_ruler(
        starts_on=date(1900, 1, 1), due=date(1900, 1, 1) + timedelta(days), today=None
    )

    assert 1 <= len(ruler.ticks) <= 41


@pytest.mark.parametrize(
    ("percent", "anchor"),
    [
        ("0", "start"),
        ("21.99", "start"),
        ("22", "middle"),
        ("78", "middle"),
        ("78.01", "end"),
    ],
)
def test_words_near_an_end_are_written_inward(percent, anchor):
    assert Spot(Decimal(percent)).anchor == anchor


@pytest.mark.parametrize(
    ("days", "step", "long_every"),
    [
        (40, 1, 5),
        (41, 7, 28),
        (280, 7, 28),
        (281, 30, 90),
        (1200, 30, 90),
        (1201, 31, 93),
    ],
)
def test_the_ticks_are_days_then_weeks_then_months(days, step, long_every):
    due = START + timedelta(days=days)
    ticks = lay_ruler(starts_on=START, due=due, today=START).ticks
    assert len(ticks) == len(range(step, days, step))
    assert [tick.major for tick in ticks] == [
        day % long_every == 0 for day in range(step, days, step)
    ]
    assert not any(tick.spent for tick in ticks)


def test_cells_are_one_a_day_and_mark_what_is_over_and_due():
    cells = lay_cells(
        starts_on=date(2026, 11, 16),
        due=date(2026, 12, 4),
        today=date(2026, 11, 26),
        safe=date(2026, 12, 1),
    )

    days = [one.day.day for one in cells.cells]
    assert days == [*range(16, 31), *range(1, 5)]
    assert [one.day.day for one in cells.cells if one.is_spent] == list(range(16, 26))
    assert [one.day.day for one in cells.cells if one.is_due] == [4]
    assert [one.day.day for one in cells.cells if one.is_weekend] == [21, 22, 28, 29]
    assert cells.width == "5.26%"
    assert cells.today == "55.26%"  # the middle of the eleventh of nineteen
    assert cells.safe == "81.58%"


@pytest.mark.parametrize(
    ("start", "due", "today"),
    [
        (date(2026, 1, 1), date(2026, 2, 1), date(2026, 1, 5)),
        (date(2026, 1, 1), date(2026, 1, 10), date(2026, 2, 5)),
        (date(2026, 1, 1), date(2026, 1, 1), date(2026, 1, 1)),
        (date(2026, 1, 5), date(2026, 1, 1), date(2026, 1, 8)),
    ],
)
def test_there_are_no_cells_for_a_long_time_or_none(start, due, today):
    assert lay_cells(starts_on=start, due=due, today=today) is None


def test_a_safe_day_before_the_start_has_no_cell():
    cells = lay_cells(
        starts_on=date(2026, 1, 5),
        due=date(2026, 1, 9),
        today=date(2026, 1, 20),
        safe=date(2026, 1, 2),
    )

    assert cells.safe is None
    assert cells.cells[-1].day == date(2026, 1, 20)
