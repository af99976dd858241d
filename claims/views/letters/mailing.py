"""Mailing a notice or a letter from here: a person's click sends it."""

from typing import Any, TypeVar

from django.db.models import Model

from claims.actions.letters import claim_letters as letter_actions
from claims.actions.letters import notices as notice_actions
from claims.actions.letters.claim_letters import LetterStep
from claims.actions.letters.notices import NoticeStep
from claims.models import ClaimLetter, Notice
from claims.queries.letters.notices import mail_address_of
from claims.rules.letters import content as frozen
from claims.rules.letters.claim_letter_kinds import KINDS
from claims.views.core.claim_act import DatedAct
from claims.views.letters.claim_letters import LetterAct, mailed_to
from claims.views.letters.notices import NoticeAct
from inventory.actions.core.once import Answer
from inventory.forms.mail.outbox import MailItForm
from inventory.views.core.clock import now

Row = TypeVar("Row", bound=Model)


class _MailedNow(DatedAct[Row, MailItForm]):
    """An act that happens at the click: its form asks for an address and for no day."""

    form_class = MailItForm

    def get_form_kwargs(self) -> dict[str, Any]:
        options = super().get_form_kwargs()
        options.pop("today")
        return options


class MailNotice(_MailedNow[Notice], NoticeAct[MailItForm]):
    """Mail the notice from here: confirmed by a person, then it goes out by itself."""

    template_name = "claims/letters/mail_notice.html"
    title = "Email the notice from here"
    lead = (
        "Your click sends it. It is not proof that anybody received it: ask for the "
        "confirmation that the letter asks for."
    )

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {"to": mail_address_of(self.row)}

    def get_context_data(self, **more: object) -> dict[str, Any]:
        subject, _, body = self.row.text.partition("\n\n")
        return super().get_context_data(
            notice=self.row, subject=subject, body=body, **more
        )

    def act(self, form: MailItForm) -> Answer:
        step = NoticeStep(
            person=self.person,
            at=now(),
            today=self.today,
            version=form.cleaned_data["version"],
            on=self.today,
        )
        to = form.cleaned_data["to"]
        notice_actions.send_notice(notice=self.row, how="email", step=step, mail_to=to)
        return self.done(
            f"The notice goes to {to} now. The deadline runs until you record proof of "
            "delivery."
        )


class MailLetter(_MailedNow[ClaimLetter], LetterAct[MailItForm]):
    """Mail the letter from here: confirmed by a person, then it goes out by itself."""

    template_name = "claims/letters/mail_claim_letter.html"
    title = "Email the letter from here"
    lead = (
        "Your click sends it. It is not proof that anybody received it: the answer that "
        "the letter asks for is."
    )

    def get_initial(self) -> dict[str, Any]:
        content = frozen.from_json(self.row.content)
        return super().get_initial() | {"to": mailed_to(self.row, content)}

    def get_context_data(self, **more: object) -> dict[str, Any]:
        kind = KINDS.get(self.row.kind)
        return super().get_context_data(
            letter=self.row,
            encloses_claim=bool(kind and kind.encloses_claim),
            **more,
        )

    def act(self, form: MailItForm) -> Answer:
        step = LetterStep(
            self.person, now(), self.today, form.cleaned_data["version"], self.today
        )
        to = form.cleaned_data["to"]
        letter_actions.send_letter(letter=self.row, how="email", step=step, mail_to=to)
        page = self.next_page("drafted")
        if page:
            return self.done(
                f"The letter goes to {to} now, with the claim file. Next: record the "
                "claim as sent.",
                page=page,
            )
        return self.done(f"The letter goes to {to} now. Next: proof of delivery.")
