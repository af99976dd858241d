"""Logging trucks, each with its first freight bill, and listing them."""

from contextlib import ExitStack
from typing import Any, TypeVar

from django.contrib import messages
from django.db.models import Model
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from inventory.access import locations_of, person_of, require_somewhere
from inventory.actions.core.once import Answer
from inventory.actions.evidence.holding import held_photos, hold_upload
from inventory.actions.evidence.keeping import BadUploadError
from inventory.actions.evidence.photo_facts import About
from inventory.actions.receiving import deliveries as acts
from inventory.actions.receiving import shipments
from inventory.actions.receiving.shipments import BillAtDock
from inventory.addresses import DOCK, TAILGATE, address_at
from inventory.forms.core.base import HouseForm
from inventory.forms.core.photos import photo_field
from inventory.forms.receiving.trucks import (
    LogDeliveryForm,
)
from inventory.models import Carrier, Delivery, Location
from inventory.queries.receiving.dock import (
    carriers_last_used_first,
    delivery_rows,
    last_dock_of,
)
from inventory.queries.receiving.truck_sheet import truck_sheet
from inventory.queries.returns.listing import empties_for
from inventory.rules.reckoning.counts import pieces_in_words
from inventory.rules.reckoning.moments import clock_difference
from inventory.views.core.act_view import Crumbs
from inventory.views.core.clock import (
    dock_words,
    from_local,
    local_now,
    now,
    today_somewhere,
    truck_name,
)
from inventory.views.core.paging import page_of
from inventory.views.core.phone_clock import phone_clock
from inventory.views.core.places import place_of
from inventory.views.core.refusals import put_refusal
from inventory.views.core.sheets import asked_as_file
from inventory.views.core.strips import Strip, strip_for
from inventory.views.receiving.arriving import TakesExpected

Row = TypeVar("Row", bound=Model)
Form = TypeVar("Form", bound=HouseForm)

DETAILS = (
    "driver_name",
    "trailer_number",
    "seal_number",
    "seal_condition",
    "seal_note",
    "unloaded_by",
)


@require_safe
def deliveries(request: HttpRequest) -> HttpResponse:
    """List every truck of the person's locations, latest first."""
    person = person_of(request)
    require_somewhere(person, "see")
    rows = delivery_rows(person)
    today = today_somewhere(person)
    file = asked_as_file(request, lambda: truck_sheet(rows), stem="trucks", today=today)
    if file:
        return file
    page = page_of(request, rows)
    for row in page.object_list:
        row.arrived = dock_words(row.location, row.arrived_at)
    context = {
        "page": page,
        "may_log": locations_of(person, "log-delivery").exists(),
        "crumbs": [("Dock", address_at(DOCK)), ("All trucks", "")],
    }
    return render(request, "inventory/receiving/deliveries.html", context)


class LogDelivery(TakesExpected[Location, LogDeliveryForm]):
    """Log a truck with its first freight bill; the carriers last used come first."""

    permission = "log-delivery"
    form_class = LogDeliveryForm
    template_name = "inventory/receiving/log_delivery.html"
    title = "Log a truck"
    back_words = "Back to the dock"
    photo_kind = "load"

    def get_row(self) -> Location:
        require_somewhere(self.person, self.permission)
        place, self.others = place_of(
            self.request,
            self.person,
            self.permission,
            refusal="You cannot log trucks at that location. Nothing was changed.",
            usual=last_dock_of(self.person),
        )
        return place

    def get_place(self) -> Location:
        return self.row

    def get_kicker(self) -> str:
        return self.row.name

    def get_back(self) -> str:
        return address_at(DOCK)

    def get_crumbs(self) -> Crumbs:
        return [("Dock", address_at(DOCK))]

    @cached_property
    def carriers(self) -> list[Carrier]:
        """Return the carriers of this dock, the last one first."""
        return carriers_last_used_first(self.row)

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {"arrived_at": local_now(self.row)}

    def get_form_kwargs(self) -> dict[str, Any]:
        options = {"carriers": self.carriers, "latest": local_now(self.row)}
        return super().get_form_kwargs() | options

    def get_context_data(self, **more: object) -> dict[str, Any]:
        return super().get_context_data(others=self.others, **more)

    def get_strip(self) -> Strip:
        return strip_for(self.request, self.row, self.photo_kind)

    def act(self, form: LogDeliveryForm) -> Answer:
        data = form.cleaned_data
        name = data["carrier_name"]
        clock = phone_clock(self.request)
        delivery = acts.log_delivery(
            person=self.person,
            at=now(),
            location=self.row,
            arrived_at=from_local(self.row, data["arrived_at"]),
            carrier=None if name else data["carrier"],
            carrier_name=name,
            phone_shows=clock.shows if clock else None,
            **{key: data[key] for key in DETAILS},
        )
        logged = f"Truck logged: {truck_name(delivery)}."
        page = reverse("add_bill", args=[delivery.pk])
        if "bill" in data:
            typed = data["bill"] | {"marks": data.get("marks", ())}
            bill = BillAtDock(pieces_counted=None, **self.with_announcement(typed))
            shipments.add_bill(
                person=self.person, at=now(), delivery=delivery, bill=bill
            )
            page = address_at(TAILGATE, delivery.pk)
        if waiting := sum(one.crates for one in empties_for(delivery)):
            empties = pieces_in_words(waiting, "empty crate")
            logged = f"{logged} Staged for this truck: {empties}."
            page = address_at(TAILGATE, delivery.pk)
        return self.done(logged, row=delivery, page=page)

    def follow_up(self, form: LogDeliveryForm, answer: Answer) -> None:
        """Save the photo of the load: it belongs to a truck that is now logged."""
        if self.clock_words:
            messages.warning(
                self.request,
                f"{self.clock_words} The truck says it arrived when this phone said so. "
                "Correct the arrival if that is wrong.",
            )
        photo = photo_field(form, "photo")
        held = held_photos(self.person, photo.held_tokens)
        if not held and not photo.uploads:
            return
        delivery = Delivery.objects.select_related("location").get(pk=answer.key)
        with ExitStack() as opened:
            stored = [opened.enter_context(one.as_upload()) for one in held]
            done = self.keep(
                photo, About(delivery=delivery), uploads=[*stored, *photo.uploads]
            )
        for refused in done.refused:
            messages.error(
                self.request, f"The truck is logged, but its photo is not: {refused}"
            )

    @cached_property
    def clock_words(self) -> str:
        """Return how far the clock of the phone is off on which the form waited."""
        clock = phone_clock(self.request)
        off = clock_difference(clock.shows, now()) if clock else ""
        return f"This phone's clock is {off}." if off else ""

    def form_invalid(self, form: LogDeliveryForm) -> HttpResponse:
        """Show the form again with its photo, stored until the truck is logged."""
        if "arrived_at" in form.errors and self.clock_words:
            form.add_error("arrived_at", f"{self.clock_words} Set it, then mend this.")
        photo = photo_field(form, "photo")
        held = held_photos(self.person, photo.held_tokens)
        for upload in photo.uploads:
            try:
                held.append(hold_upload(person=self.person, upload=upload))
            except BadUploadError as error:
                put_refusal(form, "photo", error, f"{upload.name}: {error}")
        photo.held = held
        photo.drop_uploads()
        return super().form_invalid(form)
