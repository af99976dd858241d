"""Notices: written from the record, sent, and proven received."""

from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from claims.access import may, obtain, person_of
from claims.actions.letters import notices as actions
from claims.actions.letters.notices import NoticeStep
from claims.documents.letters import letter_pdf
from claims.forms.claim.steps import NoticeForm, ReceiptForm, SendForm
from claims.models import Notice
from claims.queries.letters.notices import letter_of, notice_facts
from claims.rules.core.vocabulary import NOTICE_KINDS
from claims.rules.letters.notices import compose, missing_for
from claims.views.claim.steps import keep_proof
from claims.views.core.act_page import ActPage, answer_act, posted
from inventory.evidence.seal.sent_documents import last_sent_bytes
from inventory.models import Delivery, Shipment
from inventory.rules.core.sent_documents import NOTICE
from inventory.views.core import one_act
from inventory.views.core.clock import now, today_at
from inventory.views.core.pdf_answers import answer_pdf


def _notices() -> QuerySet[Notice]:
    return Notice.objects.select_related(
        "shipment__location",
        "shipment__carrier",
        "shipment__supplier",
        "delivery",
        "written_by",
        "proof",
    )


def _delivery(request: HttpRequest, shipment: Shipment) -> Delivery | None:
    """Return the truck named in the address, if it brought this freight bill."""
    key = request.GET.get("delivery", "")
    if not key:
        return None
    if not (key.isascii() and key.isdigit() and len(key) < 12):
        raise Http404
    return get_object_or_404(shipment.deliveries, pk=int(key))


@require_http_methods(["GET", "POST"])
def write_notice(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """Compose a notice from what is recorded; the manager may change the words."""
    person = person_of(request)
    rows = Shipment.objects.select_related("location", "carrier", "supplier")
    shipment = obtain(rows, person, pk, "make-claim")
    if kind not in NOTICE_KINDS:
        raise Http404
    delivery = _delivery(request, shipment)
    facts = notice_facts(
        kind=kind,
        shipment=shipment,
        delivery=delivery,
        person=person,
        today=today_at(shipment.location),
    )
    letter = compose(kind, facts)
    form = NoticeForm(
        posted(request),
        initial={"addressee": facts.addressee, "text": letter.text},
    )

    def act() -> HttpResponse:
        notice = actions.write_notice(
            shipment=shipment,
            delivery=delivery,
            kind=kind,
            addressee=form.cleaned_data["addressee"],
            text=form.cleaned_data["text"],
            person=person,
            at=now(),
        )
        return redirect("notice", notice.pk)

    page = ActPage(
        title=NOTICE_KINDS[kind],
        back=reverse("shipment", args=[shipment.pk]),
        back_words="Back to the freight bill without keeping it",
        kicker=f"PRO {shipment.pro_number}",
        lead="Written from what is recorded. Read it, change what is not right, keep "
        "it, then send it. The first line is its subject.",
        template="claims/letters/write_notice.html",
        crumbs=[
            (str(shipment), reverse("shipment", args=[shipment.pk])),
            (NOTICE_KINDS[kind], ""),
        ],
        more={"missing": missing_for(kind, facts), "shipment": shipment},
    )
    return one_act.answer_act(request, form, page, act)


@require_safe
def notice(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a notice: its text, its letter, how it went and what proves it."""
    person = person_of(request)
    row = obtain(_notices(), person, pk, "see-claims")
    context = {
        "notice": row,
        "may_act": may(person, row.shipment.location_id, "make-claim"),
        "crumbs": [
            (str(row.shipment), reverse("shipment", args=[row.shipment_id])),
            (row.get_kind_display(), ""),
        ],
    }
    return render(request, "claims/letters/notice.html", context)


@require_safe
def notice_letter(request: HttpRequest, pk: int) -> HttpResponse:
    """Give the notice as a letter in PDF; as it went out, once it was sent."""
    row = obtain(_notices(), person_of(request), pk, "see-claims")
    return answer_pdf(
        lambda: last_sent_bytes(row, NOTICE) or letter_pdf(letter_of(row)),
        f"notice-{row.pk}.pdf",
        disposition="attachment",
    )


def _page(row: Notice, title: str, lead: str) -> ActPage:
    back = reverse("notice", args=[row.pk])
    return ActPage(
        title=title,
        back=back,
        back_words="Back to the notice without saving",
        kicker=row.get_kind_display(),
        lead=lead,
        row=row,
        template="claims/core/act.html",
        crumbs=[(row.get_kind_display(), back), (title, "")],
        more={"facts": (("To", row.addressee), ("PRO", row.shipment.pro_number))},
    )


@require_http_methods(["GET", "POST"])
def send_notice(request: HttpRequest, pk: int) -> HttpResponse:
    """Record that the notice went out."""
    person = person_of(request)
    row = obtain(_notices(), person, pk, "make-claim")
    today = today_at(row.shipment.location)
    form = SendForm(posted(request), today=today, initial={"version": row.version})

    def act() -> str:
        step = NoticeStep(
            person=person,
            at=now(),
            today=today,
            version=form.cleaned_data["version"],
            on=form.cleaned_data["on"],
        )
        actions.send_notice(notice=row, how=form.cleaned_data["how"], step=step)
        return "The sending is recorded. The clock runs until receipt is proven."

    lead = "By telephone counts only once it is confirmed in writing."
    return answer_act(request, form, _page(row, "Record the sending", lead), act)


@require_http_methods(["GET", "POST"])
def receive_notice(request: HttpRequest, pk: int) -> HttpResponse:
    """Record the day on which the notice was received, and what proves it."""
    person = person_of(request)
    row = obtain(_notices(), person, pk, "make-claim")
    today = today_at(row.shipment.location)
    form = ReceiptForm(
        posted(request),
        request.FILES or None,
        today=today,
        initial={"version": row.version},
    )

    def act() -> str:
        step = NoticeStep(
            person=person,
            at=now(),
            today=today,
            version=form.cleaned_data["version"],
            on=form.cleaned_data["on"],
        )
        actions.receive_notice(
            notice=row,
            words=form.cleaned_data["words"],
            proof=keep_proof(form, row.shipment, person),
            step=step,
        )
        return "Receipt is proven. The duty is met."

    page = _page(row, "Prove the receipt", "Received counts, not sent.")
    return answer_act(request, form, page, act)
