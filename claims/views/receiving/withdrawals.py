"""Taking back a truck, a freight bill or a crate that was recorded by mistake."""

from typing import Any, TypeVar

from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from claims.actions.receiving import withdrawals as acts
from claims.queries.receiving.hanging import (
    TakenBack,
    why_closed,
    why_it_stays,
    with_bill,
    with_crate,
    with_truck,
)
from claims.rules.receiving.receipt_lines import join_words
from claims.views.receiving.tailgate import trail
from inventory.actions.core.once import Answer
from inventory.addresses import DOCK, address_at
from inventory.forms.core.withdrawing import WithdrawForm
from inventory.models import Crate, Delivery, Handover, Shipment
from inventory.models.withdrawn import Withdrawable
from inventory.rules.reckoning.counts import pieces_in_words
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, truck_name
from inventory.views.core.ways import go_to

Row = TypeVar("Row", bound=Withdrawable)


class _Withdraw(ActView[Row, WithdrawForm]):
    """An act that takes a row back. A second sending shows what the first one did."""

    permission = "log-delivery"
    form_class = WithdrawForm
    template_name = "claims/receiving/withdraw.html"
    back_words = "Keep it"

    def get_gone(self) -> TakenBack:
        """Return the rows that go with this one."""
        raise NotImplementedError

    def get_delivery(self) -> Delivery | None:
        """Return the truck whose receipt takes a note instead."""
        raise NotImplementedError

    def get_after(self) -> str:
        """Return the page to go to once it is taken back."""
        raise NotImplementedError

    def get(
        self, request: HttpRequest, *args: object, **kwargs: object
    ) -> HttpResponse:
        """Show the form, or say that it is done already."""
        if self.row.is_withdrawn:
            return self._done_already()
        return super().get(request, *args, **kwargs)

    def post(
        self, request: HttpRequest, *args: object, **kwargs: object
    ) -> HttpResponse:
        """Act once, however often it is sent."""
        if self.row.is_withdrawn:
            return self._done_already()
        return super().post(request, *args, **kwargs)

    def _done_already(self) -> HttpResponse:
        messages.info(self.request, f"{self.row} is taken back already.")
        return go_to(self.get_after())

    def get_refusal(self) -> str:
        return why_it_stays(self.get_gone())

    def get_lead(self) -> str:
        gone = self.get_gone()
        if why_it_stays(gone):
            return ""
        parts = [
            (len(gone.bills), "freight bill"),
            (len(gone.crates), "crate"),
            (len(gone.machines), "machine"),
        ]
        also = [
            pieces_in_words(count, noun)
            for count, noun in parts
            if count and not isinstance(self.row, Crate)
        ]
        goes = f"This takes back {join_words(also)}. " if also else ""
        return (
            f"{goes}Nothing is erased: it stays in the history with your reason, and "
            "photos stay on file."
        )

    def get_context_data(self, **more: object) -> dict[str, Any]:
        truck = self.get_delivery()
        note = ""
        if truck and why_closed(self.get_gone()):
            note = reverse("note_receipt", args=[truck.pk])
        return super().get_context_data(note_url=note, **more)


class WithdrawDelivery(_Withdraw[Delivery]):
    """Take back a truck that was logged by mistake."""

    title = "This truck was logged by mistake"

    def get_queryset(self) -> QuerySet[Delivery]:
        return Delivery.everything.select_related("location", "carrier")

    def get_gone(self) -> TakenBack:
        return with_truck(self.row)

    def get_delivery(self) -> Delivery:
        return self.row

    def get_back(self) -> str:
        return reverse("delivery", args=[self.row.pk])

    def get_after(self) -> str:
        return address_at(DOCK)

    def get_crumbs(self) -> Crumbs:
        return trail(self.row)

    def act(self, form: WithdrawForm) -> Answer:
        acts.withdraw_delivery(
            person=self.person, at=now(), delivery=self.row, **form.cleaned_data
        )
        return self.done(
            f"Truck taken back: {truck_name(self.row)}.", page=self.get_after()
        )


class WithdrawBill(_Withdraw[Handover]):
    """Take a freight bill off a truck."""

    title = "This freight bill is not on this truck"

    def get_queryset(self) -> QuerySet[Handover]:
        return Handover.everything.select_related(
            "shipment", "delivery__carrier", "delivery__location"
        )

    def get_gone(self) -> TakenBack:
        return with_bill(self.row)

    def get_delivery(self) -> Delivery:
        return self.row.delivery

    def get_kicker(self) -> str:
        return str(self.row.shipment)

    def get_back(self) -> str:
        return reverse("delivery", args=[self.row.delivery_id])

    def get_after(self) -> str:
        return reverse("tailgate", args=[self.row.delivery_id])

    def get_crumbs(self) -> Crumbs:
        return trail(self.row.delivery)

    def act(self, form: WithdrawForm) -> Answer:
        acts.withdraw_bill(
            person=self.person, at=now(), handover=self.row, **form.cleaned_data
        )
        return self.done(
            f"{self.row.shipment} taken off this truck.", page=self.get_after()
        )


class WithdrawCrate(_Withdraw[Crate]):
    """Take back a crate too many."""

    title = "This crate was listed by mistake"

    def get_queryset(self) -> QuerySet[Crate]:
        return Crate.everything.select_related("shipment__location", "delivery")

    def get_gone(self) -> TakenBack:
        return with_crate(self.row)

    def get_delivery(self) -> Delivery | None:
        return self.row.delivery

    def get_kicker(self) -> str:
        return str(self.row)

    def get_back(self) -> str:
        return reverse("crate", args=[self.row.pk])

    def get_after(self) -> str:
        return reverse("shipment", args=[self.row.shipment_id])

    def get_crumbs(self) -> Crumbs:
        bill: Shipment = self.row.shipment
        return [("Dock", address_at(DOCK)), (str(bill), self.get_after())]

    def act(self, form: WithdrawForm) -> Answer:
        acts.withdraw_crate(
            person=self.person, at=now(), crate=self.row, **form.cleaned_data
        )
        return self.done(f"{self.row} taken back.", page=self.get_after())
