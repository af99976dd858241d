"""What a page of the ledger is asked for: a span of days, at one location or all."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render

from inventory.access import locations_of, person_of, require_somewhere
from inventory.forms.core.asking import SpanForm
from inventory.models import Location
from inventory.views.core.clock import today_at

ACT = "see-deposits"


@dataclass(frozen=True)
class Seen:
    """The locations whose books the person sees, and their latest day."""

    places: list[Location]
    today: date

    @property
    def this_month(self) -> dict[str, Any]:
        """Return the month so far, as a fresh form shows it."""
        return {"first": self.today.replace(day=1), "last": self.today}


@dataclass(frozen=True)
class Asked:
    """The days and the locations that the page shows."""

    first: date
    last: date
    places: list[Location]


def books_seen(request: HttpRequest) -> Seen:
    """Return whose books the person sees. Raise PermissionDenied for nobody's."""
    person = person_of(request)
    require_somewhere(person, ACT)
    places = list(locations_of(person, ACT))
    return Seen(places, max(today_at(place) for place in places))


def given(request: HttpRequest) -> QueryDict | None:
    """Return what the address asks for, None where it names no days."""
    return request.GET if "first" in request.GET else None


def asked_of(form: SpanForm, seen: Seen) -> Asked:
    """Return what the form asks for; the month so far where it asks for nothing."""
    if form.is_bound and form.is_valid():
        data = form.cleaned_data
        places = [data["place"]] if data["place"] else seen.places
        return Asked(data["first"], data["last"], places)
    return Asked(seen.today.replace(day=1), seen.today, seen.places)


def answer(
    request: HttpRequest, template: str, context: Mapping[str, Any]
) -> HttpResponse:
    """Show the page; 422 where its form asks for what there is not."""
    status = 422 if context["form"].errors else 200
    return render(request, template, dict(context), status=status)
