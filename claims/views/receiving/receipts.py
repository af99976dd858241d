"""What may be added to a delivery receipt afterwards, and a bill's paperwork."""

from typing import Any

from django.contrib import messages
from django.db.models import QuerySet
from django.urls import reverse

from claims.actions.receiving import receipts
from claims.actions.receiving.papers import fill_papers
from claims.forms.receiving.signing import DispositionForm, ImageForm, NoteForm
from claims.queries.desk.stories import evidence_of
from claims.views.receiving.tailgate import trail
from inventory.access import may
from inventory.actions.core.once import Answer
from inventory.actions.evidence.photo_facts import About
from inventory.forms.receiving.papers import ShipmentForm
from inventory.models import Crate, Delivery, Evidence, Handover, Shipment
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at


class NoteReceipt(ActView[Delivery, NoteForm]):
    """Add a note to a receipt that is closed."""

    permission = "note-receipt"
    form_class = NoteForm
    title = "Add a note to the receipt"
    lead = (
        "The receipt itself does not change. Your note is added to it, with your name "
        "and the time."
    )
    back_words = "Back to the truck"

    def get_queryset(self) -> QuerySet[Delivery]:
        return Delivery.objects.select_related("location", "carrier")

    def get_back(self) -> str:
        return reverse("delivery", args=[self.row.pk])

    def get_crumbs(self) -> Crumbs:
        return trail(self.row)

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
        is_manager = may(self.person, self.row.location_id, "make-claim")
        mine = {"shipment": self.row, "today": today, "names_parties": is_manager}
        return super().get_form_kwargs() | mine

    def act(self, form: ShipmentForm) -> Answer:
        fill_papers(
            person=self.person,
            at=now(),
            shipment=self.row,
            version=form.cleaned_data["version"],
            **form.papers(),
        )
        return self.done("Paperwork saved.")
