"""The clerk's desk: today's trucks, what is still to fill, images to ask for."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from claims.queries.receiving.protests import image_cases
from inventory.access import locations_of, person_of, require_somewhere
from inventory.queries.receiving.dock import bills_to_fill, trucks_at_dock
from inventory.views.core.clock import now, today_at


@require_safe
def dock(request: HttpRequest) -> HttpResponse:
    """Show what the dock has to do now, and one big way to log a truck."""
    person = person_of(request)
    require_somewhere(person, "see")
    places = list(locations_of(person, "see"))
    trucks = trucks_at_dock(person, {one.pk: today_at(one) for one in places})
    writers = set(locations_of(person, "make-claim").values_list("pk", flat=True))
    context = {
        "waiting": [row for row in trucks if not row.is_signed],
        "signed": [row for row in trucks if row.is_signed],
        "to_fill": bills_to_fill(person),
        "cases": image_cases(person, now()),
        "writers": writers,
        "several_places": len(places) > 1,
        "may_log": locations_of(person, "log-delivery").exists(),
    }
    return render(request, "claims/receiving/dock.html", context)
