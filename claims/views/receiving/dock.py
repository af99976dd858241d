"""The dock page: trucks here now, missing paperwork, PODs to ask for."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from claims.queries.receiving.due import mails_due, refused_without_disposition
from claims.queries.receiving.protests import image_cases
from inventory.access import locations_of, person_of, require_somewhere
from inventory.queries.receiving.dock import bills_to_fill, trucks_at_dock
from inventory.views.core.clock import dock_words, now, today_at

NOT_SIGNED = {
    "handheld",
    "bare",
    "refused",
    "no-wait",
    "dropped",
    "unattended",
    "by-bill",
}
"""How trucks are closed whose receipts were not all signed with our exceptions."""


@require_safe
def dock(request: HttpRequest) -> HttpResponse:
    """Show what the dock has to do now."""
    person = person_of(request)
    require_somewhere(person, "see")
    places = list(locations_of(person, "see"))
    trucks = [
        (row, dock_words(row.location, row.arrived_at))
        for row in trucks_at_dock(person, {one.pk: today_at(one) for one in places})
    ]
    writers = set(locations_of(person, "make-claim").values_list("pk", flat=True))
    signers = set(locations_of(person, "sign-receipt").values_list("pk", flat=True))
    context = {
        "waiting": [pair for pair in trucks if not pair[0].is_signed],
        "signed": [pair for pair in trucks if pair[0].how_signed == "signed"],
        "unsigned": [pair for pair in trucks if pair[0].how_signed in NOT_SIGNED],
        "to_fill": bills_to_fill(person),
        "cases": image_cases(person, now()),
        "mails": mails_due(person, now()),
        "refused": refused_without_disposition(person),
        "writers": writers,
        "signers": signers,
        "several_places": len(places) > 1,
        "may_log": locations_of(person, "log-delivery").exists(),
    }
    return render(request, "claims/receiving/dock.html", context)
