"""Whether the working program runs."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from inventory.models import LaneBeat

BEAT_EVERY = timedelta(seconds=30)
STOPPED_AFTER = timedelta(minutes=3)
"""Longer than one slow try: a mail server may keep the program waiting that long."""


@dataclass(frozen=True)
class Pulse:
    """When the program last looked at a lane; None: never."""

    last: datetime | None
    is_stopped: bool


def pulse_of(lane: str, at: datetime) -> Pulse:
    """Return the pulse of a lane. It is stopped where it was not seen for minutes."""
    last = LaneBeat.objects.filter(lane=lane).values_list("at", flat=True).first()
    return Pulse(last, last is None or at - last > STOPPED_AFTER)
