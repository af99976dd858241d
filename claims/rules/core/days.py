"""What stands against the day that an act says of itself."""

from datetime import date

from inventory.rules.reckoning.calendars import in_words


def against_day(on: date | None, today: date) -> str:
    """Return why this is no day that something happened on; nothing where it is one."""
    if on is None:
        return "Enter the day."
    if on > today:
        return "That day is in the future. Record it once it has happened."
    return ""


def against_before(on: date | None, first: date | None, what: str) -> str:
    """Return that the day lies before ``first``, on which ``what`` happened."""
    if on and first and on < first:
        return f"That is before {what}, on {in_words(first)}."
    return ""
