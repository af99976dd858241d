"""The pulse of the working program, so that a stopped one is seen."""

from datetime import datetime

from inventory.models import LaneBeat


def beat(*, lane: str, at: datetime) -> None:
    """Note that the program looked at this lane now."""
    LaneBeat.objects.update_or_create(lane=lane, defaults={"at": at})
