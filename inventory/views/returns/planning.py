"""Starting a return, and its plan until it is shipped: its crates, its changes."""

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest
from django.urls import reverse
from django.utils.functional import cached_property

from inventory.access import locations_of, require_somewhere
from inventory.actions.core.once import Answer
from inventory.actions.returns import staging as acts
from inventory.forms.returns.returns import (
    EditReturnForm,
    MakeReturnForm,
    ReasonForm,
    StageCratesForm,
)
from inventory.models import Crate, Delivery, Location
from inventory.queries.returns.listing import ready_for
from inventory.rules.reckoning.counts import pieces_in_words
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at
from inventory.views.returns.one_return import (
    CrateOfReturnAct,
    WholeReturnAct,
    truck_named,
)

_PLAN = (
    "carrier",
    "delivery",
    "planned_on",
    "authorization",
    "appointment",
    "bill_to",
)


class MakeReturn(ActView[Location, MakeReturnForm]):
    """Start a return, for a truck at the dock where one is named."""

    permission = "ship-crates"
    form_class = MakeReturnForm
    template_name = "inventory/returns/make_return.html"
    title = "Plan a return"
    lead = "A return is one load of empty crates to one supplier."
    back_words = "Back to the returns"
    places: list[Location]
    delivery: Delivery | None

    def get_row(self) -> Location:
        require_somewhere(self.person, self.permission)
        self.places = list(locations_of(self.person, self.permission))
        key = self.request.GET.get("delivery", "")
        self.delivery = truck_named(key, self.person) if key else None
        if self.delivery:
            return self.delivery.location
        return _place(self.request, self.places)

    def get_kicker(self) -> str:
        return self.row.name

    def get_back(self) -> str:
        return reverse("returns")

    def get_crumbs(self) -> Crumbs:
        return [("Returns", self.get_back())]

    def get_initial(self) -> dict[str, Any]:
        truck = self.delivery
        return super().get_initial() | {
            "supplier": self.request.GET.get("supplier", ""),
            "delivery": truck.pk if truck else None,
            "carrier": truck.carrier_id if truck else None,
        }

    def get_form_kwargs(self) -> dict[str, Any]:
        here = {"location": self.row, "today": today_at(self.row)}
        return super().get_form_kwargs() | here

    def get_context_data(self, **more: object) -> dict[str, Any]:
        others = [row for row in self.places if row.pk != self.row.pk]
        return super().get_context_data(others=others, **more)

    def act(self, form: MakeReturnForm) -> Answer:
        made = acts.make_return(
            location=self.row,
            person=self.person,
            at=now(),
            today=today_at(self.row),
            **form.cleaned_data,
        )
        page = reverse("stage_crates", args=[made.pk])
        return self.done(f"{made} started. Stage crates on it.", row=made, page=page)


def _place(request: HttpRequest, places: list[Location]) -> Location:
    asked = request.GET.get("location", "")
    for row in places:
        if str(row.pk) == asked:
            return row
    if asked:
        raise PermissionDenied(
            "You do not ship crates from that location. Nothing was changed."
        )
    return places[0]


class EditReturn(WholeReturnAct[EditReturnForm]):
    """Change the plan of a return that is not shipped yet."""

    form_class = EditReturnForm
    title = "Change the plan"

    def get_initial(self) -> dict[str, Any]:
        plan = {name: getattr(self.row, name) for name in _PLAN}
        return super().get_initial() | plan

    def get_form_kwargs(self) -> dict[str, Any]:
        here = self.row.location
        return super().get_form_kwargs() | {"location": here, "today": today_at(here)}

    def act(self, form: EditReturnForm) -> Answer:
        acts.change_return(
            crate_return=self.row, person=self.person, at=now(), **form.cleaned_data
        )
        return self.done(f"Plan of {self.row} saved.")


class StageCrates(WholeReturnAct[StageCratesForm]):
    """Choose crates that are ready, and stage them on the return."""

    form_class = StageCratesForm
    template_name = "inventory/returns/stage_crates.html"
    title = "Stage crates"
    lead = "Crates that are here, checked and not on hold."

    @cached_property
    def ready(self) -> list[Crate]:
        """Return the crates that can be staged."""
        return list(ready_for(self.row.location, self.row.supplier))

    def get_refusal(self) -> str:
        if self.ready:
            return ""
        return (
            f"No crate of {self.row.supplier} is ready. Empty and check crates first."
        )

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"ready": self.ready}

    def act(self, form: StageCratesForm) -> Answer:
        chosen = form.cleaned_data["crates"]
        acts.stage_crates(
            crate_return=self.row, crates=chosen, person=self.person, at=now()
        )
        count = pieces_in_words(len(chosen), "crate")
        return self.done(f"{count} staged on {self.row}.")


class TakeOffCrate(CrateOfReturnAct[ReasonForm]):
    """Take one crate off a return that is not shipped yet."""

    form_class = ReasonForm

    def get_title(self) -> str:
        return f"Take {self.row.crate} off the return"

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"act": "Take off the return"}

    def act(self, form: ReasonForm) -> Answer:
        acts.take_off(line=self.row, person=self.person, at=now(), **form.cleaned_data)
        return self.done(f"{self.row.crate} taken off {self.get_return()}.")


class CancelReturn(WholeReturnAct[ReasonForm]):
    """Cancel a return that is not shipped yet; its crates are in the yard again."""

    form_class = ReasonForm
    title = "Cancel the return"

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"act": "Cancel the return"}

    def act(self, form: ReasonForm) -> Answer:
        acts.cancel_return(
            crate_return=self.row, person=self.person, at=now(), **form.cleaned_data
        )
        return self.done(f"{self.row} canceled. Its crates are ready again.")
