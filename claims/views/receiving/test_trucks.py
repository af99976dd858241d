"""A truck for practice: started on a page of its own, taken back with one tap."""

from django.db.models import QuerySet

from claims.actions.receiving import test_trucks as acts
from claims.forms.receiving.tailgate import TestTruckForm
from inventory.access import require_somewhere
from inventory.actions.core.once import Answer
from inventory.addresses import DOCK, TAILGATE, address_at
from inventory.models import Delivery, Location
from inventory.queries.receiving.dock import last_dock_of
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, truck_name
from inventory.views.core.places import place_of
from inventory.views.core.row_view import ButtonAct


class StartTest(ActView[Location, TestTruckForm]):
    """Start a truck for practice at one's own dock."""

    permission = "log-delivery"
    form_class = TestTruckForm
    title = "Try it with a test truck"
    lead = (
        "Count two crates, inspect them and sign the receipt, before a real driver "
        "waits. Nothing goes out to anybody. Afterwards one tap takes the truck back: "
        "then it counts nowhere, and its history stays."
    )
    back_words = "Back to the dock"

    def get_row(self) -> Location:
        require_somewhere(self.person, self.permission)
        place, _ = place_of(
            self.request,
            self.person,
            self.permission,
            refusal="You cannot log trucks at that location. Nothing was changed.",
            usual=last_dock_of(self.person),
        )
        return place

    def get_kicker(self) -> str:
        return self.row.name

    def get_back(self) -> str:
        return address_at(DOCK)

    def get_crumbs(self) -> Crumbs:
        return [("Dock", address_at(DOCK))]

    def act(self, form: TestTruckForm) -> Answer:
        truck = acts.start_test(person=self.person, at=now(), location=self.row)
        page = address_at(TAILGATE, truck.pk)
        return self.done("The test truck is at the dock.", row=truck, page=page)


class EndTest(ButtonAct[Delivery]):
    """Take a test truck back, signed or not."""

    permission = "log-delivery"

    def get_queryset(self) -> QuerySet[Delivery]:
        return Delivery.everything.select_related("location", "carrier")

    def get_back(self) -> str:
        return address_at(DOCK)

    def act(self) -> Answer:
        if not self.row.is_withdrawn:
            acts.end_test(person=self.person, at=now(), delivery=self.row)
        name = truck_name(self.row)
        return self.done(f"Test truck taken back: {name}. It counts nowhere.")
