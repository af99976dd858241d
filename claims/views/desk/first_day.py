"""The first day of a company: six boards make a crate; one is open at a time."""

from typing import Any, ClassVar

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_safe

from claims.actions.desk import first_day as acts
from claims.forms.desk.first_day import (
    FirstCarrierForm,
    FirstLocationForm,
    FirstPersonForm,
    FirstSupplierForm,
    UsualNumbersForm,
)
from claims.queries.desk.first_day import BoardState, first_open, progress, signers
from claims.rules.core.first_day import (
    ACCOUNTS_BOARD,
    BOARDS,
    CARRIERS,
    LOCATION,
    PEOPLE,
    SUPPLIERS,
    TRUCK,
    usual_numbers,
)
from inventory.access import locations_of, person_of, require_administrator
from inventory.actions.core.once import Answer
from inventory.actions.people import partners, people
from inventory.forms.core.base import HouseForm
from inventory.models import Location
from inventory.queries.people.people import place_rows
from inventory.rules.core.roles import ROLES
from inventory.rules.crates.words import ACCOUNTS
from inventory.views.core.act_view import ActView, Form
from inventory.views.core.clock import now, today_at
from inventory.views.people.people import added_words

LOCATION_FIRST = "Enter the location first: this belongs to a location."


class _Board(ActView[None, Form]):
    """One board open, the others as lines."""

    template_name = "claims/desk/welcome.html"
    key: ClassVar[str]
    needs_location = False
    more_words = ""
    """What the button says that saves and stays, for a board that takes several."""

    def get_row(self) -> None:
        require_administrator(self.person)
        self.places = list(place_rows())

    def get_title(self) -> str:
        first, *_ = str(self.person).split()
        return f"Welcome to Tarefold, {first}"

    def get_back(self) -> str:
        return reverse("people")

    def get_refusal(self) -> str:
        return LOCATION_FIRST if self.needs_location and not self.places else ""

    def saved(self, message: str) -> Answer:
        """Return the answer that goes on, or stays for another of the same."""
        stays = "another" in self.request.POST
        return self.done(
            message, page=_address(self.key) if stays else reverse("welcome")
        )

    def get_context_data(self, **more: object) -> dict[str, Any]:
        states = progress()
        left = [one for one in states if not one.is_done]
        keys = [one.board.key for one in left]
        rows = [
            (number, one, _address(one.board.key), one.board.key == self.key)
            for number, one in enumerate(states, 1)
        ]
        return super().get_context_data(
            rows=rows,
            done_count=len(states) - len(left),
            fields=sum(one.board.fields for one in left),
            taps=sum(one.board.taps for one in left),
            later=_later(self.key, keys),
            next_name=_name_after(self.key, states),
            address=_address(self.key),
            more_words=self.more_words,
            **more,
        ) | {"bar": None, "crumbs": []}


def _address(key: str) -> str:
    return reverse(f"welcome_{key}") if key else reverse("welcome")


def _later(key: str, open_keys: list[str]) -> str:
    """Return the page of the next open board after this one, or the people's list."""
    order = [board.key for board in BOARDS]
    at = order.index(key) if key else 0
    after = [one for one in order[at + 1 :] if one in open_keys]
    return _address(after[0]) if after else reverse("people")


def _name_after(key: str, states: list[BoardState]) -> str:
    """Return the name of the board that opens once this one is saved, or ""."""
    rest = [one for one in states if one.board.key != key and not one.is_done]
    return rest[0].board.name.partition(",")[0].lower() if rest else ""


class LocationBoard(_Board[FirstLocationForm]):
    """The location with its holidays, its clock and its paper."""

    key = LOCATION
    form_class = FirstLocationForm

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {"paper": "letter"}

    def act(self, form: FirstLocationForm) -> Answer:
        row = people.add_location(person=self.person, at=now(), **form.own_fields())
        return self.saved(f"Location {row} saved.")


class PeopleBoard(_Board[FirstPersonForm]):
    """People with their roles."""

    key = PEOPLE
    form_class = FirstPersonForm
    needs_location = True
    more_words = "Save, add another person"

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"places": self.places}

    def act(self, form: FirstPersonForm) -> Answer:
        values = form.cleaned_data
        new = people.add_person(
            person=self.person,
            at=now(),
            username=values["username"],
            full_name=values["full_name"],
            password=values["password"],
            is_administrator=False,
            assigned=form.assigned(),
        )
        return self.saved(added_words(new))


class SuppliersBoard(_Board[FirstSupplierForm]):
    """Suppliers and their crates."""

    key = SUPPLIERS
    form_class = FirstSupplierForm
    needs_location = True
    more_words = "Save, add another supplier"

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {"decline": "none"}

    def get_form_kwargs(self) -> dict[str, Any]:
        place = self.places[0] if self.places else Location(time_zone="UTC")
        return super().get_form_kwargs() | {
            "currency": place.currency,
            "today": today_at(place),
        }

    def act(self, form: FirstSupplierForm) -> Answer:
        row = acts.add_first_supplier(
            person=self.person, at=now(), crates=form.crates(), **form.own_fields()
        )
        return self.saved(f"Supplier {row} saved.")


class CarriersBoard(_Board[FirstCarrierForm]):
    """Carriers, with where claims go."""

    key = CARRIERS
    form_class = FirstCarrierForm
    more_words = "Save, add another carrier"

    def act(self, form: FirstCarrierForm) -> Answer:
        row = partners.add_carrier(
            person=self.person, at=now(), periods=[], **form.own_fields()
        )
        return self.saved(f"Carrier {row} saved.")


class AccountsBoard(_Board[UsualNumbersForm]):
    """The account numbers, ours unless the company has its own."""

    key = ACCOUNTS_BOARD
    form_class = UsualNumbersForm
    needs_location = True

    def get_context_data(self, **more: object) -> dict[str, Any]:
        usual = usual_numbers()
        numbers = [(usual[kind], words) for kind, words in ACCOUNTS.items()]
        return super().get_context_data(numbers=numbers, **more)

    def act(self, form: UsualNumbersForm) -> Answer:
        acts.number_usually(person=self.person, at=now(), places=self.places)
        return self.saved("Account numbers saved.")


class TruckBoard(_Board[HouseForm]):
    """The test truck: who starts it, and where."""

    http_method_names = ["get"]
    key = TRUCK
    form_class = HouseForm

    def get_context_data(self, **more: object) -> dict[str, Any]:
        who = {
            row.person: f"{row.person} ({ROLES[row.role].lower()})" for row in signers()
        }
        return super().get_context_data(
            may_start=locations_of(self.person, "log-delivery").exists(),
            who=list(who.values()),
            **more,
        )


class _Finished(_Board[HouseForm]):
    """Every board is done: none is open."""

    key = ""
    form_class = HouseForm


@require_safe
def welcome(request: HttpRequest) -> HttpResponse:
    """Show the boards; the first that is not done is open."""
    require_administrator(person_of(request))
    page = _PAGES[first_open(progress())]
    answer: HttpResponse = page.as_view()(request)  # type: ignore[assignment]
    return answer


_PAGES: dict[str, type[_Board[Any]]] = {
    page.key: page
    for page in (
        LocationBoard,
        PeopleBoard,
        SuppliersBoard,
        CarriersBoard,
        AccountsBoard,
        TruckBoard,
        _Finished,
    )
}
