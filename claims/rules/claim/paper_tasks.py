"""A missing document in somebody's hands: whose it usually is, and by when."""

from datetime import date

from inventory.rules.core.roles import ROLES

SOON_DAYS = 2
"""From how many days before its day a document counts as due soon. Our own choice."""


def usual_role(who: str) -> str:
    """Return the role that the document's own words name first, or nothing."""
    named = (role for role, words in ROLES.items() if who.startswith(words))
    return next(named, "")


def against_day_to_come(by_day: date, today: date) -> str:
    """Return why a document cannot be wanted by this day; nothing where it can."""
    if by_day < today:
        return "That day is past. Enter today or a later day. Nothing was saved."
    return ""


def task_state(days_left: int) -> str:
    """Return late, running or calm."""
    if days_left < 0:
        return "late"
    return "running" if days_left <= SOON_DAYS else "calm"


def days_words(days_left: int) -> str:
    """Return "Today", "3 days left" or "1 day late"."""
    if days_left == 0:
        return "Today"
    count = abs(days_left)
    days = "1 day" if count == 1 else f"{count} days"
    return f"{days} left" if days_left > 0 else f"{days} late"
