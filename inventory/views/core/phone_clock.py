"""The clock of a phone whose form waited: what it shows now, and when it was tapped."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.http import HttpRequest

LONGEST_WAIT = timedelta(days=14)
"""Beyond it the phone's clock was set meanwhile, and says nothing."""


@dataclass(frozen=True)
class PhoneClock:
    """What the phone's clock shows as it sends, and what it showed at the tap."""

    shows: datetime
    showed: datetime

    def moment_of_tap(self, at: datetime) -> datetime:
        """Return when the form was saved on the phone, by the server's own clock.

        Only the time between counts: how wrong the phone's clock is does not matter.
        """
        waited = self.shows - self.showed
        return at - waited if timedelta() <= waited <= LONGEST_WAIT else at


def phone_clock(request: HttpRequest) -> PhoneClock | None:
    """Return the clock of the phone that sends a form which waited there."""
    shows = _moment(request.headers.get("Phone-Clock", ""))
    showed = _moment(request.headers.get("Phone-Saved", ""))
    return PhoneClock(shows, showed) if shows and showed else None


def tapped_at(request: HttpRequest, at: datetime) -> datetime:
    """Return when a person tapped: now, unless the tap waited on a phone."""
    clock = phone_clock(request)
    return clock.moment_of_tap(at) if clock else at


def _moment(text: str) -> datetime | None:
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        return None
    return moment if moment.utcoffset() is not None else None
