"""A freight bill that was announced: its form starts with what the supplier said."""

from collections.abc import Mapping
from typing import Any, TypeVar

from django.db.models import Model
from django.utils.functional import cached_property

from inventory.access import obtain
from inventory.actions.receiving.expected import Arriving
from inventory.forms.core.base import HouseForm
from inventory.models import ExpectedDelivery, Location
from inventory.queries.receiving.expected import bill_fields, offered_at
from inventory.views.core.act_view import ActView
from inventory.views.core.clock import today_at

Row = TypeVar("Row", bound=Model)
Form = TypeVar("Form", bound=HouseForm)


class TakesExpected(ActView[Row, Form]):
    """Offers the bills expected here; ``?expected=`` names the one chosen."""

    def get_place(self) -> Location:
        """Return the dock at which the bill arrives."""
        raise NotImplementedError

    def get_carrier_id(self) -> int | None:
        """Return the carrier of the truck, or None where it is not known yet."""
        return None

    @cached_property
    def expected(self) -> ExpectedDelivery | None:
        """Return the announced bill that the address names, if it names one."""
        key = self.request.GET.get("expected", "")
        rows = ExpectedDelivery.objects.filter(location=self.get_place().pk)
        return obtain(rows, self.person, key, self.permission) if key else None

    def get_initial(self) -> dict[str, Any]:
        announced = bill_fields(self.expected) if self.expected else {}
        return super().get_initial() | announced

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"expected": self.expected}

    def get_context_data(self, **more: object) -> dict[str, Any]:
        place = self.get_place()
        offered = offered_at(
            place, today=today_at(place), carrier_id=self.get_carrier_id()
        )
        afresh = f"{self.request.path}?location={place.pk}"
        more |= {"offered": offered, "expected": self.expected, "afresh": afresh}
        more |= {"chooses": f"{afresh}&expected="}
        return super().get_context_data(**more)

    def with_announcement(self, typed: Mapping[str, Any]) -> dict[str, Any]:
        """Return what was typed, with the announcement and its ticked marks as one."""
        data = dict(typed)
        marks = tuple(data.pop("marks", ()))
        arriving = Arriving(self.expected, marks) if self.expected else None
        return data | {"arriving": arriving}
