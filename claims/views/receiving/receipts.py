"""Signing the delivery receipt, and what may be added to it afterwards."""

from typing import Any, TypeVar

from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.functional import cached_property

from claims.actions.receiving import receipts, signing
from claims.actions.receiving.papers import fill_papers
from claims.forms.receiving.tailgate import (
    DispositionForm,
    ImageForm,
    NoteForm,
    SignForm,
)
from claims.queries.desk.stories import evidence_of
from claims.queries.receiving.filings import filings_at_signature
from claims.queries.receiving.receipts import BillAtTailgate, bills_at_tailgate
from claims.views.receiving.tailgate import trail
from inventory.actions.core.once import Answer
from inventory.actions.evidence.photo_facts import About
from inventory.forms.core.base import HouseForm
from inventory.forms.receiving.papers import ShipmentForm
from inventory.models import Crate, Delivery, Evidence, Handover, Shipment
from inventory.rules.core.vocabulary import HOW_SIGNED
from inventory.rules.reckoning.counts import pieces_in_words
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at

Form = TypeVar("Form", bound=HouseForm)


class _TruckReceipt(ActView[Delivery, Form]):
    """An act on the receipts of one truck."""

    def get_queryset(self) -> QuerySet[Delivery]:
        return Delivery.objects.select_related("location", "carrier")

    def get_crumbs(self) -> Crumbs:
        return trail(self.row)


class SignReceipt(_TruckReceipt[SignForm]):
    """Sign the receipts, which closes the delivery record."""

    permission = "sign-receipt"
    form_class = SignForm
    template_name = "claims/receiving/sign_receipt.html"
    back_words = "Back to the truck"
    photo_kind = "receipt"

    def get(
        self, request: HttpRequest, *args: object, **kwargs: object
    ) -> HttpResponse:
        """Show the form, or the truck where its receipts are closed."""
        if self.row.is_signed:
            messages.info(request, "The receipts of this truck are closed already.")
            return redirect("delivery", self.row.pk)
        return super().get(request, *args, **kwargs)

    @cached_property
    def bills(self) -> list[BillAtTailgate]:
        """Return the freight bills of the truck."""
        return bills_at_tailgate(self.row)

    def get_title(self) -> str:
        count = len(self.bills)
        return f"Sign {count} receipts" if count > 1 else "Sign the receipt"

    def get_back(self) -> str:
        return reverse("tailgate", args=[self.row.pk])

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {
            "how_signed": "signed",
            "driver_signed_name": self.row.driver_name,
            "words_stand_on": "both",
        }

    def get_photo_about(self) -> About:
        return About(delivery=self.row)

    def get_context_data(self, **more: object) -> dict[str, Any]:
        bills = self.bills
        today = today_at(self.row.location)
        return super().get_context_data(
            bills=bills,
            unseen=sum(bill.unseen for bill in bills),
            uncounted=[one for one in bills if one.handover.pieces_counted is None],
            filings=[
                filings_at_signature(bill, delivery_id=self.row.pk, today=today)
                for bill in bills
            ],
            **more,
        )

    def act(self, form: SignForm) -> Answer:
        data = form.cleaned_data
        signing.sign_receipt(
            person=self.person,
            at=now(),
            delivery=self.row,
            version=data["version"],
            signature=signing.Signature(
                how_signed=data["how_signed"],
                driver_signed_name=data["driver_signed_name"],
                words_stand_on=data["words_stand_on"],
                no_photo_reason="" if data["photo"] else data["no_photo_reason"],
            ),
        )
        return self.done(
            _closed(data["how_signed"], len(self.bills)),
            page=reverse("delivery", args=[self.row.pk]),
        )


def _closed(how_signed: str, count: int) -> str:
    if how_signed == "signed":
        return f"Signed {pieces_in_words(count, 'receipt')}."
    how = HOW_SIGNED[how_signed]
    return f"Recorded without a signature: {pieces_in_words(count, 'receipt')}. {how}."


class NoteReceipt(_TruckReceipt[NoteForm]):
    """Add a note to a receipt that is closed."""

    permission = "note-receipt"
    form_class = NoteForm
    title = "Add a note to the receipt"
    lead = (
        "The receipt itself does not change. Your note is added to it, with your name "
        "and the time."
    )
    back_words = "Back to the truck"

    def get_back(self) -> str:
        return reverse("delivery", args=[self.row.pk])

    def act(self, form: NoteForm) -> Answer:
        note = receipts.note_receipt(
            person=self.person,
            at=now(),
            delivery=self.row,
            text=form.cleaned_data["text"],
        )
        return self.done("Note added to the receipt.", row=note)


class CompareImage(ActView[Handover, ImageForm]):
    """Compare our exceptions with the carrier's POD."""

    permission = "note-receipt"
    form_class = ImageForm
    template_name = "claims/receiving/compare_image.html"
    title = "Compare with the carrier's POD"
    back_words = "Back to the truck"
    photo_kind = "carrier-image"

    def get_queryset(self) -> QuerySet[Handover]:
        return Handover.objects.select_related(
            "shipment__location", "delivery__carrier", "delivery__location"
        )

    def get_kicker(self) -> str:
        return str(self.row.shipment)

    def get_back(self) -> str:
        return reverse("delivery", args=[self.row.delivery_id])

    def get_crumbs(self) -> Crumbs:
        return trail(self.row.delivery)

    def get_initial(self) -> dict[str, Any]:
        seen = self.row.carrier_image
        result = "" if seen == "awaited" else seen
        return super().get_initial() | {"result": result}

    def get_photo_about(self) -> About:
        return About(delivery=self.row.delivery, shipment=self.row.shipment)

    def get_context_data(self, **more: object) -> dict[str, Any]:
        row = self.row
        return super().get_context_data(
            handover=row,
            ours=evidence_of(delivery=row.delivery, kind="receipt"),
            theirs=evidence_of(shipment=row.shipment, kind="carrier-image"),
            **more,
        )

    def act(self, form: ImageForm) -> Answer:
        data = form.cleaned_data
        photos: list[Evidence] = data["photo"]
        receipts.compare_image(
            person=self.person,
            at=now(),
            handover=self.row,
            version=data["version"],
            result=data["result"],
            image=photos[-1] if photos else None,
        )
        if data["result"] == "matches":
            return self.done("Our exceptions are on the carrier's POD.")
        messages.warning(
            self.request,
            "Our exceptions are missing from the carrier's POD. The manager writes "
            "the protest now.",
        )
        return self.done("")


class RecordDisposition(ActView[Crate, DispositionForm]):
    """Record where a refused crate went."""

    permission = "note-receipt"
    form_class = DispositionForm
    lead = "Ask the carrier and the supplier in writing, then record what they decided."

    def get_queryset(self) -> QuerySet[Crate]:
        return Crate.objects.select_related("shipment__location", "delivery")

    def get_title(self) -> str:
        return f"Refused crate {self.row.number}"

    def get_back(self) -> str:
        return reverse("shipment", args=[self.row.shipment_id])

    def get_back_words(self) -> str:
        return f"Back to {self.row.shipment}"

    def get_crumbs(self) -> Crumbs:
        return [("Dock", reverse("dock")), (str(self.row.shipment), self.get_back())]

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {"disposition": self.row.disposition}

    def act(self, form: DispositionForm) -> Answer:
        receipts.record_disposition(
            person=self.person, at=now(), crate=self.row, **form.cleaned_data
        )
        self.row.disposition = form.cleaned_data["disposition"]
        words = self.row.get_disposition_display().lower()
        return self.done(f"Refused crate {self.row.number}: {words}.")


class EditShipment(ActView[Shipment, ShipmentForm]):
    """Complete the paperwork of a freight bill; counts and deadlines follow."""

    permission = "complete-papers"
    form_class = ShipmentForm
    title = "Complete the paperwork"
    lead = "Leave empty what you do not have. The dock lists what is missing."

    def get_queryset(self) -> QuerySet[Shipment]:
        return Shipment.objects.select_related("location", "carrier", "supplier")

    def get_kicker(self) -> str:
        return f"{self.row} · {self.row.carrier.name}"

    def get_back(self) -> str:
        return reverse("shipment", args=[self.row.pk])

    def get_back_words(self) -> str:
        return f"Back to {self.row}"

    def get_crumbs(self) -> Crumbs:
        return [("Dock", reverse("dock")), (str(self.row), self.get_back())]

    def get_form_kwargs(self) -> dict[str, Any]:
        today = today_at(self.row.location)
        return super().get_form_kwargs() | {"shipment": self.row, "today": today}

    def act(self, form: ShipmentForm) -> Answer:
        fill_papers(
            person=self.person,
            at=now(),
            shipment=self.row,
            version=form.cleaned_data["version"],
            **form.papers(),
        )
        return self.done("Paperwork saved.")
