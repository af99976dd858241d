"""A day falls into one bucket of an aging, and every cent into its column.

The bounds are those usual in the trade; no source.
"""

import datetime as dt

import pytest

from inventory.rules.deposits.aging import (
    LEFT,
    OVERDUE,
    Bucket,
    in_buckets,
    left_bucket,
    overdue_bucket,
)

DUE = dt.date(2026, 3, 1)


@pytest.mark.parametrize(
    ("days", "bucket"),
    [
        (-1, "current"),
        (0, "current"),
        (1, "1-30"),
        (30, "1-30"),
        (31, "31-60"),
        (60, "31-60"),
        (61, "61-90"),
        (90, "61-90"),
        (91, "over-90"),
    ],
)
def test_days_past_due_have_their_bucket(days, bucket):
    assert overdue_bucket(DUE, DUE + dt.timedelta(days=days)) == bucket


def test_without_a_due_date_nothing_is_overdue():
    assert overdue_bucket(None, DUE) == "current"


@pytest.mark.parametrize(
    ("days", "bucket"),
    [
        (None, "no-day"),
        (-1, "past"),
        (0, "0-7"),
        (7, "0-7"),
        (8, "8-14"),
        (14, "8-14"),
        (15, "15-30"),
        (30, "15-30"),
        (31, "over-30"),
    ],
)
def test_days_left_to_full_credit_have_their_bucket(days, bucket):
    assert left_bucket(days) == bucket


def test_every_bucket_is_there_and_the_empty_ones_hold_nothing():
    found = in_buckets(OVERDUE, [("1-30", 500), ("1-30", 250), ("over-90", 1)])
    assert found == (
        Bucket("current", OVERDUE["current"], 0, 0),
        Bucket("1-30", OVERDUE["1-30"], 2, 750),
        Bucket("31-60", OVERDUE["31-60"], 0, 0),
        Bucket("61-90", OVERDUE["61-90"], 0, 0),
        Bucket("over-90", OVERDUE["over-90"], 1, 1),
    )
    assert [bucket.key for bucket in in_buckets(LEFT, [])] == list(LEFT)
