"""The journal: what was posted in a span of days, for the dealer's own books."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.access import locations_of, person_of, require_somewhere
from inventory.forms.core.asking import SpanForm
from inventory.models import Location
from inventory.queries.ledger import journal as books
from inventory.views.core.clock import today_at
from inventory.views.core.sheets import asked_as_file

ACT = "see-deposits"


@require_safe
def journal(request: HttpRequest) -> HttpResponse:
    """Show the entries of a span of days, debits against credits."""
    person = person_of(request)
    require_somewhere(person, ACT)
    places = list(locations_of(person, ACT))
    today = max(today_at(place) for place in places)
    first, last = today.replace(day=1), today
    asked = request.GET if "first" in request.GET else None
    form = SpanForm(asked, places=places, initial={"first": first, "last": last})
    chosen = places
    if asked and form.is_valid():
        first, last = form.cleaned_data["first"], form.cleaned_data["last"]
        place: Location | None = form.cleaned_data["place"]
        chosen = [place] if place else places
    entries = [] if form.errors else books.journal(chosen, first, last)
    file = asked_as_file(
        request, lambda: books.journal_sheet(entries), stem="journal", today=today
    )
    if file and not form.errors:
        return file
    context = {
        "form": form,
        "entries": entries,
        "sides": books.sides(entries),
        "first": first,
        "last": last,
        "crumbs": [("Deposits", reverse("deposits")), ("Journal", "")],
    }
    status = 422 if form.errors else 200
    return render(request, "inventory/ledger/journal.html", context, status=status)
