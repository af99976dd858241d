"""The next number of a paper of ours, given out one at a time at each dock."""

from django.db.models import Q
from django.db.models.base import Model

from inventory.models import Location
from inventory.rules.core import numbering


def lock_numbers(location: Location) -> Location:
    """Hold the numbers of this location until the commit; return it as it is now.

    Call it before any other lock. Rows that only point at the location are not held
    up.
    """
    return Location.objects.select_for_update(no_key=True).get(pk=location.pk)


def next_number_of(rows: type[Model], kind: str, location: Location, year: int) -> str:
    """Return the next number of this kind of paper at a location, under its lock."""
    held = lock_numbers(location)
    now, before = numbering.stems(kind, held.code, year)
    taken = rows._base_manager.filter(  # noqa: SLF001 - a retired paper keeps its number
        Q(number__startswith=now) | Q(number__startswith=before)
    )
    numbers = taken.order_by().values_list("number", flat=True)
    return numbering.next_number(kind, held.code, year, numbers)
