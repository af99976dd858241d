"""A dated duty as stored: the same shape from a regime or a supplier's terms."""

import datetime as dt
from dataclasses import dataclass, field

from inventory.rules.reckoning import calendars
from inventory.rules.reckoning.calendars import Calendar

BROKER_NOTE = (
    "The carrier on this freight bill is a broker, which carries nothing: a claim "
    "sent to the broker alone stops no deadline. Ask it today for the motor "
    "carrier, and send the claim there."
)


@dataclass(frozen=True)
class CountedDuty:
    """One duty with its dates, its reasons and what it was counted from.

    ``inputs`` holds the facts as text, so that a later count can be compared.
    ``met_on`` is the day on which delivery was proven, or the duty done.
    It is not ``is_proven`` where it counts from the safe side of a day as told.
    ``is_of_claim`` marks what belongs to the claim rather than to one delivery.
    """

    duty: str
    owed_by: str
    record_key: str
    rule_version: str
    due: dt.date
    safe: dt.date
    send_by: dt.date
    effect: str
    authority: str
    confidence: str
    starts_on: dt.date | None = None
    steps: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    inputs: dict[str, str] = field(default_factory=dict)
    met_on: dt.date | None = None
    is_proven: bool = True
    is_of_claim: bool = False


def send_by(
    safe: dt.date, mail_days: int, calendar: Calendar, not_before: dt.date | None
) -> dt.date:
    """Return the day to send by: ``mail_days`` business days before the safe date.

    Never before the clock's own start: then it means "at once".
    """
    day = safe
    for _ in range(mail_days):
        day = calendars.previous_business_day(day, calendar)
    return max(day, not_before) if not_before else day
