"""The letters about a claim: which are possible, one of them, and its PDF."""

from typing import Any, TypeVar

from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from claims.actions.letters import claim_letters as actions
from claims.actions.letters.claim_letters import LetterStep
from claims.forms.claim.steps import SendForm
from claims.forms.letters.claim_letters import DropLetterForm, LetterProofForm
from claims.models import Claim, ClaimLetter
from claims.queries.core.parties import PARTIES_OF_CLAIM
from claims.queries.letters.claim_letters import letter_facts, letters_page
from claims.rules.claim.life import WITHDRAWING
from claims.rules.core.sending import lacks_tracking
from claims.rules.letters import content as frozen
from claims.rules.letters.claim_letter_content import fits_link, mail_address
from claims.rules.letters.claim_letter_kinds import KINDS
from claims.rules.letters.content import LetterContent
from claims.views.core.claim_act import DatedAct, ProofAct
from inventory.access import may, obtain, person_of
from inventory.actions.core.once import Answer
from inventory.evidence.seal.sent_documents import LostDocumentError, last_sent_bytes
from inventory.forms.core.base import HouseForm
from inventory.models import Location, Shipment, User
from inventory.queries.mail.outbox import has_come_back, mails_about
from inventory.rules.core.sent_documents import CLAIM_LETTER
from inventory.rules.mail.texts import MailText
from inventory.views.core.act_view import Crumbs
from inventory.views.core.clock import now, today_at
from inventory.views.core.pdf_answers import answer_pdf

Form = TypeVar("Form", bound=HouseForm)

SEEN_BY_CLAIMS = "see-claims"


def claims_joined() -> QuerySet[Claim]:
    """Return the claims with what their letters say joined."""
    return Claim.objects.select_related(
        "location", "shipment__supplier", "shipment__location", *PARTIES_OF_CLAIM
    ).prefetch_related("lines", "letters")


def letters_joined() -> QuerySet[ClaimLetter]:
    """Return the letters with what their pages say joined."""
    return ClaimLetter.objects.select_related(
        "claim__location", "claim__shipment__carrier", "confirmed_by", "proof"
    )


def trail(claim: Claim) -> Crumbs:
    """Return the pages above a letter of this claim."""
    return [
        ("Claims", reverse("claims")),
        (f"Claim {claim.number}", reverse("claim", args=[claim.pk])),
        ("Letters", reverse("claim_letters", args=[claim.pk])),
    ]


@require_safe
def claim_letters(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the letters that are possible today, those that are not, those written."""
    person = person_of(request)
    claim = obtain(claims_joined(), person, pk, SEEN_BY_CLAIMS)
    facts = letter_facts(claim, person=person, today=today_at(claim.location))
    roles = {
        role
        for role in {kind.role for kind in KINDS.values()}
        if may(person, claim.location_id, role)
    }
    context = {
        "claim": claim,
        "page": letters_page(claim, facts),
        "may_write": {kind.key for kind in KINDS.values() if kind.role in roles},
        "crumbs": [*trail(claim)[:2], ("Letters", "")],
    }
    return render(request, "claims/letters/claim_letters.html", context)


def _letter(person: User, pk: int) -> ClaimLetter:
    """Return the letter for whoever may see claims, or may write letters of its kind."""
    try:
        return obtain(letters_joined(), person, pk, SEEN_BY_CLAIMS)
    except PermissionDenied:
        keys = letters_joined().filter(pk=pk).values_list("kind", flat=True)
        kind = KINDS.get(keys.get())
        return obtain(
            letters_joined(), person, pk, kind.role if kind else SEEN_BY_CLAIMS
        )


def mailed_to(row: ClaimLetter, content: LetterContent) -> str:
    """Return the address that a letter is mailed to, or nothing.

    A paper of the supplier's is addressed to us, and goes to the supplier to be signed.
    """
    return mail_address(content.sender if row.is_theirs else content.addressee)


@require_safe
def claim_letter(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a letter: its words, its PDF, its mail, how it was sent, its proof."""
    person = person_of(request)
    row = _letter(person, pk)
    content = frozen.from_json(row.content)
    sees_claim = may(person, row.claim.location_id, SEEN_BY_CLAIMS)
    above = trail(row.claim)
    kind = KINDS.get(row.kind)
    mail = MailText(mailed_to(row, content), row.subject, row.text)
    mails = mails_about(row)
    context = {
        "letter": row,
        "signer": content.sender.name if row.is_theirs else "",
        "content": content,
        "mail": mail,
        "is_sent": not (kind and kind.kept_as),
        "mails": mails,
        "came_back": row.received_on is None and has_come_back(mails),
        "lacks_tracking": lacks_tracking(row.sent_how, row.tracking),
        "fits_link": fits_link(mail.address),
        "acts": row.life.acts_from(row.state),
        "may_act": may(person, row.claim.location_id, "make-claim"),
        "sees_claim": sees_claim,
        "crumbs": [*(above if sees_claim else ()), (row.kind_words, "")],
    }
    return render(request, "claims/letters/claim_letter.html", context)


@require_safe
def claim_letter_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """Give the letter as PDF, byte for byte as it was confirmed."""
    row = _letter(person_of(request), pk)
    return answer_pdf(lambda: _kept(row), f"letter-{row.claim.number}-{row.number}.pdf")


def _kept(row: ClaimLetter) -> bytes:
    data = last_sent_bytes(row, CLAIM_LETTER)
    if data is None:
        raise LostDocumentError(
            "This letter has no kept file, and it is not drawn again, because that would "
            "not be what was confirmed. Ask your administrator for a backup."
        )
    return data


class LetterAct(DatedAct[ClaimLetter, Form]):
    """An act on the letter of the address."""

    permission = "make-claim"
    template_name = "claims/core/act.html"
    back_words = "Back to the letter without saving"

    def get_queryset(self) -> QuerySet[ClaimLetter]:
        return letters_joined()

    def get_location(self) -> Location:
        return self.row.claim.location

    def get_back(self) -> str:
        return reverse("claim_letter", args=[self.row.pk])

    def get_kicker(self) -> str:
        return f"Letter {self.row.number}: {self.row.kind_words}"

    def get_crumbs(self) -> Crumbs:
        return [*trail(self.row.claim), (self.row.kind_words, self.get_back())]

    def get_context_data(self, **more: object) -> dict[str, Any]:
        facts = (("To", self.row.addressee), ("Claim", self.row.claim.number))
        return super().get_context_data(facts=facts, **more)

    def step(self, form: HouseForm) -> LetterStep:
        """Return who acts and when, with what the form says."""
        data = form.cleaned_data
        return LetterStep(
            self.person, now(), self.today, data["version"], data.get("on")
        )

    def next_page(self, *states: str) -> str:
        """Return the claim's own form for what its letter just did, if it waits there."""
        claim, kind = self.row.claim, KINDS.get(self.row.kind)
        if kind is not None and kind.key == "withdrawal" and claim.state == WITHDRAWING:
            return reverse("tell_withdrawal", args=[claim.pk])
        if kind is None or not kind.encloses_claim or claim.state not in states:
            return ""
        page = "record_receipt" if claim.state == "sent" else "send_claim"
        return reverse(page, args=[claim.pk])


class SendLetter(LetterAct[SendForm]):
    """Record that the letter was sent."""

    form_class = SendForm
    title = "Record as sent"
    lead = (
        "Record here what you sent yourself. An email that was only accepted is no proof "
        "of delivery; the number of a portal's confirmation is."
    )

    def act(self, form: SendForm) -> Answer:
        actions.send_letter(
            letter=self.row,
            how=form.cleaned_data["how"],
            step=self.step(form),
            tracking=form.cleaned_data["tracking"],
        )
        page = self.next_page("drafted")
        if page:
            return self.done(
                "Letter recorded as sent. Next: record the claim as sent.", page=page
            )
        return self.done("Letter recorded as sent. Next: proof of delivery.")


class ReceiveLetter(LetterAct[LetterProofForm], ProofAct[ClaimLetter, LetterProofForm]):
    """Record the day on which the letter was received, and the proof."""

    form_class = LetterProofForm
    title = "Record proof of delivery"
    lead = "The day on which it was received counts, not the day you sent it."

    def get_shipment(self) -> Shipment:
        return self.row.claim.shipment

    def act(self, form: LetterProofForm) -> Answer:
        actions.receive_letter(
            letter=self.row,
            proof=form.cleaned_data["how"],
            words=form.cleaned_data["words"],
            file=self.proof(form),
            step=self.step(form),
        )
        page = self.next_page("sent")
        if page:
            return self.done(
                "Proof of delivery recorded. The claim was enclosed: record that the "
                "carrier received it.",
                page=page,
            )
        return self.done("Proof of delivery recorded.")


class DropLetter(LetterAct[DropLetterForm]):
    """Drop a letter that was never sent, with the reason."""

    form_class = DropLetterForm
    title = "Drop the letter"
    lead = "It stays in the list with your reason. You can write another one."

    def get_form_kwargs(self) -> dict[str, Any]:
        options = super().get_form_kwargs()
        options.pop("today")
        return options

    def act(self, form: DropLetterForm) -> Answer:
        actions.drop_letter(
            letter=self.row, reason=form.cleaned_data["reason"], step=self.step(form)
        )
        page = reverse("claim_letters", args=[self.row.claim_id])
        return self.done("Letter dropped. It is not sent.", page=page)
