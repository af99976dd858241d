"""People and locations: the administrator's pages."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from inventory.access import person_of, require_administrator
from inventory.actions.people import people as acts
from inventory.forms.people.people import (
    EditLocationForm,
    EditPersonForm,
    LocationForm,
    PersonForm,
)
from inventory.models import Location, User
from inventory.queries.people.people import (
    one_person,
    one_place,
    people_rows,
    place_rows,
)
from inventory.rules.reckoning.money import plain_cents
from inventory.views.core.clock import now
from inventory.views.core.one_act import ActPage, answer_act, posted


@require_safe
def people(request: HttpRequest) -> HttpResponse:
    """List the people and what they may do where."""
    require_administrator(person_of(request))
    return render(request, "inventory/people/people.html", {"people": people_rows()})


@require_http_methods(["GET", "POST"])
def add_person(request: HttpRequest) -> HttpResponse:
    """Add a person."""
    person = person_of(request)
    require_administrator(person)
    form = PersonForm(posted(request), places=list(place_rows()))

    def act() -> HttpResponse:
        values = form.cleaned_data
        new = acts.add_person(
            person=person,
            at=now(),
            username=values["username"],
            full_name=values["full_name"],
            password=values["password"],
            is_administrator=values["is_administrator"],
            assigned=form.assigned(),
        )
        messages.success(request, f"{new} can sign in.")
        return redirect("people")

    return answer_act(request, form, _page("Add a person", reverse("people")), act)


@require_http_methods(["GET", "POST"])
def edit_person(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a person's name, roles or standing."""
    person = person_of(request)
    require_administrator(person)
    who = one_person(pk)
    initial = _person_initial(who)
    form = EditPersonForm(posted(request), initial=initial, places=list(place_rows()))

    def act() -> HttpResponse:
        values = form.cleaned_data
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
        messages.success(request, f"{who} is changed; they sign in anew.")
        return redirect("people")

    page = _page(f"Change {initial['full_name']}", reverse("people"), row=who)
    return answer_act(request, form, page, act)


@require_safe
def locations(request: HttpRequest) -> HttpResponse:
    """List the locations."""
    require_administrator(person_of(request))
    return render(
        request, "inventory/people/locations.html", {"locations": place_rows()}
    )


@require_http_methods(["GET", "POST"])
def add_location(request: HttpRequest) -> HttpResponse:
    """Add a location."""
    person = person_of(request)
    require_administrator(person)
    form = LocationForm(posted(request), initial={"currency": "USD"})

    def act() -> HttpResponse:
        place = acts.add_location(person=person, at=now(), **form.own_fields())
        messages.success(request, f"{place} is kept.")
        return redirect("locations")

    return answer_act(request, form, _page("Add a location", reverse("locations")), act)


@require_http_methods(["GET", "POST"])
def edit_location(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a location."""
    person = person_of(request)
    require_administrator(person)
    place = one_place(pk)
    form = EditLocationForm(posted(request), initial=_place_initial(place))

    def act() -> HttpResponse:
        acts.change_location(
            person=person,
            at=now(),
            location=place,
            version=form.cleaned_data["version"],
            **form.own_fields(),
        )
        messages.success(request, f"{place} is changed.")
        return redirect("locations")

    page = _page("Change the location", reverse("locations"), row=place)
    return answer_act(request, form, page, act)


def _page(title: str, back: str, row: User | Location | None = None) -> ActPage:
    return ActPage(title=title, back=back, back_words="Back without saving", row=row)


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
    more = ["subdivision", "latitude", "longitude", "paper", "currency"]
    initial = {
        name: getattr(place, name) for name in [*names, *more, "shop_rate_source"]
    }
    initial["shop_rate"] = plain_cents(place.shop_rate_cents, place.currency)
    return initial
