"""How a clock stands: the day before, on and after each of its days."""

from datetime import date, timedelta

import pytest

from claims.rules.deadlines.clock_words import standing_of

SAFE = date(2026, 5, 8)
DUE = date(2026, 5, 10)


def stands(today, **over):
    values = {"due": DUE, "safe": SAFE, "met_on": None, "is_ours": True}
    return standing_of(today=today, **{**values, **over})


@pytest.mark.parametrize(
    ("days", "state", "left"),
    [
        (-8, "calm", 8),
        (-7, "running", 7),
        (-1, "running", 1),
        (0, "running", 0),
        (1, "late", -1),
        (2, "late", -2),
        (3, "late", -3),
    ],
)
def test_ours_is_measured_to_the_safe_day(days, state, left):
    standing = stands(SAFE + timedelta(days=days))

    assert (standing.state, standing.days_left) == (state, left)


def test_after_the_last_day_it_says_how_long():
    assert stands(DUE + timedelta(days=1)).words == "1 day past the due day."


@pytest.mark.parametrize(("days", "state"), [(-1, "calm"), (0, "running"), (1, "late")])
def test_the_carriers_is_measured_to_the_due_day(days, state):
    assert stands(DUE + timedelta(days=days), is_ours=False).state == state


def test_our_own_earlier_date_counts():
    assert (
        stands(SAFE - timedelta(days=3), own=SAFE - timedelta(days=4)).state == "late"
    )


def test_our_own_later_date_makes_no_clock_longer():
    assert (
        stands(SAFE + timedelta(days=1), own=DUE + timedelta(days=30)).state == "late"
    )


def test_what_is_proven_is_kept_even_late():
    late = stands(DUE + timedelta(days=9), met_on=DUE + timedelta(days=2))

    assert late.state == "kept"
    assert "2 days after the due day" in late.words


def test_each_day_has_its_words():
    def words(days, **over):
        return stands(DUE + timedelta(days=days), **over).words

    assert words(0) == "Safe day passed. Due Sun 10 May. Do it today."
    assert words(-2) == "The safe day is today. Do it now."
    assert words(-3) == "1 day to the safe day."
    assert words(0, is_ours=False) == "Due from the carrier today."
    assert words(1, is_ours=False) == (
        "The carrier is 1 day late. Write and ask for it."
    )
    assert words(-2, is_ours=False) == "The carrier has 2 days left."
    assert words(0, met_on=DUE) == "Met on Sun 10 May."


@pytest.mark.parametrize(("days", "left"), [(-2, 2), (0, 0), (2, -2)])
def test_the_carriers_days_are_counted_to_the_due_day(days, left):
    standing = stands(DUE + timedelta(days=days), is_ours=False)
    assert standing.days_left == left
