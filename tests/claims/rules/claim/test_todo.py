"""The acts of the desk: their order, their words, and their money counted once.

The order and the days are our own choice, no source.
"""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from claims.rules.claim.todo import (
    Stake,
    Sums,
    Todo,
    Who,
    days_ahead,
    in_order,
    sums_of,
)

TODAY = date(2026, 11, 26)  # a Thursday
ACT = Todo(
    label="Send the claim",
    why="No document is missing",
    day=TODAY,
    today=TODAY,
    ref="C-1",
    who=Who("You", is_mine=True),
    page="send_claim",
    keys=(1,),
    currency="USD",
)


def act(days=0, *stakes, **over):
    return replace(ACT, day=TODAY + timedelta(days), stakes=stakes, **over)


def claim(key, cents):
    return Stake(f"claim {key}", cents)


def crate(key, cents):
    return Stake(f"crate {key}", cents, is_unopened=True)


@pytest.mark.parametrize(
    ("days", "when", "tone", "is_due"),
    [
        (-6, "6 days late", "late", True),
        (-1, "1 day late", "late", True),
        (0, "Today", "running", True),
        (1, "1 day left", "calm", True),
        (7, "7 days left", "calm", True),
        (8, "8 days left", "calm", False),
    ],
)
def test_an_act_says_how_long_there_is(days, when, tone, is_due):
    one = act(days)

    assert (one.when, one.tone, one.is_due) == (when, tone, is_due)


def test_late_comes_first_and_of_one_day_the_larger_money():
    late, small, large = act(-1), act(0, claim(1, 5)), act(0, claim(2, 9))

    assert in_order([small, large, late]) == [late, large, small]


def test_of_one_day_the_home_currency_comes_first_and_two_are_never_compared():
    yen = act(0, claim(3, 900), currency="JPY", home_currency="USD")
    small, large = (
        act(0, claim(key, key), home_currency="USD", ref=f"C-{key}") for key in (5, 9)
    )

    assert in_order([yen, small, large]) == [large, small, yen]


def test_claim_money_and_unopened_value_are_never_added_and_each_counts_once():
    acts = [
        act(-1, claim(1, 60_000)),
        act(0, claim(1, 60_000), claim(2, 1_000)),
        act(0, crate(7, 400_000)),
        act(2, crate(7, 400_000), claim(3, 50_000), currency="CAD"),
    ]

    assert sums_of(acts) == [Sums("CAD", 50_000, 0), Sums("USD", 61_000, 400_000)]
    assert sums_of([]) == []


def test_each_day_ahead_counts_its_acts_and_the_money_on_its_first_day():
    acts = [
        act(-3, claim(1, 100)),
        act(0, claim(1, 100), claim(2, 20)),
        act(4),
        act(4),
        act(13, claim(3, 7)),
        act(14, claim(4, 9)),
    ]

    lines = days_ahead(acts, TODAY)

    assert [(one.day, one.count) for one in lines if one.count] == [
        (None, 1),
        (TODAY, 1),
        (date(2026, 11, 30), 2),
        (date(2026, 12, 9), 1),
    ]
    assert [[it.claim_cents for it in one.sums] for one in lines if one.sums] == [
        [100],
        [20],
        [7],
    ]
    assert len(lines) == 15
    assert [one.day.day for one in lines if one.is_weekend] == [28, 29, 5, 6]
    assert [one.date_words for one in lines][:7] == [
        *("", "26 Nov", "27", "28", "29", "30", "1 Dec"),
    ]
    assert [one.weekday for one in lines][:3] == ["Late", "Thu", "Fri"]


def test_a_long_day_draws_five_boxes_and_says_how_many():
    line = days_ahead([act(0)] * 9, TODAY)[1]

    assert (line.count, len(line.boxes), line.width) == (9, 5, 56)
