"""The days of a claim that was opened elsewhere: only what is proven is counted from.

Where a day is not proven, the earliest day that it can have been stands in for it: a
delivery is not before its bill, and a denial is not before the carrier had the claim. So
a deadline of ours ends too early, never too late. Our own rule of caution, no source.
"""

import datetime as dt
from dataclasses import dataclass

from inventory.rules.reckoning.calendars import in_words

NOT_PROVEN = "Not proven"
"""How the note of a deadline begins that is counted from the safe side."""


@dataclass(frozen=True, slots=True)
class ToldDays:
    """The days as told; each is proven or not. The bill's date is on the bill."""

    billed_on: dt.date
    filed_on: dt.date
    is_filing_proven: bool = False
    delivered_on: dt.date | None = None
    is_delivery_proven: bool = False
    declined_on: dt.date | None = None
    is_denial_proven: bool = False


def delivery_day(told: ToldDays) -> dt.date:
    """Return the day that deadlines count from as the delivery."""
    if told.delivered_on and told.is_delivery_proven:
        return told.delivered_on
    return told.billed_on


def denial_day(told: ToldDays) -> dt.date | None:
    """Return the earliest day of a denial that is told of and not proven."""
    if told.declined_on is None or told.is_denial_proven:
        return None
    floor = told.filed_on if told.is_filing_proven else delivery_day(told)
    return min(floor, told.declined_on)


def note_of(starts_on: dt.date, told: ToldDays) -> str:
    """Return the note of a deadline that starts on a day which stands in for another."""
    if starts_on == denial_day(told) and told.declined_on:
        since = "carrier had the claim" if told.is_filing_proven else "goods came"
        return (
            f"{NOT_PROVEN}: the denial was told as of {in_words(told.declined_on)}. "
            f"Counted from the safe side: from the day on which the {since}."
        )
    if starts_on == told.billed_on and not told.is_delivery_proven:
        as_told = (
            f"was told as {in_words(told.delivered_on)}"
            if told.delivered_on
            else "is not known"
        )
        return (
            f"{NOT_PROVEN}: the delivery day {as_told}. Counted from the safe side: "
            "from the bill's date."
        )
    return ""
