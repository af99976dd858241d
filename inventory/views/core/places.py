"""Which of a person's locations a page is about."""

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest

from inventory.access import locations_of
from inventory.models import Location, User


def place_of(
    request: HttpRequest, person: User, permission: str, *, refusal: str
) -> tuple[Location, list[Location]]:
    """Return the location that ``?location=`` names, else the first, and the others.

    Raise PermissionDenied with ``refusal`` where it names one at which the person may
    not do this. The person must have the permission somewhere.
    """
    places = list(locations_of(person, permission))
    asked = request.GET.get("location", "")
    for row in places:
        if str(row.pk) == asked:
            return row, [one for one in places if one.pk != row.pk]
    if asked:
        raise PermissionDenied(refusal)
    return places[0], places[1:]
