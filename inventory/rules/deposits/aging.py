"""How old an open amount is: days past its due date, and days left to a loss.

The buckets of overdue days are those usual in the trade; day 30 is in the first,
day 31 in the second. What is not due yet is current.
"""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

OVERDUE = {
    "current": "Not due yet",
    "1-30": "1 to 30 days late",
    "31-60": "31 to 60 days late",
    "61-90": "61 to 90 days late",
    "over-90": "Over 90 days late",
}

LEFT = {
    "past": "Full credit is lost",
    "0-7": "7 days or fewer",
    "8-14": "8 to 14 days",
    "15-30": "15 to 30 days",
    "over-30": "More than 30 days",
    "no-day": "No last day",
}

_OVERDUE_TO = ((0, "current"), (30, "1-30"), (60, "31-60"), (90, "61-90"))
_LEFT_TO = ((-1, "past"), (7, "0-7"), (14, "8-14"), (30, "15-30"))


def overdue_bucket(due_on: dt.date | None, today: dt.date) -> str:
    """Return the bucket for a due date; without a date nothing is overdue."""
    if due_on is None:
        return "current"
    return _first((today - due_on).days, _OVERDUE_TO, "over-90")


def left_bucket(days_left: int | None) -> str:
    """Return a crate's bucket by its days left to full credit; 0 is the last day."""
    return "no-day" if days_left is None else _first(days_left, _LEFT_TO, "over-30")


def _first(days: int, bounds: Iterable[tuple[int, str]], beyond: str) -> str:
    return next((bucket for bound, bucket in bounds if days <= bound), beyond)


@dataclass(frozen=True, slots=True)
class Bucket:
    """One column of an aging: how many deposits, and how much, in cents."""

    key: str
    label: str
    count: int
    cents: int


def in_buckets(
    names: dict[str, str], amounts: Iterable[tuple[str, int]]
) -> tuple[Bucket, ...]:
    """Return every bucket in order, filled with the (bucket, cents) given."""
    counts = dict.fromkeys(names, 0)
    sums = dict.fromkeys(names, 0)
    for key, cents in amounts:
        counts[key] += 1
        sums[key] += cents
    return tuple(Bucket(key, names[key], counts[key], sums[key]) for key in names)
