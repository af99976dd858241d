"""Signing the receipt, and what is laid beside it afterwards."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from claims.actions.receiving import receipts
from claims.actions.receiving.papers import fill_papers
from claims.forms.receiving.tailgate import (
    DispositionForm,
    ImageForm,
    NoteForm,
    SignForm,
)
from claims.queries.desk.stories import evidence_of
from claims.queries.receiving.filings import filings_at_signature
from claims.queries.receiving.receipts import bills_at_tailgate
from claims.views.receiving.tailgate import trail
from inventory.access import obtain, person_of
from inventory.forms.receiving.papers import ShipmentForm
from inventory.models import Crate, Delivery, Handover, Shipment
from inventory.views.core.clock import now, today_at
from inventory.views.core.one_act import ActPage, answer_act, posted
from inventory.views.core.photos import keep_photos


@require_http_methods(["GET", "POST"])
def sign_receipt(request: HttpRequest, pk: int) -> HttpResponse:
    """Sign the receipt, which closes the tailgate record."""
    person = person_of(request)
    rows = Delivery.objects.select_related("location", "carrier")
    row = obtain(rows, person, pk, "sign-receipt")
    if row.is_signed and request.method == "GET":
        messages.info(request, "The receipt of this truck is signed already.")
        return redirect("delivery", row.pk)
    form = SignForm(
        posted(request),
        request.FILES or None,
        initial={
            "version": row.version,
            "how_signed": "signed",
            "driver_signed_name": row.driver_name,
            "words_stand_on": "both",
        },
    )

    def act() -> HttpResponse:
        cleaned = form.cleaned_data
        uploads = [cleaned["photo"]] if cleaned["photo"] else []
        keep_photos(form, uploads, person=person, kind="receipt", delivery=row)
        receipts.sign_receipt(
            person=person,
            at=now(),
            delivery=row,
            version=cleaned["version"],
            signature=receipts.Signature(
                how_signed=cleaned["how_signed"],
                driver_signed_name=cleaned["driver_signed_name"],
                words_stand_on=cleaned["words_stand_on"],
                no_photo_reason="" if uploads else cleaned["no_photo_reason"],
            ),
        )
        messages.success(
            request, "The receipt is signed and the tailgate record is closed."
        )
        return redirect("delivery", row.pk)

    bills = bills_at_tailgate(row)
    today = today_at(row.location)
    page = ActPage(
        title="Sign the receipt",
        back=reverse("tailgate", args=[row.pk]),
        back_words="Back to the tailgate",
        row=row,
        template="claims/receiving/sign_receipt.html",
        crumbs=trail(row, "Sign the receipt"),
        more={
            "bills": bills,
            "unseen": sum(bill.unseen for bill in bills),
            "uncounted": [
                bill for bill in bills if bill.handover.pieces_counted is None
            ],
            "filings": [
                filings_at_signature(bill, delivery_id=row.pk, today=today)
                for bill in bills
            ],
        },
    )
    return answer_act(request, form, page, act)


@require_http_methods(["GET", "POST"])
def note_receipt(request: HttpRequest, pk: int) -> HttpResponse:
    """Lay a note beside a signed receipt."""
    person = person_of(request)
    rows = Delivery.objects.select_related("location", "carrier")
    row = obtain(rows, person, pk, "note-receipt")
    form = NoteForm(posted(request))

    def act() -> HttpResponse:
        receipts.note_receipt(
            person=person, at=now(), delivery=row, text=form.cleaned_data["text"]
        )
        messages.success(request, "The note lies beside the receipt.")
        return redirect("delivery", row.pk)

    page = ActPage(
        title="A note beside the receipt",
        lead="What was signed stays as it is. Your note stands beside it, with your "
        "name and the time.",
        back=reverse("delivery", args=[row.pk]),
        back_words="Back to the truck",
        crumbs=trail(row, "A note beside the receipt"),
    )
    return answer_act(request, form, page, act)


@require_http_methods(["GET", "POST"])
def compare_image(request: HttpRequest, pk: int) -> HttpResponse:
    """Lay the carrier's own image beside ours and the words."""
    person = person_of(request)
    rows = Handover.objects.select_related(
        "shipment__location", "delivery__carrier", "delivery__location"
    )
    row = obtain(rows, person, pk, "note-receipt")
    delivery, shipment = row.delivery, row.shipment
    seen = "" if row.carrier_image == "awaited" else row.carrier_image
    form = ImageForm(
        posted(request),
        request.FILES or None,
        initial={"version": row.version, "result": seen},
    )

    def act() -> HttpResponse:
        cleaned = form.cleaned_data
        uploads = [cleaned["photo"]] if cleaned["photo"] else []
        kept = keep_photos(
            form,
            uploads,
            person=person,
            kind="carrier-image",
            delivery=delivery,
            shipment=shipment,
        )
        receipts.compare_image(
            person=person,
            at=now(),
            handover=row,
            version=cleaned["version"],
            result=cleaned["result"],
            image=kept[0] if kept else None,
        )
        if cleaned["result"] == "matches":
            messages.success(request, "Kept: our words are on the carrier's image.")
        else:
            messages.warning(
                request, "Our words are missing. The manager writes the protest now."
            )
        return redirect("delivery", delivery.pk)

    page = ActPage(
        title="The carrier's image of the receipt",
        kicker=str(shipment),
        back=reverse("delivery", args=[delivery.pk]),
        back_words="Back to the truck",
        row=row,
        template="claims/receiving/compare_image.html",
        crumbs=trail(delivery, "The carrier's image"),
        more={
            "handover": row,
            "ours": evidence_of(delivery=delivery, kind="receipt"),
            "theirs": evidence_of(shipment=shipment, kind="carrier-image"),
        },
    )
    return answer_act(request, form, page, act)


@require_http_methods(["GET", "POST"])
def record_disposition(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what becomes of a refused crate."""
    person = person_of(request)
    rows = Crate.objects.select_related("shipment__location", "delivery")
    row = obtain(rows, person, pk, "note-receipt")
    form = DispositionForm(
        posted(request),
        initial={"version": row.version, "disposition": row.disposition},
    )

    def act() -> HttpResponse:
        receipts.record_disposition(
            person=person, at=now(), crate=row, **form.cleaned_data
        )
        messages.success(request, f"Crate {row.number} is followed up.")
        return redirect("shipment", row.shipment_id)

    back = reverse("shipment", args=[row.shipment_id])
    page = ActPage(
        title=f"Refused crate {row.number}",
        lead="Ask the carrier and the supplier in writing, then say here what they "
        "decided.",
        back=back,
        back_words=f"Back to {row.shipment}",
        row=row,
        crumbs=[("Dock", reverse("dock")), (str(row.shipment), back), (str(row), "")],
    )
    return answer_act(request, form, page, act)


@require_http_methods(["GET", "POST"])
def edit_shipment(request: HttpRequest, pk: int) -> HttpResponse:
    """Fill in the papers of a freight bill; counts and clocks follow."""
    person = person_of(request)
    rows = Shipment.objects.select_related("location", "carrier", "supplier")
    row = obtain(rows, person, pk, "complete-papers")
    today = today_at(row.location)
    form = ShipmentForm(posted(request), shipment=row, today=today)

    def act() -> HttpResponse:
        fill_papers(
            person=person,
            at=now(),
            shipment=row,
            version=form.cleaned_data["version"],
            **form.papers(),
        )
        messages.success(request, "The papers are saved.")
        return redirect("shipment", row.pk)

    back = reverse("shipment", args=[row.pk])
    page = ActPage(
        title=f"Papers of {row}",
        kicker=row.carrier.name,
        lead="Leave empty what you do not have. The dock shows what is still missing.",
        back=back,
        back_words=f"Back to {row}",
        row=row,
        crumbs=[("Dock", reverse("dock")), (str(row), back), ("Papers", "")],
    )
    return answer_act(request, form, page, act)
