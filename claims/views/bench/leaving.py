"""A machine leaves, with its release or the manager's reason; or it is back."""

from typing import Any, TypeVar

from django.db.models import QuerySet
from django.urls import reverse
from django.utils.functional import cached_property

from claims.actions.bench import leaving as acts
from claims.forms.bench.leaving import BackForm, LeaveForm
from claims.queries.bench.departures import Leaving, departure_of, leaving_of
from claims.rules.bench.leaving import days_stood, must_recheck
from claims.rules.bench.sign_off import NOT_RELEASED
from inventory.access import may, who_may
from inventory.actions.core.once import Answer
from inventory.forms.core.base import HouseForm
from inventory.models import Unit
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at

Form = TypeVar("Form", bound=HouseForm)


class _MachineMoves(ActView[Unit, Form]):
    """A form about where a machine is."""

    permission = "send-out"
    back_words = "Back to the machine without saving"

    def get_queryset(self) -> QuerySet[Unit]:
        return Unit.objects.select_related("shipment__location", "crate")

    def get_kicker(self) -> str:
        return str(self.row)

    def get_back(self) -> str:
        return reverse("unit", args=[self.row.pk])

    def get_crumbs(self) -> Crumbs:
        return [(str(self.row), self.get_back())]


class Leave(_MachineMoves[LeaveForm]):
    """Record that a machine leaves."""

    form_class = LeaveForm
    template_name = "claims/bench/leave.html"
    title = "Record its departure"

    @cached_property
    def leaving(self) -> Leaving:
        """Return what stands for and against its leaving."""
        return leaving_of(self.row)

    @property
    def may_decide(self) -> bool:
        """Return whether this person may let it leave without a sign-off."""
        return may(self.person, self.row.shipment.location_id, "decide")

    def get_refusal(self) -> str:
        if departure_of(self.row):
            return "It has left already."
        if self.leaving.hold_reason:
            return f"It is on hold. {self.leaving.hold_reason}"
        if not self.leaving.release and not self.may_decide:
            return NOT_RELEASED.replace(" Nothing was saved.", "")
        return ""

    def get_initial(self) -> dict[str, Any]:
        today = today_at(self.row.shipment.location)
        return super().get_initial() | {"left_on": today}

    def get_form_kwargs(self) -> dict[str, Any]:
        today = today_at(self.row.shipment.location)
        released_on = self.leaving.released_on
        is_released = bool(self.leaving.release)
        return super().get_form_kwargs() | {
            "today": today,
            "stood": is_released and must_recheck("sold", released_on, today),
            "asks_reason": not is_released and self.may_decide,
        }

    def get_context_data(self, **more: object) -> dict[str, Any]:
        here = self.row.shipment.location
        return super().get_context_data(
            leaving=self.leaving,
            stood=days_stood(self.leaving.released_on, today_at(here)),
            whom_to_ask=who_may("decide", here.pk),
            **more,
        )

    def act(self, form: LeaveForm) -> Answer:
        row = acts.leave(person=self.person, at=now(), unit=self.row, **form.told())
        return self.done(f"{row}, {row.to}.")


class TakeBack(_MachineMoves[BackForm]):
    """Record that a machine that left is back, or never left."""

    form_class = BackForm
    title = "Record its return"

    def get_refusal(self) -> str:
        return "" if departure_of(self.row) else "It is here."

    def act(self, form: BackForm) -> Answer:
        acts.take_back(person=self.person, at=now(), unit=self.row, **form.cleaned_data)
        return self.done(f"Back here: {self.row}.")
