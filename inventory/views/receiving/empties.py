"""Closing a truck that brought no freight and only took empty crates."""

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse

from inventory.actions.core.once import Answer
from inventory.actions.receiving.empties import (
    close_empties_truck,
    why_not_empties_only,
)
from inventory.addresses import DOCK, TAILGATE, address_at, address_of
from inventory.forms.receiving.empties import EmptiesOnlyForm
from inventory.models import Delivery
from inventory.rules.returns.life import CANCELLED
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, truck_name
from inventory.views.core.ways import go_to


class CloseEmptiesTruck(ActView[Delivery, EmptiesOnlyForm]):
    """Close a truck without freight: there is no receipt to sign."""

    permission = "log-delivery"
    form_class = EmptiesOnlyForm
    title = "Took empties only, no freight"
    lead = "This closes the truck. There is no delivery receipt to sign."
    back_words = "Back to the truck"

    def get_queryset(self) -> QuerySet[Delivery]:
        return Delivery.objects.select_related("location", "carrier")

    def get_kicker(self) -> str:
        return truck_name(self.row)

    def get_back(self) -> str:
        return address_at(TAILGATE, self.row.pk)

    def get_crumbs(self) -> Crumbs:
        return [("Dock", address_at(DOCK)), (truck_name(self.row), self.get_back())]

    def get(
        self, request: HttpRequest, *args: object, **kwargs: object
    ) -> HttpResponse:
        """Show the form, or the truck where it is closed already."""
        if self.row.is_signed:
            return go_to(address_of(self.row))
        return super().get(request, *args, **kwargs)

    def get_refusal(self) -> str:
        loads = self.row.returns.exclude(state=CANCELLED).order_by("pk")
        return why_not_empties_only(self.row, list(loads))

    def act(self, form: EmptiesOnlyForm) -> Answer:
        close_empties_truck(
            person=self.person, at=now(), delivery=self.row, **form.cleaned_data
        )
        return self.done("Truck closed: took empties only.", page=address_of(self.row))
