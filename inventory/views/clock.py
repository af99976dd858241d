"""The only place of this floor that reads the clock."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.utils import timezone

from inventory.models import Location


def now() -> datetime:
    """Return this moment, in UTC."""
    return timezone.now()


def today_at(location: Location) -> date:
    """Return today's date on this location's own calendar."""
    return timezone.localdate(timezone=ZoneInfo(location.time_zone))
