"""What the ledger refuses to post, each with its reason."""

import datetime as dt
from collections.abc import Collection, Sequence

from django.db.models import Max, Sum

from inventory.actions.core.versions import RefusedError
from inventory.models import Deposit, Entry, Leg, Location, PeriodLock
from inventory.rules.crates import words
from inventory.rules.deposits.postings import (
    NEVER_NEGATIVE,
    OPENING,
    SUPPLIER,
    Line,
    lowest_from,
)
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.money import format_cents


def locked_through(location: Location) -> dt.date | None:
    """Return the last day that is locked at this location, or None."""
    rows = PeriodLock.objects.filter(location=location)
    last: dt.date | None = rows.aggregate(last=Max("through"))["last"]
    return last


def open_day(location: Location, day: dt.date) -> dt.date:
    """Return the day itself, or the first day after the books' lock.

    A late fact does not wait for the books: its event keeps its own day, and it is
    posted on the first day that is open. Call it under the book's lock.
    """
    through = locked_through(location)
    if through is None or day > through:
        return day
    return through + dt.timedelta(days=1)


def refuse_locked_period(location: Location, effective_on: dt.date) -> None:
    """Raise RefusedError where this day is locked."""
    through = locked_through(location)
    if through is not None and effective_on <= through:
        open_from = through + dt.timedelta(days=1)
        raise RefusedError(
            f"The books of {location} are locked through {in_words(through)}. Nothing "
            f"was posted. Book it on {in_words(open_from)} or later."
        )


def refuse_strangers(
    draft: Entry, keys: Collection[int], deposits: Sequence[Deposit]
) -> None:
    """Raise RefusedError where a line names a deposit of another book, or none."""
    known = {
        row.pk
        for row in deposits
        if (row.location_id, row.supplier_id, row.currency)
        == (draft.location_id, draft.supplier_id, draft.currency)
    }
    if set(keys) - known:
        raise RefusedError(
            "A line names a deposit of another location, supplier or currency. "
            "Nothing was posted."
        )


def refuse_negative(
    deposit: Deposit, lines: Sequence[Line], effective_on: dt.date
) -> None:
    """Raise RefusedError where the deposit would be below zero on any day.

    Call it under the lock of the book.
    """
    for kind in NEVER_NEGATIVE:
        change = sum(line.cents for line in lines if line.account == kind)
        if change >= 0:
            continue
        legs = Leg.objects.filter(deposit=deposit, account__kind=kind).order_by()
        by_day = legs.values_list("entry__effective_on").annotate(sum=Sum("cents"))
        dated = list(by_day)
        if lowest_from([*dated, (effective_on, change)], effective_on) < 0:
            there = lowest_from(dated, effective_on)
            have = format_cents(there, deposit.currency, code=True)
            want = format_cents(-change, deposit.currency, code=True)
            raise RefusedError(
                f"{deposit} has {have} in {words.ACCOUNTS[kind].lower()} from "
                f"{in_words(effective_on)} on, and this would take out {want}. "
                "Nothing was posted. It may already be posted: check the deposit's "
                "history."
            )


def refuse_double_credit(deposit: Deposit, lines: Sequence[Line]) -> None:
    """Raise RefusedError where the supplier would pay back more than the deposit."""
    paying = (SUPPLIER, OPENING)
    change = sum(line.cents for line in lines if line.account in paying)
    if change <= 0:
        return
    legs = Leg.objects.filter(deposit=deposit, account__kind__in=paying)
    before = legs.aggregate(total=Sum("cents"))["total"] or 0
    if before + change > 0:
        over = format_cents(before + change, deposit.currency, code=True)
        raise RefusedError(
            f"{deposit} would be credited twice: {over} more than was charged. "
            "Nothing was posted. Check the deposit's history, and mark the memo "
            "line as not ours or already credited."
        )
