"""People and locations: the administrator's pages."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from inventory.access import person_of, require_administrator
from inventory.actions import people as acts
from inventory.actions.versions import RefusedError, StaleRowError
from inventory.forms.base import HouseForm
from inventory.forms.people import (
    EditLocationForm,
    EditPersonForm,
    LocationForm,
    PersonForm,
)
from inventory.models import Location, User
from inventory.queries.people import one_person, one_place, people_rows, place_rows
from inventory.rules.money import plain_cents
from inventory.views.clock import now


@require_safe
def people(request: HttpRequest) -> HttpResponse:
    """List the people and what they may do where."""
    require_administrator(person_of(request))
    return render(request, "inventory/people.html", {"people": people_rows()})


@require_http_methods(["GET", "POST"])
def add_person(request: HttpRequest) -> HttpResponse:
    """Add a person."""
    person = person_of(request)
    require_administrator(person)
    form = PersonForm(request.POST or None, places=list(place_rows()))
    if request.method == "POST" and form.is_valid():
        values = form.cleaned_data
        try:
            new = acts.add_person(
                person=person,
                at=now(),
                username=values["username"],
                full_name=values["full_name"],
                password=values["password"],
                is_administrator=values["is_administrator"],
                assigned=form.assigned(),
            )
        except RefusedError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"{new} can sign in.")
            return redirect("people")
    return _form_page(request, form, "Add a person", "people")


@require_http_methods(["GET", "POST"])
def edit_person(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a person's name, roles or standing."""
    person = person_of(request)
    require_administrator(person)
    who = one_person(pk)
    initial = _person_initial(who)
    form = EditPersonForm(
        request.POST or None, initial=initial, places=list(place_rows())
    )
    if request.method == "POST" and form.is_valid():
        values = form.cleaned_data
        try:
            acts.change_person(
                person=person,
                at=now(),
                who=who,
                version=values["version"],
                full_name=values["full_name"],
                is_administrator=values["is_administrator"],
                is_active=values["is_active"],
                assigned=form.assigned(),
            )
        except (RefusedError, StaleRowError) as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"{who} is changed; they sign in anew.")
            return redirect("people")
    return _form_page(request, form, f"Change {initial['full_name']}", "people")


@require_safe
def locations(request: HttpRequest) -> HttpResponse:
    """List the locations."""
    require_administrator(person_of(request))
    return render(request, "inventory/locations.html", {"locations": place_rows()})


@require_http_methods(["GET", "POST"])
def add_location(request: HttpRequest) -> HttpResponse:
    """Add a location."""
    person = person_of(request)
    require_administrator(person)
    form = LocationForm(request.POST or None, initial={"currency": "USD"})
    if request.method == "POST" and form.is_valid():
        try:
            place = acts.add_location(person=person, at=now(), **form.own_fields())
        except RefusedError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"{place} is kept.")
            return redirect("locations")
    return _form_page(request, form, "Add a location", "locations")


@require_http_methods(["GET", "POST"])
def edit_location(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a location."""
    person = person_of(request)
    require_administrator(person)
    place = one_place(pk)
    form = EditLocationForm(request.POST or None, initial=_place_initial(place))
    if request.method == "POST" and form.is_valid():
        try:
            acts.change_location(
                person=person,
                at=now(),
                location=place,
                version=form.cleaned_data["version"],
                **form.own_fields(),
            )
        except (RefusedError, StaleRowError) as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"{place} is changed.")
            return redirect("locations")
    return _form_page(request, form, "Change the location", "locations")


def _form_page(
    request: HttpRequest, form: HouseForm, title: str, back: str
) -> HttpResponse:
    context = {"form": form, "page_title": title, "back": reverse(back)}
    status = 422 if form.errors else 200
    return render(request, "inventory/partner_form.html", context, status=status)


def _person_initial(who: User) -> dict[str, Any]:
    initial: dict[str, Any] = {
        "version": who.version,
        "full_name": who.full_name,
        "is_active": who.is_active,
        "is_administrator": who.is_administrator,
    }
    for row in who.assignments.all():
        initial.setdefault(f"roles_{row.location_id}", []).append(row.role)
    return initial


def _place_initial(place: Location) -> dict[str, Any]:
    names = ["version", "name", "code", "address", "time_zone", "country"]
    more = ["subdivision", "paper", "currency", "shop_rate_source"]
    initial = {name: getattr(place, name) for name in [*names, *more]}
    initial["shop_rate"] = plain_cents(place.shop_rate_cents, place.currency)
    return initial
