"""Correcting a truck at the dock, its bills and their count, and the facts of one tap."""

from typing import Any, TypeVar

from django.db.models import Model, QuerySet

from inventory.actions.core.once import Answer
from inventory.actions.core.versions import RefusedError
from inventory.actions.receiving import deliveries as acts
from inventory.actions.receiving import shipments
from inventory.actions.receiving.handovers import count_handover, say_why_not_inspected
from inventory.actions.receiving.shipments import BillAtDock
from inventory.addresses import DOCK, TAILGATE, address_at, address_of
from inventory.forms.core.base import HouseForm
from inventory.forms.receiving.bills import BillForm, HandoverForm
from inventory.forms.receiving.facts import FactForm, UnseenForm
from inventory.forms.receiving.trucks import EditDeliveryForm
from inventory.models import Delivery, Handover, Location
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import from_local, local_now, now, to_local, truck_name
from inventory.views.core.phone_clock import tapped_at
from inventory.views.core.row_view import ButtonAct
from inventory.views.receiving.arriving import TakesExpected
from inventory.views.receiving.trucks import DETAILS

Row = TypeVar("Row", bound=Model)
Form = TypeVar("Form", bound=HouseForm)

LATER = ("unloaded_with", "shippers_count", "damaged_on_trailer")
"""The facts of a truck that are known once it is unloaded."""
TIMES = ("arrived_at", "started_at", "departed_at")
NOT_SENT = (
    "Your browser did not send what you tapped. Nothing was changed. Tap it again."
)


class _TruckAct(ActView[Row, Form]):
    """An act on a truck whose receipts are not signed."""

    permission = "log-delivery"
    back_words = "Back to the truck"

    def get_delivery(self) -> Delivery:
        """Return the truck that the page's row is, or belongs to."""
        raise NotImplementedError

    def get_back(self) -> str:
        return address_at(TAILGATE, self.get_delivery().pk)

    def get_crumbs(self) -> Crumbs:
        truck = truck_name(self.get_delivery())
        return [("Dock", address_at(DOCK)), (truck, self.get_back())]


class _OneTruck(_TruckAct[Delivery, Form]):
    """An act on the truck of the address."""

    def get_queryset(self) -> QuerySet[Delivery]:
        return Delivery.objects.select_related("location", "carrier")

    def get_delivery(self) -> Delivery:
        return self.row


class EditDelivery(_OneTruck[EditDeliveryForm]):
    """Correct a truck before its receipts are signed."""

    form_class = EditDeliveryForm
    title = "Correct the truck"

    def get_initial(self) -> dict[str, Any]:
        row = self.row
        moments = {name: getattr(row, name) for name in TIMES}
        return (
            super().get_initial()
            | {key: getattr(row, key) for key in (*DETAILS, *LATER)}
            | {
                name: to_local(row.location, moment) if moment else None
                for name, moment in moments.items()
            }
            | {"carrier": row.carrier_id}
        )

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"latest": local_now(self.row.location)}

    def act(self, form: EditDeliveryForm) -> Answer:
        data = form.cleaned_data
        place = self.row.location
        moments = {
            name: from_local(place, data[name]) if data[name] else None
            for name in TIMES
        }
        acts.change_delivery(
            person=self.person, at=now(), delivery=self.row, **data | moments
        )
        page = address_of(self.row)
        return self.done("Truck corrected.", page=page)


class AddBill(TakesExpected[Delivery, BillForm], _OneTruck[BillForm]):
    """Add a freight bill to the truck: number, count, crates."""

    form_class = BillForm
    template_name = "inventory/receiving/add_bill.html"
    title = "Add a freight bill"

    def get_place(self) -> Location:
        return self.row.location

    def get_carrier_id(self) -> int:
        return self.row.carrier_id

    def act(self, form: BillForm) -> Answer:
        handover = shipments.add_bill(
            person=self.person,
            at=now(),
            delivery=self.row,
            bill=BillAtDock(**self.with_announcement(form.cleaned_data)),
        )
        return self.done(f"{handover.shipment} added to this truck.", row=handover)


class EditHandover(_TruckAct[Handover, HandoverForm]):
    """Count what this truck brought of one bill."""

    form_class = HandoverForm
    undoes = "handover.counted"

    def get_queryset(self) -> QuerySet[Handover]:
        return Handover.objects.select_related(
            "shipment", "delivery__carrier", "delivery__location"
        )

    def get_delivery(self) -> Delivery:
        return self.row.delivery

    def get_title(self) -> str:
        return f"Count of {self.row.shipment}"

    def get_initial(self) -> dict[str, Any]:
        row = self.row
        return super().get_initial() | {
            "pieces_counted": row.pieces_counted,
            "handling_counted": row.handling_counted,
            "rest_to_follow": row.rest_to_follow,
        }

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"shipment": self.row.shipment}

    def act(self, form: HandoverForm) -> Answer:
        count_handover(
            person=self.person, at=now(), handover=self.row, **form.cleaned_data
        )
        return self.done(f"Count saved: {self.row.shipment}.")


class RecordFact(ButtonAct[Delivery]):
    """Record one fact of the unloading by one tap."""

    permission = "log-delivery"
    undoes = "delivery.fact"

    def get_queryset(self) -> QuerySet[Delivery]:
        return Delivery.objects.select_related("location", "carrier")

    def get_back(self) -> str:
        truck = address_at(TAILGATE, self.row.pk)
        return f"{truck}#facts" if truck else ""

    def act(self) -> Answer:
        form = FactForm(self.request.POST)
        tapped = tapped_at(self.request, now())
        fact = form.fact(self.row, tapped) if form.is_valid() else {}
        if not form.is_valid():
            raise RefusedError(NOT_SENT)
        if not fact:
            return self.done("")
        what = acts.record_fact(person=self.person, at=now(), delivery=self.row, **fact)
        return self.done(f"{what}.")


class SayWhyNotInspected(ButtonAct[Handover]):
    """Record why crates of one bill are not inspected."""

    permission = "look"
    undoes = "handover.unseen"

    def get_queryset(self) -> QuerySet[Handover]:
        return Handover.objects.select_related("shipment", "delivery")

    def get_back(self) -> str:
        return address_at(TAILGATE, self.row.delivery_id)

    def act(self) -> Answer:
        form = UnseenForm(self.request.POST)
        if not form.is_valid():
            raise RefusedError(NOT_SENT)
        say_why_not_inspected(
            person=self.person, at=now(), handover=self.row, **form.cleaned_data
        )
        return self.done(f"Reason recorded: {self.row.shipment}.")
