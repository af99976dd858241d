"""People and locations: the administrator's pages."""

from typing import Any

from django.contrib.auth import update_session_auth_hash
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from inventory.access import person_of, require_administrator
from inventory.actions.core.once import Answer
from inventory.actions.core.versions import RefusedError
from inventory.actions.people import people as acts
from inventory.actions.people.password_links import make_link, why_no_link
from inventory.actions.people.second_factors import remove_factor
from inventory.forms.people.people import (
    EditLocationForm,
    EditPersonForm,
    LocationForm,
    PasswordLinkForm,
    PersonForm,
    RemoveSecondStepForm,
    StartPersonForm,
)
from inventory.models import Location, User
from inventory.queries.people.people import (
    one_person,
    one_place,
    people_rows,
    place_rows,
)
from inventory.rules.core.upkeep import lines_of
from inventory.rules.reckoning.money import plain_cents
from inventory.views.core.clock import now
from inventory.views.core.row_view import Row
from inventory.views.core.squares import square_of
from inventory.views.people.listed_act import Form, ListedAct
from inventory.views.people.upkeep import kept_now

NO_DESK = "No role yet: they can sign in, but see no desk until you give them one."
NO_PLACE = (
    "There is no location yet, so you cannot give a role: roles belong to a location. "
    "Whoever you add now can sign in, but sees no desk."
)


@require_safe
def people(request: HttpRequest) -> HttpResponse:
    """List the people and their roles."""
    require_administrator(person_of(request))
    late = [line for line in lines_of(kept_now()) if line.is_late]
    context = {"people": people_rows(), "late": late}
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
            email=values["email"],
            is_administrator=values["is_administrator"],
            assigned=form.assigned(),
        )
        return self.done(added_words(new), row=new)

    def get_lead(self) -> str:
        return "" if place_rows().exists() else NO_PLACE


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
            email=values["email"],
            is_administrator=values["is_administrator"],
            is_active=values["is_active"],
            assigned=form.assigned(),
        )
        said = "" if has_desk(self.row) else f" {NO_DESK}"
        if self.row.pk == self.person.pk:
            return self.done(f"Your own entry is changed.{said}")
        return self.done(f"{self.row} changed. They must sign in again.{said}")

    def follow_up(self, form: EditPersonForm, answer: Answer) -> None:
        """Keep whoever changed their own entry signed in here."""
        if self.row.pk == self.person.pk:
            update_session_auth_hash(self.request, one_person(self.row.pk))


class StartPerson(_AdministratorAct[User, StartPersonForm]):
    """Give a first password to someone who has none yet."""

    form_class = StartPersonForm
    title = "Give a first password"
    lead = "Tell it to them in person. They can change it after signing in."
    above = ("People", "people")

    def find_row(self) -> User:
        return one_person(self.kwargs["pk"])

    def get_kicker(self) -> str:
        return str(self.row)

    def get_refusal(self) -> str:
        if not self.row.has_usable_password():
            return ""
        return f"{self.row} has a password already."

    def act(self, form: StartPersonForm) -> Answer:
        acts.give_first_password(
            person=self.person,
            at=now(),
            who=self.row,
            version=form.cleaned_data["version"],
            password=form.cleaned_data["password"],
        )
        return self.done(f"{self.row} can sign in now as {self.row.username}.")


class MakePasswordLink(_AdministratorAct[User, PasswordLinkForm]):
    """Make a one-time link for someone who forgot their password, shown once."""

    form_class = PasswordLinkForm
    title = "One-time link for a forgotten password"
    lead = (
        "Make sure who asks: whoever has the link sets the password. It works once, "
        "for one hour. Setting the password signs them out everywhere else."
    )
    above = ("People", "people")

    def find_row(self) -> User:
        return one_person(self.kwargs["pk"])

    def get_kicker(self) -> str:
        return str(self.row)

    def get_refusal(self) -> str:
        return why_no_link(self.row, self.person)

    def act(self, form: PasswordLinkForm) -> Answer:
        self.path = make_link(person=self.person, at=now(), who=self.row)
        return self.done("")

    def answer(self, answer: Answer) -> HttpResponse:
        """Show the link here and nowhere else: no address leads to it again."""
        del answer
        link = self.request.build_absolute_uri(self.path)
        context = {"link": link, "row": self.row, "square": square_of(link)}
        return render(self.request, "inventory/people/password_link_made.html", context)


class RemoveSecondStep(_AdministratorAct[User, RemoveSecondStepForm]):
    """Turn two-step sign-in off for someone who lost their phone and their codes."""

    form_class = RemoveSecondStepForm
    title = "Turn off two-step sign-in"
    lead = (
        "Make sure who asks: after this their password alone signs them in. They are "
        "signed out everywhere and can turn it on again with a new phone."
    )
    above = ("People", "people")

    def find_row(self) -> User:
        return one_person(self.kwargs["pk"])

    def get_kicker(self) -> str:
        return str(self.row)

    def act(self, form: RemoveSecondStepForm) -> Answer:
        if self.row.pk == self.person.pk:
            raise RefusedError("Turn your own off under Your sign-in.")
        remove_factor(person=self.person, at=now(), who=self.row)
        return self.done(f"Two-step sign-in of {self.row} is off.")


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


def has_desk(who: User) -> bool:
    """Return whether signing in leads this person anywhere, or is disabled."""
    is_settled = who.is_administrator or not who.is_active
    return is_settled or who.assignments.exists()


def added_words(new: User) -> str:
    """Return what is said of a person who was added."""
    said = "They can sign in now." if has_desk(new) else NO_DESK
    return f"{new} added. {said}"


def _person_initial(who: User) -> dict[str, Any]:
    initial: dict[str, Any] = {
        "full_name": who.full_name,
        "phone": who.phone,
        "email": who.email,
        "is_active": who.is_active,
        "is_administrator": who.is_administrator,
    }
    for row in who.assignments.all():
        initial.setdefault(f"roles_{row.location_id}", []).append(row.role)
    return initial


def _place_initial(place: Location) -> dict[str, Any]:
    names = ["name", "code", "address", "email", "time_zone", "country"]
    more = ["subdivision", "latitude", "longitude", "paper", "length_unit"]
    initial = {
        name: getattr(place, name)
        for name in [*names, *more, "currency", "shop_rate_source"]
    }
    initial["shop_rate"] = plain_cents(place.shop_rate_cents, place.currency)
    return initial
