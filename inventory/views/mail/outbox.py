"""The outbox: mail that waits, mail that went out, and what a person does with one."""

from typing import Any, TypeVar

from django.conf import settings
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.access import may, obtain, person_of, require_somewhere
from inventory.actions.core.once import Answer
from inventory.actions.mail import outbox as acts
from inventory.documents.core.mails import EML, read_mail
from inventory.evidence.seal.sent_documents import LostDocumentError, sent_bytes
from inventory.forms.core.base import HouseForm
from inventory.forms.mail.outbox import CallOffForm, CameBackForm
from inventory.models import OutgoingMail
from inventory.queries.mail.beats import pulse_of
from inventory.queries.mail.outbox import ended_mails, open_mails
from inventory.rules.mail.life import LIFE, MailFacts
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now
from inventory.views.core.paging import page_of
from inventory.views.core.row_view import ButtonAct

Form = TypeVar("Form", bound=HouseForm)


def _mails() -> QuerySet[OutgoingMail]:
    return OutgoingMail.objects.select_related("location", "document", "made_by")


def _folder() -> str:
    """Return where mail lands instead of going out, or nothing."""
    return "" if settings.EMAIL_HOST else str(settings.MAIL_FOLDER)


@require_safe
def outbox(request: HttpRequest) -> HttpResponse:
    """List what waits and what could not be delivered, then what went out."""
    person = person_of(request)
    require_somewhere(person, "see-mail")
    context = {
        "open": page_of(request, open_mails(person), name="open"),
        "page": page_of(request, ended_mails(person)),
        "pulse": pulse_of("mail", now()),
        "folder": _folder(),
    }
    return render(request, "inventory/mail/outbox.html", context)


@require_safe
def mail(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one mail: its words, its files, and how its tries went."""
    person = person_of(request)
    row = obtain(_mails(), person, pk, "see-mail")
    try:
        words, lost = read_mail(sent_bytes(row.document)), ""
    except LostDocumentError as error:
        words, lost = None, str(error)
    keeps = may(person, row.location_id, "keep-mail")
    at = now()
    facts = MailFacts(is_going_out=bool(row.leased_until and row.leased_until > at))
    context = {
        "mail": row,
        "words": words,
        "lost": lost,
        "lead": LIFE.lead(row.state, facts),
        "acts": LIFE.acts_from(row.state, facts) if keeps else (),
        "pulse": pulse_of("mail", at),
        "folder": _folder(),
        "crumbs": [("Outbox", reverse("outbox")), (row.subject, "")],
    }
    return render(request, "inventory/mail/mail.html", context)


@require_safe
def mail_file(request: HttpRequest, pk: int) -> HttpResponse:
    """Give the mail's own bytes, as they are sent."""
    row = obtain(_mails(), person_of(request), pk, "see-mail")
    try:
        data = sent_bytes(row.document)
    except LostDocumentError as error:
        return HttpResponse(str(error), status=410, content_type="text/plain")
    answer = HttpResponse(data, content_type=EML)
    answer["Content-Disposition"] = f'attachment; filename="mail-{row.pk}.eml"'
    answer["Cache-Control"] = "private, no-store"
    return answer


class _MailAct(ActView[OutgoingMail, Form]):
    """An act on one mail, with its reason."""

    permission = "keep-mail"
    back_words = "Back to the mail"

    def get_queryset(self) -> QuerySet[OutgoingMail]:
        return _mails()

    def get_back(self) -> str:
        return reverse("mail", args=[self.row.pk])

    def get_crumbs(self) -> Crumbs:
        return [("Outbox", reverse("outbox")), (self.row.subject, self.get_back())]

    def known(self, form: Form) -> dict[str, Any]:
        """Return what every act on a mail is given."""
        reason = form.cleaned_data["reason"]
        return {"mail": self.row, "reason": reason, "person": self.person, "at": now()}


class CallOffMail(_MailAct[CallOffForm]):
    """Take a mail out of the outbox."""

    form_class = CallOffForm
    title = "Do not send this mail"
    lead = "It stays readable here. What it is about is not told by this mail then."

    def act(self, form: CallOffForm) -> Answer:
        acts.call_off(**self.known(form))
        return self.done("The mail is not sent from here.")


class MailCameBack(_MailAct[CameBackForm]):
    """Record that a mail which the server took came back."""

    form_class = CameBackForm
    title = "The mail came back"
    lead = "It is then shown in red at the desks until it went out another way."

    def act(self, form: CameBackForm) -> Answer:
        acts.mark_returned(**self.known(form))
        return self.done("Recorded: the mail came back. Send it another way.")


class SendMailAgain(ButtonAct[OutgoingMail]):
    """Put a mail that could not be delivered back into the queue."""

    permission = "keep-mail"

    def get_queryset(self) -> QuerySet[OutgoingMail]:
        return _mails()

    def get_back(self) -> str:
        return reverse("mail", args=[self.row.pk])

    def act(self) -> Answer:
        acts.send_again(mail=self.row, person=self.person, at=now())
        return self.done("The mail waits to be sent again.")
