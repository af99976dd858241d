"""Writing a letter about a claim: its choices, the preview, and the confirmation."""

from functools import cached_property
from typing import Any, TypeVar

from django.contrib import messages
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from claims.actions.letters import claim_letters as actions
from claims.actions.letters.claim_letters import DrawnLetter, LetterOrder
from claims.actions.letters.exhibits import keep_as_exhibit
from claims.forms.letters.choices import ChoicesForm
from claims.forms.letters.claim_letter_forms import form_for
from claims.forms.letters.claim_letters import ConfirmLetterForm
from claims.models import Claim
from claims.queries.core.parties import BillParty, parties_of, readdressed
from claims.queries.letters.claim_letters import letter_facts
from claims.rules.letters.claim_letter import LetterFacts, LetterKind
from claims.rules.letters.claim_letter_content import (
    WrittenLetter,
    cite_for,
    mail_text,
)
from claims.rules.letters.claim_letter_kinds import KINDS
from claims.rules.letters.content import DRAFT
from claims.rules.letters.overlap import ASK
from claims.views.core.claim_act import OneClaimAct
from claims.views.letters.claim_letters import (
    SEEN_BY_CLAIMS,
    claims_joined,
    letters_joined,
    trail,
)
from inventory.access import may, obtain, person_of
from inventory.actions.core.once import Answer
from inventory.actions.core.versions import RefusedError
from inventory.forms.core.base import HouseForm
from inventory.models import User
from inventory.views.core.act_view import Crumbs
from inventory.views.core.clock import now, today_at
from inventory.views.core.pdf_answers import answer_pdf
from inventory.views.core.previews import Preview

Form = TypeVar("Form", bound=HouseForm)

PREVIEW = "claims/letters/confirm_letter.html"
_NOT_TYPED = ("csrfmiddlewaretoken", "act", "once", "version")


@require_http_methods(["GET", "POST"])
def write_claim_letter(request: HttpRequest, pk: int, letter: str) -> HttpResponseBase:
    """Ask what the letter needs and preview it, or confirm what was previewed."""
    view = ConfirmLetter if "digest" in request.POST else WriteLetter
    return view.as_view()(request, pk=pk, letter=letter)


@require_POST
def claim_letter_draft(request: HttpRequest, pk: int, letter: str) -> HttpResponseBase:
    """Send the letter as it would be now, marked as a draft on every page."""
    from claims.documents.letters import letter_pdf  # noqa: PLC0415 - slow to import

    person, kind = person_of(request), kind_named(letter)
    claim = obtain(claims_joined(), person, pk, kind.role)
    typed = QueryDict(request.POST.get("answers", ""))
    try:
        drafted = actions.draft_letter(order_of(claim, kind, person, typed))
    except RefusedError as error:
        messages.error(request, str(error))
        return redirect("write_claim_letter", claim.pk, kind.key)
    data = letter_pdf(drafted.content, mark=DRAFT)
    return answer_pdf(lambda: data, f"draft-{claim.number}-{kind.key}.pdf")


def kind_named(key: str) -> LetterKind[Any]:
    """Return the kind of letter of the address; 404 where there is none."""
    try:
        return KINDS[key]
    except KeyError:
        raise Http404 from None


def order_of(
    claim: Claim, kind: LetterKind[Any], person: User, typed: QueryDict
) -> LetterOrder:
    """Return what was typed as an order. Raise RefusedError where it fits no longer."""
    today = today_at(claim.location)
    company = typed.get("company", "")
    facts = letter_facts(readdressed(claim, company), person=person, today=today)
    form = form_for(kind.key)(data=typed, facts=facts)
    if not form.is_valid():
        raise RefusedError(
            "What you chose is no longer possible. Nothing was saved. Write the letter "
            "again."
        )
    return LetterOrder(claim, kind, form.choices(), person, now(), today, company)


class _LetterForm(OneClaimAct[Form]):
    """A page of one kind of letter about the claim of the address."""

    back_words = "Back to the letters without saving"

    def get_row(self) -> Claim:
        self.kind = kind_named(self.kwargs["letter"])
        self.permission = self.kind.role
        self.company = self.request.GET.get("company", "")
        return readdressed(super().get_row(), self.company)

    def get_queryset(self) -> QuerySet[Claim]:
        return claims_joined()

    @cached_property
    def facts(self) -> LetterFacts:
        """Return what the letter may say."""
        today = today_at(self.row.location)
        return letter_facts(self.row, person=self.person, today=today)

    @property
    def parties(self) -> list[BillParty]:
        """Return the companies that this letter may go to, where there is a choice."""
        if self.kind.to != "carrier":
            return []
        rows = [one for one in parties_of(self.row.shipment) if one.part.takes_claims]
        return rows if len(rows) > 1 else []

    def get_title(self) -> str:
        return self.kind.name

    def get_lead(self) -> str:
        return self.kind.lead

    @property
    def sees_claim(self) -> bool:
        """Return whether the person may see the claim around the letter."""
        return may(self.person, self.row.location_id, SEEN_BY_CLAIMS)

    def get_back(self) -> str:
        if self.sees_claim:
            return reverse("claim_letters", args=[self.row.pk])
        return reverse("shipment", args=[self.row.shipment_id])

    def get_back_words(self) -> str:
        if self.sees_claim:
            return self.back_words
        return "Back to the freight bill without saving"

    def get_crumbs(self) -> Crumbs:
        if self.sees_claim:
            return trail(self.row)
        return [(str(self.row.shipment), self.get_back())]

    def get_context_data(self, **more: object) -> dict[str, Any]:
        context = super().get_context_data(
            parties=self.parties, to_name=self.facts.carrier.name, **more
        )
        return context if self.sees_claim else context | {"facts": ()}

    def shown(self, letter: WrittenLetter | None, typed: str) -> dict[str, Any]:
        """Return what the preview shows of the letter."""
        return {
            "letter": letter,
            "text": mail_text(letter.content) if letter else "",
            "typed": typed,
            "kind": self.kind,
            "cite": cite_for(self.kind, self.facts),
            "asks": form_for(self.kind.key) is not ChoicesForm,
            "company": self.company,
        }


class WriteLetter(_LetterForm[ChoicesForm], Preview[Claim, ChoicesForm]):
    """Ask what the record does not say, then show the letter. Nothing is saved."""

    template_name = "claims/letters/write_claim_letter.html"
    preview_template = PREVIEW

    def get_form_class(self) -> type[ChoicesForm]:
        return form_for(self.kind.key)

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"facts": self.facts}

    def get_refusal(self) -> str:
        return " ".join(self.kind.against(self.facts))

    def get(
        self, request: HttpRequest, *args: object, **kwargs: object
    ) -> HttpResponse:
        """Show the form; the preview at once where there is nothing to choose.

        A release asks first who else may have paid for the loss.
        """
        if self.kind.against(self.facts) == (ASK,):
            return redirect("ask_overlap", self.row.pk)
        if self.get_form_class() is not ChoicesForm or self.get_refusal():
            return super().get(request, *args, **kwargs)
        self.template_name = PREVIEW
        form = ChoicesForm(data=QueryDict(), facts=self.facts)
        form.is_valid()
        return self.render_to_response(self.preview(form))

    def post(
        self, request: HttpRequest, *args: object, **kwargs: object
    ) -> HttpResponse:
        """Show the preview, or the form again with what is wrong."""
        form = self.get_form()
        if form.is_valid():
            try:
                self.template_name = PREVIEW
                return self.render_to_response(self.preview(form))
            except RefusedError as error:
                form.add_error(None, str(error))
                self.template_name = type(self).template_name
        return self.form_invalid(form)

    def preview(self, form: ChoicesForm) -> dict[str, Any]:
        typed = self.request.POST.copy()
        for name in _NOT_TYPED:
            typed.pop(name, None)
        if self.company:
            typed["company"] = self.company
        today, person = today_at(self.row.location), self.person
        letter = actions.draft_letter(
            LetterOrder(
                self.row, self.kind, form.choices(), person, now(), today, self.company
            )
        )
        answers = typed.urlencode()
        seen = {"answers": answers, "digest": letter.digest}
        return self.get_context_data(
            form=ConfirmLetterForm(initial=seen), **self.shown(letter, answers)
        )


class ConfirmLetter(_LetterForm[ConfirmLetterForm]):
    """Freeze the letter that was previewed."""

    form_class = ConfirmLetterForm
    template_name = PREVIEW
    drawn: DrawnLetter

    def prepare(self, form: ConfirmLetterForm) -> None:
        order = order_of(self.row, self.kind, self.person, form.typed)
        self.drawn = actions.draw_letter(order, seen=form.cleaned_data["digest"])

    def act(self, form: ConfirmLetterForm) -> Answer:
        row = actions.freeze_letter(self.drawn)
        page = reverse("claim_letter", args=[row.pk])
        message = f"Letter {row.number} confirmed. Next: send it."
        if self.kind.kept_as:
            message = f"{self.kind.name} confirmed. It is an exhibit of the claim file."
        return self.done(message, row=row, page=page)

    def follow_up(self, form: ConfirmLetterForm, answer: Answer) -> None:
        """Keep a statement as an exhibit."""
        super().follow_up(form, answer)
        row = letters_joined().filter(pk=answer.key).first()
        if row is None:
            return
        try:
            keep_as_exhibit(letter=row, person=self.person, at=now())
        except RefusedError as error:
            messages.error(self.request, str(error))

    def form_invalid(self, form: ConfirmLetterForm) -> HttpResponse:
        """Show the letter as it is now, to be read and confirmed again."""
        letter = None
        try:
            order = order_of(self.row, self.kind, self.person, form.typed)
            letter = actions.draft_letter(order)
            form.take_digest(letter.digest)
        except RefusedError as error:
            if str(error) not in form.non_field_errors():
                form.add_error(None, str(error))
        typed = form.typed.urlencode()
        context = self.get_context_data(form=form, **self.shown(letter, typed))
        return self.render_to_response(context, status=422)
