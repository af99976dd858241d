"""Remittances: one check or transfer that covers several claims."""

from typing import TypeVar

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from claims.queries.books.open_to_pay import payers_at
from claims.queries.claim.remittances import (
    files_of,
    remittance_row,
    remittance_rows,
    remittances_sheet,
)
from claims.queries.core.remittances import (
    entries_of_rest,
    joined_remittances,
    open_choices,
)
from inventory.access import locations_of, may, obtain, person_of, require_somewhere
from inventory.forms.core.base import HouseForm
from inventory.queries.core.history import story_of
from inventory.views.core.act_view import Crumbs
from inventory.views.core.clock import today_somewhere
from inventory.views.core.paging import page_of
from inventory.views.core.sheets import asked_as_file

Form = TypeVar("Form", bound=HouseForm)

SEE = "see-claims"
RECORD = "record-payment"


@require_safe
def remittances(request: HttpRequest) -> HttpResponse:
    """List who is to pay open claims, and the remittances that came."""
    person = person_of(request)
    require_somewhere(person, SEE)
    rows = remittance_rows(locations_of(person, SEE))
    file = asked_as_file(
        request,
        lambda: remittances_sheet(rows),
        stem="remittances",
        today=today_somewhere(person),
    )
    if file:
        return file
    context = {
        "payers": payers_at(locations_of(person, RECORD)),
        "page": page_of(request, rows),
        "crumbs": [("Books", reverse("books")), ("Remittances", "")],
    }
    return render(request, "claims/claim/remittances.html", context)


@require_safe
def remittance(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one remittance: what it was put against, what is left, what was posted."""
    person = person_of(request)
    row = obtain(joined_remittances(), person, pk, SEE)
    is_open = row.reversed_on is None
    context = {
        "one": remittance_row(row),
        "row": row,
        "files": files_of(row),
        "entries": entries_of_rest(row),
        "may_record": is_open and may(person, row.location_id, RECORD),
        "may_decide": is_open
        and bool(open_choices(row))
        and may(person, row.location_id, "settle-claim"),
        "story": story_of([row], row.location, leave_out=()),
        "crumbs": [*list_crumbs(), (row.number, "")],
    }
    return render(request, "claims/claim/remittance.html", context)


def list_crumbs() -> Crumbs:
    """Return the pages above a remittance."""
    return [("Books", reverse("books")), ("Remittances", reverse("remittances"))]
