"""Notices: written from the record, sent, and proof of delivery."""

from typing import Any, TypeVar

from django.contrib import messages
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from claims.actions.letters import notices as actions
from claims.actions.letters.notices import NoticeStep
from claims.forms.claim.steps import NoticeForm, ReceiptForm, SendForm
from claims.models import Notice
from claims.queries.core.parties import (
    PARTIES_JOINED,
    PARTIES_OF_CLAIM,
    BillParty,
    parties_of,
)
from claims.queries.letters.notices import (
    copy_of,
    letter_of,
    notice_facts,
)
from claims.rules.core.sending import lacks_tracking
from claims.rules.core.vocabulary import NOTICE_KINDS
from claims.rules.letters.content import LetterContent
from claims.rules.letters.notice_words import compose, missing_for
from claims.rules.letters.notices import NoticeFacts
from claims.views.core.claim_act import DatedAct, ProofAct
from inventory.access import may, obtain, person_of
from inventory.actions.core.once import Answer
from inventory.actions.core.versions import RefusedError
from inventory.evidence.seal.sent_documents import last_sent_bytes
from inventory.forms.core.base import HouseForm
from inventory.models import Delivery, Location, Shipment
from inventory.queries.mail.outbox import has_come_back, mails_about
from inventory.rules.core.sent_documents import NOTICE
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at
from inventory.views.core.pdf_answers import answer_pdf
from inventory.views.core.row_view import ButtonAct

Form = TypeVar("Form", bound=HouseForm)


def _notices() -> QuerySet[Notice]:
    return Notice.objects.select_related(
        "shipment__location",
        "shipment__carrier",
        "shipment__supplier",
        "delivery",
        "written_by",
        "proof",
        *PARTIES_OF_CLAIM,
    )


def _delivery(request: HttpRequest, shipment: Shipment) -> Delivery | None:
    """Return the truck of the address; 404 unless this freight bill was on it."""
    key = request.GET.get("delivery", "")
    if not key:
        return None
    if not (key.isascii() and key.isdigit() and len(key) < 12):
        raise Http404
    return get_object_or_404(Delivery.bringing(shipment), pk=int(key))


class WriteNotice(ActView[Shipment, NoticeForm]):
    """Write a notice from what is recorded; the manager may change the text."""

    permission = "make-claim"
    form_class = NoticeForm
    template_name = "claims/letters/write_notice.html"
    title = "Write the notice"
    back_words = "Back to the freight bill without saving"
    lead = (
        "This text comes from what is recorded. Read it, correct it, save it, then send "
        "it. The first line is the subject."
    )

    def get_queryset(self) -> QuerySet[Shipment]:
        return Shipment.objects.select_related("location", "supplier", *PARTIES_JOINED)

    def get_row(self) -> Shipment:
        row = super().get_row()
        self.kind = self.kwargs["kind"]
        if self.kind not in NOTICE_KINDS:
            raise Http404
        self.delivery = _delivery(self.request, row)
        return row

    @cached_property
    def parties(self) -> dict[str, BillParty]:
        """Return the companies of the bill by their keys, where there is a choice."""
        rows = parties_of(self.row) if self.kind != "supplier" else []
        return {str(one.carrier.pk): one for one in rows} if len(rows) > 1 else {}

    def get_form_kwargs(self) -> dict[str, Any]:
        words = {key: one.words for key, one in self.parties.items()}
        return super().get_form_kwargs() | {"parties": words}

    @cached_property
    def facts(self) -> NoticeFacts:
        """Return what the text of the notice is made from."""
        return notice_facts(
            kind=self.kind,
            shipment=self.row,
            delivery=self.delivery,
            person=self.person,
            today=today_at(self.row.location),
        )

    def get_kicker(self) -> str:
        return f"{NOTICE_KINDS[self.kind]}, PRO {self.row.pro_number}"

    def get_back(self) -> str:
        return reverse("shipment", args=[self.row.pk])

    def get_crumbs(self) -> Crumbs:
        return [(str(self.row), self.get_back())]

    def get_initial(self) -> dict[str, Any]:
        text = compose(self.kind, self.facts).text
        return super().get_initial() | {
            "addressee": self.facts.addressee,
            "text": text,
        }

    def get_context_data(self, **more: object) -> dict[str, Any]:
        missing = missing_for(self.kind, self.facts)
        return super().get_context_data(missing=missing, shipment=self.row, **more)

    def act(self, form: NoticeForm) -> Answer:
        party = self.parties.get(str(form.company))
        typed = form.cleaned_data["addressee"]
        is_usual = typed == self.facts.addressee
        to = party.carrier if party else None
        notice = actions.write_notice(
            shipment=self.row,
            delivery=self.delivery,
            kind=self.kind,
            addressee=f"{to.printed_name}, Cargo Claims" if to and is_usual else typed,
            to=to,
            text=form.cleaned_data["text"],
            person=self.person,
            at=now(),
        )
        page = reverse("notice", args=[notice.pk])
        return self.done("Notice saved. Next: send it.", row=notice, page=page)

    def follow_up(self, form: NoticeForm, answer: Answer) -> None:
        """Keep the letter as it is now: the one that is signed and sent."""
        super().follow_up(form, answer)
        row = _notices().filter(pk=answer.key).first()
        if row is None:
            return
        try:
            actions.keep_letter(notice=row, person=self.person, at=now())
        except RefusedError as error:
            messages.error(self.request, f"The notice is saved. Its letter: {error}")


@require_safe
def notice(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a notice: its text, its letter, how it was sent, proof of delivery."""
    person = person_of(request)
    row = obtain(_notices(), person, pk, "see-claims")
    mails = mails_about(row)
    context = {
        "notice": row,
        "acts": row.life.acts_from(row.state),
        "mails": mails,
        "came_back": row.received_on is None and has_come_back(mails),
        "lacks_tracking": lacks_tracking(row.sent_how, row.tracking),
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
    from claims.documents.letters import letter_pdf  # noqa: PLC0415 - slow to import

    row = obtain(_notices(), person_of(request), pk, "see-claims")
    return answer_pdf(
        lambda: last_sent_bytes(row, NOTICE) or letter_pdf(_unkept(row)),
        f"notice-{row.pk}.pdf",
        disposition="attachment",
    )


def _unkept(row: Notice) -> LetterContent:
    """Return the letter of a notice from before letters were kept."""
    return copy_of(row) if row.sent_on else letter_of(row)


class RenewLetter(ButtonAct[Notice]):
    """Make the letter of a notice again, before it is sent: an address was wrong."""

    permission = "make-claim"

    def get_queryset(self) -> QuerySet[Notice]:
        return _notices()

    def get_back(self) -> str:
        return reverse("notice", args=[self.row.pk])

    def act(self) -> Answer:
        actions.keep_letter(notice=self.row, person=self.person, at=now(), is_new=False)
        return self.done("The letter is made again. Send this one.")


class NoticeAct(DatedAct[Notice, Form]):
    """An act on the notice of the address, on a day."""

    permission = "make-claim"
    template_name = "claims/core/act.html"
    back_words = "Back to the notice without saving"

    def get_queryset(self) -> QuerySet[Notice]:
        return _notices()

    def get_location(self) -> Location:
        return self.row.shipment.location

    def get_back(self) -> str:
        return reverse("notice", args=[self.row.pk])

    def get_kicker(self) -> str:
        return self.row.get_kind_display()

    def get_crumbs(self) -> Crumbs:
        return [(self.get_kicker(), self.get_back())]

    def get_context_data(self, **more: object) -> dict[str, Any]:
        facts = (("To", self.row.addressee), ("PRO", self.row.shipment.pro_number))
        return super().get_context_data(facts=facts, **more)

    def step(self, form: HouseForm) -> NoticeStep:
        """Return who acts and when, with what the form says."""
        return NoticeStep(
            person=self.person,
            at=now(),
            today=self.today,
            version=form.cleaned_data["version"],
            on=form.cleaned_data["on"],
        )


class SendNotice(NoticeAct[SendForm]):
    """Record that the notice was sent."""

    form_class = SendForm
    title = "Send the notice"
    lead = (
        "Record here what you sent yourself: by certified mail, on the carrier's portal, "
        "by hand. A phone call counts only once it is confirmed in writing."
    )

    def act(self, form: SendForm) -> Answer:
        actions.send_notice(
            notice=self.row,
            how=form.cleaned_data["how"],
            step=self.step(form),
            tracking=form.cleaned_data["tracking"],
        )
        return self.done(
            "Notice sent. The deadline runs until you record proof of delivery."
        )


class ReceiveNotice(NoticeAct[ReceiptForm], ProofAct[Notice, ReceiptForm]):
    """Record the day on which the notice was received, and the proof."""

    form_class = ReceiptForm
    title = "Record proof of delivery"
    lead = "A deadline is met when the notice is received, not when it is sent."

    def get_shipment(self) -> Shipment:
        return self.row.shipment

    def act(self, form: ReceiptForm) -> Answer:
        actions.receive_notice(
            notice=self.row,
            words=form.cleaned_data["words"],
            proof=self.proof(form),
            step=self.step(form),
        )
        return self.done("Proof of delivery recorded. The deadline is met.")
