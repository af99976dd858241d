"""The letters about a packaging hold: read, confirmed, then recorded as sent."""

from typing import Any, TypeVar

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from claims.actions.letters.packaging import (
    DrawnLetter,
    confirm_letter,
    digest_of,
    draft_letter_pdf,
    draw_letter,
    record_letter_sent,
    write_letter,
)
from claims.forms.crates.packaging import ConfirmLetterForm, LetterSentForm
from claims.queries.crates.packaging import KINDS, holds_joined, waiting_letter
from claims.rules.letters.content import LetterContent
from claims.views.crates.packaging import DatedHoldAct, HoldAct
from inventory.access import obtain, person_of
from inventory.actions.core.once import Answer
from inventory.evidence.seal.sent_documents import last_sent_bytes
from inventory.forms.core.base import HouseForm
from inventory.models import PackagingHold, SentDocument
from inventory.views.core.clock import now, today_at
from inventory.views.core.pdf_answers import answer_pdf

Form = TypeVar("Form", bound=HouseForm)


@require_safe
def carrier_letter_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """Return the letter to the carrier as confirmed; with ``?draft=1`` the next."""
    return _letter(request, pk, "carrier")


@require_safe
def supplier_letter_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """Return the letter to the supplier as confirmed; with ``?draft=1`` the next."""
    return _letter(request, pk, "supplier")


def _letter(request: HttpRequest, pk: int, who: str) -> HttpResponse:
    person = person_of(request)
    hold = obtain(holds_joined(), person, pk, "release-packaging")
    _check_addressee(hold, who)
    today = today_at(hold.crate.shipment.location)

    def give() -> bytes:
        kept = None if "draft" in request.GET else last_sent_bytes(hold, KINDS[who])
        return kept or draft_letter_pdf(hold, who, person=person, today=today)

    return answer_pdf(give, f"hold-{hold.pk}-{who}.pdf", disposition="attachment")


def _check_addressee(hold: PackagingHold, who: str) -> None:
    """Raise Http404 for a letter to the supplier about a crate with no clock."""
    if who == "supplier" and hold.crate.kind == "one-way":
        raise Http404


class _Letter(HoldAct[Form]):
    """An act on the letter to the carrier or to the supplier."""

    who: str

    def get_row(self) -> PackagingHold:
        hold = super().get_row()
        _check_addressee(hold, self.who)
        return hold

    def get_context_data(self, **more: object) -> dict[str, Any]:
        pdf = reverse(f"{self.who}_letter", args=[self.row.pk])
        return super().get_context_data(pdf=pdf, who=self.who, **more)


class _Ask(_Letter[ConfirmLetterForm]):
    """Show a letter about the hold, and freeze what the person confirms."""

    form_class = ConfirmLetterForm
    template_name = "claims/crates/packaging_letter.html"
    lead = (
        "Written from what is recorded. What you confirm is frozen, with your name. "
        "Send it yourself, then record the day."
    )
    drawn: DrawnLetter

    @cached_property
    def letter(self) -> LetterContent:
        """Return the letter as it would go out today."""
        return write_letter(self.row, self.who, person=self.person, today=self.today)

    def get_title(self) -> str:
        return f"Letter to the {self.who}"

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {"digest": digest_of(self.letter)}

    def get_context_data(self, **more: object) -> dict[str, Any]:
        return super().get_context_data(letter=self.letter, **more)

    def prepare(self, form: ConfirmLetterForm) -> None:
        self.drawn = draw_letter(
            hold=self.row,
            who=self.who,
            seen=form.cleaned_data["digest"],
            person=self.person,
            today=self.today,
        )

    def act(self, _form: ConfirmLetterForm) -> Answer:
        made = confirm_letter(drawn=self.drawn, person=self.person, at=now())
        page = reverse(f"{self.who}_asked", args=[self.row.pk])
        return self.done("Letter confirmed. Next: send it.", row=made, page=page)


class AskCarrier(_Ask):
    """Ask the carrier to inspect or to waive inspection."""

    who = "carrier"


class AskSupplier(_Ask):
    """Ask the supplier to stop its clock."""

    who = "supplier"


class _Asked(_Letter[LetterSentForm], DatedHoldAct[LetterSentForm]):
    """Record the day on which the confirmed letter was sent."""

    form_class = LetterSentForm
    template_name = "claims/crates/packaging_letter_sent.html"
    lead = "Download the letter and send it. The program sends nothing itself."

    @cached_property
    def waiting(self) -> SentDocument | None:
        """Return the letter that is confirmed and not recorded as sent."""
        return waiting_letter(self.row, self.who)

    def get_title(self) -> str:
        return f"Record the letter to the {self.who} as sent"

    def get_refusal(self) -> str:
        if self.waiting is not None:
            return ""
        return "No letter is confirmed and not sent yet. Read it and confirm it first."

    def get_context_data(self, **more: object) -> dict[str, Any]:
        again = reverse(f"ask_{self.who}", args=[self.row.pk])
        return super().get_context_data(waiting=self.waiting, again=again, **more)

    def act(self, form: LetterSentForm) -> Answer:
        record_letter_sent(
            person=self.person,
            at=now(),
            hold=self.row,
            who=self.who,
            **form.cleaned_data,
        )
        return self.done(f"Letter to the {self.who} recorded as sent.")


class CarrierAsked(_Asked):
    """Record the letter to the carrier as sent."""

    who = "carrier"


class SupplierAsked(_Asked):
    """Record the letter to the supplier as sent."""

    who = "supplier"
