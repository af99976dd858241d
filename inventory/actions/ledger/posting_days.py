"""The day a fact takes effect in the books: its own, unless that day is locked."""

from datetime import date, timedelta

from inventory.actions.ledger.checks import locked_through
from inventory.models import Location


def open_day(location: Location, day: date) -> date:
    """Return the day itself, or the first day after the books' lock.

    A late fact must not wait for the books: it keeps its own day in the history and is
    posted on the first open day. Call it under the book's lock.
    """
    through = locked_through(location)
    if through is None or day > through:
        return day
    return through + timedelta(days=1)
