"""What suppliers announced: the list, one bill, entering one, taking one back."""

from typing import Any, TypeVar

from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.access import (
    locations_of,
    may,
    obtain,
    person_of,
    require_somewhere,
)
from inventory.actions.core.once import Answer
from inventory.actions.receiving import expected as acts
from inventory.addresses import DOCK, address_at
from inventory.forms.core.base import HouseForm
from inventory.forms.receiving.expected import AddExpectedForm, NotExpectedForm
from inventory.models import ExpectedDelivery, Location
from inventory.queries.core.history import story_of
from inventory.queries.receiving.expected import (
    FILTERS,
    came_of,
    expected_in,
    expected_sheet,
    piece_count,
    rows_of,
)
from inventory.rules.receiving.comparing import state_of
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import dock_words, now, today_at
from inventory.views.core.paging import page_of
from inventory.views.core.places import place_of
from inventory.views.core.sheets import asked_as_file
from inventory.views.core.ways import go_to

Form = TypeVar("Form", bound=HouseForm)


@require_safe
def expected(request: HttpRequest) -> HttpResponse:
    """List the expected bills: due, late, arrived."""
    person = person_of(request)
    require_somewhere(person, "see")
    todays = {place.pk: today_at(place) for place in locations_of(person)}
    which = request.GET.get("which", "waiting")
    which = which if which in FILTERS else "waiting"
    rows = expected_in(person, which, todays)
    file = asked_as_file(
        request,
        lambda: expected_sheet(rows_of(rows, todays)),
        stem="expected",
        today=max(todays.values()),
    )
    if file:
        return file
    page = page_of(request, rows)
    page.object_list = rows_of(page.object_list, todays)
    context = {
        "page": page,
        "which": which,
        "filters": FILTERS,
        "many_places": len(todays) > 1,
        "may_log": locations_of(person, "log-delivery").exists(),
        "crumbs": [("Dock", address_at(DOCK)), ("Expected", "")],
    }
    return render(request, "inventory/receiving/expected.html", context)


def _expected_rows() -> QuerySet[ExpectedDelivery]:
    return ExpectedDelivery.everything.select_related(
        "location", "supplier", "carrier", "shipment", "withdrawn_by", "made_by"
    )


@require_safe
def expected_delivery(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one announced bill, and what came against what was announced."""
    person = person_of(request)
    row = obtain(_expected_rows(), person, pk, "see")
    place = row.location
    today = today_at(place)
    context = {
        "row": row,
        "state": state_of(
            expected_on=row.expected_on,
            has_come=row.shipment_id is not None,
            today=today,
        ),
        "lines": row.crates.order_by("position"),
        "count": piece_count(row),
        "came": came_of(row) if row.shipment_id else None,
        "taken_back": dock_words(place, row.withdrawn_at) if row.withdrawn_at else "",
        "may_log": may(person, place.pk, "log-delivery"),
        "story": story_of([row], place, leave_out=()),
        "crumbs": [
            ("Dock", address_at(DOCK)),
            ("Expected", reverse("expected")),
            (str(row), ""),
        ],
    }
    return render(request, "inventory/receiving/expected_delivery.html", context)


NOT_HERE = "You cannot log trucks at that location. Nothing was changed."


class ExpectedAtPlace(ActView[Location, Form]):
    """A page that records announcements for one dock."""

    permission = "log-delivery"
    back_words = "Back to expected bills"

    def get_row(self) -> Location:
        require_somewhere(self.person, self.permission)
        location, self.others = place_of(
            self.request, self.person, self.permission, refusal=NOT_HERE
        )
        return location

    def get_kicker(self) -> str:
        return self.row.name

    def get_back(self) -> str:
        return reverse("expected")

    def get_crumbs(self) -> Crumbs:
        return [("Dock", address_at(DOCK)), ("Expected", reverse("expected"))]

    def get_context_data(self, **more: object) -> dict[str, Any]:
        return super().get_context_data(others=self.others, **more)


class AddExpected(ExpectedAtPlace[AddExpectedForm]):
    """Enter one announced bill by hand."""

    form_class = AddExpectedForm
    template_name = "inventory/receiving/announce.html"
    title = "Add an expected bill"

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"today": today_at(self.row)}

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {"expected_on": today_at(self.row)}

    def act(self, form: AddExpectedForm) -> Answer:
        (made,) = acts.announce_deliveries(
            person=self.person,
            at=now(),
            location=self.row,
            supplier=form.cleaned_data["supplier"],
            bills=[form.announced()],
        )
        return self.done(f"{made} is expected.", row=made)


class WithdrawExpected(ActView[ExpectedDelivery, NotExpectedForm]):
    """Take back an announcement that will not come."""

    permission = "log-delivery"
    form_class = NotExpectedForm
    title = "This bill is no longer expected"
    lead = "The dock stops waiting for it. Nothing is erased."
    back_words = "Keep it"

    def get_queryset(self) -> QuerySet[ExpectedDelivery]:
        return _expected_rows()

    def get_kicker(self) -> str:
        return str(self.row)

    def get_back(self) -> str:
        return reverse("expected_delivery", args=[self.row.pk])

    def get_crumbs(self) -> Crumbs:
        return [("Expected", reverse("expected")), (str(self.row), self.get_back())]

    def get_refusal(self) -> str:
        if self.row.shipment_id is None:
            return ""
        return f"{self.row} has arrived, so the announcement stays."

    def post(
        self, request: HttpRequest, *args: object, **kwargs: object
    ) -> HttpResponse:
        """Act once, however often it is sent."""
        if self.row.is_withdrawn:
            messages.info(request, f"{self.row} is taken back already.")
            return go_to(self.get_back())
        return super().post(request, *args, **kwargs)

    def act(self, form: NotExpectedForm) -> Answer:
        acts.withdraw_expected(
            person=self.person, at=now(), expected=self.row, **form.cleaned_data
        )
        return self.done(f"{self.row} is no longer expected.", page=reverse("expected"))
