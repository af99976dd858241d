"""People and locations: the administrator's pages."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from inventory.access import person_of, require_administrator
from inventory.actions.core.once import Answer
from inventory.actions.people import people as acts
from inventory.forms.people.people import (
    EditLocationForm,
    EditPersonForm,
    LocationForm,
    PersonForm,
)
from inventory.models import Location, User
from inventory.queries.mail.beats import pulse_of
from inventory.queries.people.people import (
    one_person,
    one_place,
    people_rows,
    place_rows,
)
from inventory.rules.reckoning.money import plain_cents
from inventory.views.core.clock import now
from inventory.views.core.row_view import Row
from inventory.views.people.listed_act import Form, ListedAct


@require_safe
def people(request: HttpRequest) -> HttpResponse:
    """List the people and their roles."""
    require_administrator(person_of(request))
    context = {"people": people_rows(), "pulse": pulse_of("mail", now())}
    return render(request, "inventory/people/people.html", context)


@require_safe
def locations(request: HttpRequest) -> HttpResponse:
    """List the locations."""
    require_administrator(person_of(request))
    return render(
        request, "inventory/people/locations.html", {"locations": place_rows()}
    )


class _AdministratorAct(ListedAct[Row, Form]):
    """What the administrator's pages have in common."""

    def check(self) -> None:
        require_administrator(self.person)


class AddPerson(_AdministratorAct[None, PersonForm]):
    """Add a person."""

    form_class = PersonForm
    title = "Add a person"
    above = ("People", "people")

    def find_row(self) -> None:
        return None

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"places": list(place_rows())}

    def act(self, form: PersonForm) -> Answer:
        values = form.cleaned_data
        new = acts.add_person(
            person=self.person,
            at=now(),
            username=values["username"],
            full_name=values["full_name"],
            password=values["password"],
            phone=values["phone"],
            is_administrator=values["is_administrator"],
            assigned=form.assigned(),
        )
        return self.done(f"{new} added. They can sign in now.", row=new)


class EditPerson(_AdministratorAct[User, EditPersonForm]):
    """Change a person's name, roles or sign-in."""

    form_class = EditPersonForm
    above = ("People", "people")

    def find_row(self) -> User:
        row = one_person(self.kwargs["pk"])
        self.title = f"Change {row.full_name}"
        return row

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | _person_initial(self.row)

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"places": list(place_rows())}

    def act(self, form: EditPersonForm) -> Answer:
        values = form.cleaned_data
        acts.change_person(
            person=self.person,
            at=now(),
            who=self.row,
            version=values["version"],
            full_name=values["full_name"],
            phone=values["phone"],
            is_administrator=values["is_administrator"],
            is_active=values["is_active"],
            assigned=form.assigned(),
        )
        return self.done(f"{self.row} changed. They must sign in again.")


class AddLocation(_AdministratorAct[None, LocationForm]):
    """Add a location."""

    form_class = LocationForm
    title = "Add a location"
    above = ("Locations", "locations")

    def find_row(self) -> None:
        return None

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {"currency": "USD"}

    def act(self, form: LocationForm) -> Answer:
        place = acts.add_location(person=self.person, at=now(), **form.own_fields())
        return self.done(f"{place} added.", row=place)


class EditLocation(_AdministratorAct[Location, EditLocationForm]):
    """Change a location."""

    form_class = EditLocationForm
    above = ("Locations", "locations")

    def find_row(self) -> Location:
        row = one_place(self.kwargs["pk"])
        self.title = f"Change {row.name}"
        return row

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | _place_initial(self.row)

    def act(self, form: EditLocationForm) -> Answer:
        acts.change_location(
            person=self.person,
            at=now(),
            location=self.row,
            version=form.cleaned_data["version"],
            **form.own_fields(),
        )
        return self.done(f"{self.row} changed.")


def _person_initial(who: User) -> dict[str, Any]:
    initial: dict[str, Any] = {
        "full_name": who.full_name,
        "phone": who.phone,
        "is_active": who.is_active,
        "is_administrator": who.is_administrator,
    }
    for row in who.assignments.all():
        initial.setdefault(f"roles_{row.location_id}", []).append(row.role)
    return initial


def _place_initial(place: Location) -> dict[str, Any]:
    names = ["name", "code", "address", "time_zone", "country"]
    more = ["subdivision", "latitude", "longitude", "paper", "length_unit"]
    initial = {
        name: getattr(place, name)
        for name in [*names, *more, "currency", "shop_rate_source"]
    }
    initial["shop_rate"] = plain_cents(place.shop_rate_cents, place.currency)
    return initial
