"""The day a fact takes effect in the books: its own, unless that day is locked."""

from datetime import date, timedelta

from inventory.actions.ledger.checks import locked_through
from inventory.models import Location


def open_day(location: Location, day: date) -> date:
    """Return the day itself, or the first day after the books' lock.

    What comes in late must not wait for the books: it is told with its own day and
    posted on the first that is open. Call it under the book's lock.
    """
    through = locked_through(location)
    if through is None or day > through:
        return day
    return through + timedelta(days=1)
