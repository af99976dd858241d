"""The mail that a person asked for each morning: when it is due, and what it says."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from inventory.rules.mail.texts import MailText
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.moments import clock_words

LATE_AFTER = timedelta(hours=1)

HANDS_OF_ROLE = {
    "technician": ("open",),
    "manager": ("notice", "claim", "suit"),
}
"""Whose work a duty is, by the hands of the claims desk. Other roles have none."""


@dataclass(frozen=True)
class MorningLine:
    """One thing to do: what, on which claim or freight bill, and how long there is."""

    label: str
    what: str
    about: str
    day: date
    days_words: str
    is_late: bool


def is_due(here: datetime, hour: int, last: date | None) -> bool:
    """Say whether the day's mail is still to be sent.

    ``here`` is the dock's own clock. An hour that a change of the clocks skips or
    repeats gives one mail all the same: the day is what counts.
    """
    return here.hour >= hour and (last is None or last < here.date())


def compose_morning(
    lines: Sequence[MorningLine], *, to: str, here: datetime, hour: int
) -> MailText | None:
    """Return the mail; None where there is nothing to do.

    It has no amounts: a mailbox is read on many screens.
    """
    if not lines:
        return None
    late = sum(one.is_late for one in lines)
    count = "1 thing" if len(lines) == 1 else f"{len(lines)} things"
    head = f"{count} to do by {in_words(here.date() + timedelta(days=7))}"
    told = [_line(one) for one in lines]
    parts = [_late_words(here, hour), "\n".join(told), _FOOT]
    return MailText(
        to,
        f"{head}, {late} late" if late else head,
        "\n\n".join(part for part in parts if part),
    )


_FOOT = (
    "The safe day is named, not the last day of the rule. Nothing here is legal advice. "
    "You asked for this mail; stop it on the page Reminders."
)


def _line(one: MorningLine) -> str:
    mark = "LATE: " if one.is_late else ""
    what = f" {one.what}." if one.what else ""
    return (
        f"{mark}{one.label}, {one.about}.{what} {in_words(one.day)} "
        f"({one.days_words.lower()})."
    )


def _late_words(here: datetime, hour: int) -> str:
    asked = here.replace(hour=hour, minute=0, second=0, microsecond=0)
    if here - asked <= LATE_AFTER:
        return ""
    return (
        f"This mail was due at {clock_words(asked)} and is late: the program that sends "
        "it was stopped."
    )
