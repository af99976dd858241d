"""The only place of this floor that reads the clock."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.utils import timezone

from inventory.access import locations_of
from inventory.models import Delivery, Location, User


def now() -> datetime:
    """Return this moment, in UTC."""
    return timezone.now()


def today_at(location: Location) -> date:
    """Return today's date on this location's own calendar."""
    return timezone.localdate(timezone=ZoneInfo(location.time_zone))


def today_somewhere(person: User) -> date:
    """Return today's date at the easternmost of the person's locations, or in UTC."""
    days = [today_at(place) for place in locations_of(person)]
    return max(days, default=now().date())


def local_now(location: Location) -> datetime:
    """Return the time on this dock's own clock, without an offset, to the minute."""
    here = timezone.localtime(timezone=ZoneInfo(location.time_zone))
    return here.replace(tzinfo=None, second=0, microsecond=0)


def from_local(location: Location, moment: datetime) -> datetime:
    """Return a time of this dock's own clock as a moment.

    In the hour that happens twice it is the first of the two.
    """
    return moment.replace(tzinfo=ZoneInfo(location.time_zone))


def to_local(location: Location, moment: datetime) -> datetime:
    """Return a moment as this dock's own clock shows it, without an offset."""
    return moment.astimezone(ZoneInfo(location.time_zone)).replace(tzinfo=None)


def dock_words(location: Location, moment: datetime) -> str:
    """Return a moment on this dock's clock: "Thu 26 Nov, 5:00 AM".

    The year follows where it is not this year.
    """
    here = to_local(location, moment)
    year = "" if here.year == today_at(location).year else f" {here.year}"
    hour, half = here.hour % 12 or 12, "AM" if here.hour < 12 else "PM"
    return f"{here:%a} {here.day} {here:%b}{year}, {hour}:{here:%M} {half}"


def truck_name(delivery: Delivery) -> str:
    """Return "Gannet Overland · Thu 26 Nov, 5:00 AM"."""
    return f"{delivery.carrier} · {dock_words(delivery.location, delivery.arrived_at)}"
