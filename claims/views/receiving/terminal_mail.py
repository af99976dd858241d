"""The page of the mail to the carrier's terminal, and the mail as a file."""

from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from claims.actions.receiving.terminal_mail import (
    Draft,
    draft_mail,
    mark_mailed,
)
from claims.forms.receiving.signing import MailForm
from claims.rules.letters.terminal_mail import WITHIN
from claims.views.receiving.tailgate import trail
from inventory.access import obtain, person_of
from inventory.actions.core.once import Answer
from inventory.documents.core.mails import EML
from inventory.models import Delivery
from inventory.queries.core.history import last_event
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now

LEAD = "Send it within the hour, while the driver and the terminal remember the stop."


def _trucks() -> QuerySet[Delivery]:
    return Delivery.objects.select_related("location", "carrier")


class TerminalMail(ActView[Delivery, MailForm]):
    """Mail the carrier's terminal about receipts not signed with our exceptions."""

    permission = "sign-receipt"
    form_class = MailForm
    template_name = "claims/receiving/terminal_mail.html"
    title = "Mail the carrier's terminal"
    back_words = "Back to the truck"

    def get_queryset(self) -> QuerySet[Delivery]:
        return _trucks()

    def get_lead(self) -> str:
        return LEAD if self.draft.bills else ""

    def get_back(self) -> str:
        page = "delivery" if self.row.is_signed else "tailgate"
        return reverse(page, args=[self.row.pk])

    def get_crumbs(self) -> Crumbs:
        return trail(self.row)

    @cached_property
    def draft(self) -> Draft:
        """Return the mail as it would go out now."""
        return draft_mail(self.row, person=self.person)

    def get_refusal(self) -> str:
        if self.draft.bills:
            return ""
        return "No receipt of this truck is left to mail."

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {"to": self.draft.mail.to}

    def get_context_data(self, **more: object) -> dict[str, Any]:
        ended = [row.signed_at for row in self.draft.bills if row.signed_at]
        return super().get_context_data(
            mailed=last_event(self.row, "receipt.mailed"),
            mail=self.draft.mail,
            photos=self.draft.photos,
            by=min(ended) + WITHIN if ended else None,
            **more,
        )

    def act(self, form: MailForm) -> Answer:
        to, sends = form.cleaned_data["to"], not form.is_sent_elsewhere
        mark_mailed(person=self.person, at=now(), delivery=self.row, to=to, sends=sends)
        said = f"The mail goes to {to} now." if sends else f"Recorded: mailed to {to}."
        return self.done(said)


@require_safe
def terminal_mail_file(request: HttpRequest, pk: int) -> HttpResponse:
    """Give the mail as a file that a mail program opens, its photos attached.

    Where nothing is left to mail its page says so.
    """
    person = person_of(request)
    row = obtain(_trucks(), person, pk, "sign-receipt")
    draft = draft_mail(row, person=person)
    if not draft.bills:
        return redirect("terminal_mail", row.pk)
    answer = HttpResponse(draft.file(now()), content_type=EML)
    name = f"exceptions-truck-{row.pk}.eml"
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    answer["Cache-Control"] = "private, no-store"
    return answer
