"""Which of a person's locations a page is about."""

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest

from inventory.access import locations_of
from inventory.models import Location, User


def place_of(
    request: HttpRequest,
    person: User,
    permission: str,
    *,
    refusal: str,
    usual: int | None = None,
) -> tuple[Location, list[Location]]:
    """Return the location that ``?location=`` names, and the others.

    Where it names none, the one with the key ``usual``, else the first. Raise PermissionDenied with ``refusal`` where it names one at which the person may
    not do this. The person must have the permission somewhere.
    """
    places = list(locations_of(person, permission))
    asked = request.GET.get("location", "")
    wanted = asked or str(usual)
    for row in places:
        if str(row.pk) == wanted:
            return row, [one for one in places if one.pk != row.pk]
    if asked:
        raise PermissionDenied(refusal)
    return places[0], places[1:]
