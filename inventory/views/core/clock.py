"""The only place of this floor that reads the clock."""

from datetime import date, datetime, tzinfo

from django.db.models import Model
from django.utils import timezone

from inventory.access import locations_of
from inventory.models import Delivery, Location, User
from inventory.rules.reckoning.moments import (
    dock_clock,
    dock_day,
    dock_hour,
    dock_time,
)


def now() -> datetime:
    """Return this moment, in UTC."""
    return timezone.now()


def today_in(zone: tzinfo) -> date:
    """Return today's date on a clock of this zone."""
    return dock_day(now(), zone)


def today_at(location: Location) -> date:
    """Return today's date on this location's own calendar."""
    return today_in(location.zone)


def today_somewhere(person: User) -> date:
    """Return today's date at the easternmost of the person's locations, or in UTC."""
    days = [today_at(place) for place in locations_of(person)]
    return max(days, default=now().date())


def local_now(location: Location) -> datetime:
    """Return the time on this dock's own clock, without an offset, to the minute."""
    return to_local(location, now()).replace(second=0, microsecond=0)


def from_local(location: Location, moment: datetime) -> datetime:
    """Return a time of this dock's own clock as a moment.

    In the hour that happens twice it is the first of the two.
    """
    return moment.replace(tzinfo=location.zone)


def to_local(location: Location, moment: datetime) -> datetime:
    """Return a moment as this dock's own clock shows it, to be typed over."""
    return dock_clock(moment, location.zone).replace(tzinfo=None)


def dock_words(location: Location, moment: datetime) -> str:
    """Return a moment in this dock's own time, as people read it today."""
    return dock_time(moment, location.zone, today_at(location))


def dock_hour_or_day(location: Location, moment: datetime) -> str:
    """Return "5:00 AM" for a moment of today at this dock, else the day as well."""
    if dock_day(moment, location.zone) == today_at(location):
        return dock_hour(moment, location.zone)
    return dock_words(location, moment)


def name_of(row: Model) -> str:
    """Return what people call a row: a truck by its carrier and its time."""
    return truck_name(row) if isinstance(row, Delivery) else str(row)


def truck_name(delivery: Delivery) -> str:
    """Return "Gannet Overland · Thu 26 Nov, 5:00 AM"."""
    return f"{delivery.carrier} · {dock_words(delivery.location, delivery.arrived_at)}"
