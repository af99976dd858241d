"""What happens to a claim after it is made, each act on its own page."""

from datetime import date
from typing import Any

from django.db.models import Model, QuerySet
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from claims.access import obtain, person_of
from claims.actions.claim import steps as claim_steps
from claims.actions.claim.steps import Step
from claims.forms.claim.steps import (
    AcknowledgementForm,
    DisallowanceForm,
    OfferForm,
    ReasonForm,
    ReceiptForm,
    SendForm,
    SettlementForm,
)
from claims.models import Claim
from claims.queries.core.facts import claim_cents
from claims.views.core.act_page import ActPage, answer_act, posted
from inventory.actions.evidence.keeping import keep_evidence
from inventory.models import Evidence, Shipment, User
from inventory.rules.reckoning.money import format_cents
from inventory.views.core.clock import now, today_at


def _claims() -> QuerySet[Claim]:
    return Claim.objects.select_related(
        "location", "shipment__carrier", "shipment__location"
    ).prefetch_related("lines")


def _asked(request: HttpRequest, pk: int) -> tuple[User, Claim, date]:
    person = person_of(request)
    claim = obtain(_claims(), person, pk, "make-claim")
    return person, claim, today_at(claim.location)


def claim_act_page(
    claim: Claim,
    title: str,
    lead: str = "",
    *,
    row: Model | None = None,
    is_late: bool = False,
) -> ActPage:
    """Return what stands around a form that acts on a claim, or on a row of it."""
    back = reverse("claim", args=[claim.pk])
    facts = (
        ("Claim", claim.number),
        ("Carrier", claim.shipment.carrier.name),
        ("PRO", claim.shipment.pro_number),
        ("Amount claimed", format_cents(claim_cents(claim), claim.currency, code=True)),
    )
    return ActPage(
        title=title,
        back=back,
        back_words=f"Back to claim {claim.number} without saving",
        kicker=f"Claim {claim.number}",
        lead=lead,
        row=row or claim,
        template="claims/core/act.html",
        crumbs=[
            ("Claims", reverse("claims")),
            (f"Claim {claim.number}", back),
            (title, ""),
        ],
        more={"facts": facts, "is_late": is_late},
    )


def step_from(form: Any, person: User, today: date) -> Step:  # noqa: ANN401
    """Return the act that a valid form tells of."""
    data = form.cleaned_data
    return Step(
        person=person,
        at=now(),
        today=today,
        version=data["version"],
        on=data.get("on"),
        reason=data.get("reason", ""),
        proof=data.get("words", ""),
    )


def keep_proof(form: ReceiptForm, shipment: Shipment, person: User) -> Evidence | None:
    """Keep the proof that came with the form, if one did, before the act itself."""
    upload = form.cleaned_data.get("photo")
    if not upload:
        return None
    kept = keep_evidence(
        person=person,
        at=now(),
        upload=upload,
        client_id=form.upload_ids(1)[0],
        kind="proof-of-receipt",
        shipment=shipment,
        caption=form.cleaned_data["words"],
    )
    form.remarks += kept.remarks
    return kept.evidence


@require_http_methods(["GET", "POST"])
def send_claim(request: HttpRequest, pk: int) -> HttpResponse:
    """Record that the claim went to the carrier."""
    person, claim, today = _asked(request, pk)
    form = SendForm(posted(request), today=today, initial={"version": claim.version})

    def act() -> str:
        claim_steps.send_claim(
            claim=claim,
            how=form.cleaned_data["how"],
            step=step_from(form, person, today),
        )
        return f"Claim {claim.number} is recorded as sent. Its receipt must be proven."

    lead = "Sending stops no clock. The day on which the carrier received it does."
    return answer_act(request, form, claim_act_page(claim, "Send the claim", lead), act)


@require_http_methods(["GET", "POST"])
def record_receipt(request: HttpRequest, pk: int) -> HttpResponse:
    """Record the day on which the carrier received the claim."""
    person, claim, today = _asked(request, pk)
    form = ReceiptForm(
        posted(request),
        request.FILES or None,
        today=today,
        initial={"version": claim.version},
    )

    def act() -> str:
        claim_steps.record_receipt(
            claim=claim,
            step=step_from(form, person, today),
            proof=keep_proof(form, claim.shipment, person),
        )
        return f"Receipt of claim {claim.number} is proven. The carrier's clocks run."

    page = claim_act_page(claim, "Prove the receipt", "Received counts, not sent.")
    return answer_act(request, form, page, act)


@require_http_methods(["GET", "POST"])
def record_acknowledgement(request: HttpRequest, pk: int) -> HttpResponse:
    """Record the carrier's acknowledgement."""
    person, claim, today = _asked(request, pk)
    form = AcknowledgementForm(
        posted(request), today=today, initial={"version": claim.version}
    )

    def act() -> str:
        claim_steps.record_acknowledgement(
            claim=claim,
            carrier_number=form.cleaned_data["number"],
            step=step_from(form, person, today),
        )
        return "The acknowledgement is recorded."

    lead = "It must say which documents the carrier still wants (49 CFR 370.5)."
    page = claim_act_page(claim, "Record the acknowledgement", lead)
    return answer_act(request, form, page, act)


@require_http_methods(["GET", "POST"])
def record_offer(request: HttpRequest, pk: int) -> HttpResponse:
    """Record an offer."""
    person, claim, today = _asked(request, pk)
    form = OfferForm(
        posted(request),
        today=today,
        currency=claim.currency,
        initial={"version": claim.version},
    )

    def act() -> str:
        claim_steps.record_offer(
            claim=claim,
            cents=form.cleaned_data["amount"],
            step=step_from(form, person, today),
        )
        return "The offer is recorded."

    lead = (
        "An offer of compromise is no disallowance: it starts no time for a suit "
        "(49 U.S.C. 14706(e)(2))."
    )
    return answer_act(
        request, form, claim_act_page(claim, "Record an offer", lead), act
    )


@require_http_methods(["GET", "POST"])
def record_disallowance(request: HttpRequest, pk: int) -> HttpResponse:
    """Record a written disallowance."""
    person, claim, today = _asked(request, pk)
    form = DisallowanceForm(
        posted(request), today=today, initial={"version": claim.version}
    )

    def act() -> str:
        claim_steps.record_disallowance(
            claim=claim,
            with_offer=form.cleaned_data["with_offer"],
            step=step_from(form, person, today),
        )
        return "The disallowance is recorded. The time for a suit runs."

    lead = (
        "Only a disallowance in writing starts the time for a suit. The first one "
        "counts; a repeat restarts nothing. Silence starts none."
    )
    page = claim_act_page(claim, "Record a disallowance", lead)
    return answer_act(request, form, page, act)


@require_http_methods(["GET", "POST"])
def record_settlement(request: HttpRequest, pk: int) -> HttpResponse:
    """Record the money that came in."""
    person, claim, today = _asked(request, pk)
    form = SettlementForm(
        posted(request),
        today=today,
        currency=claim.currency,
        initial={"version": claim.version},
    )

    def act() -> str:
        claim_steps.record_settlement(
            claim=claim,
            cents=form.cleaned_data["amount"],
            step=step_from(form, person, today),
        )
        return f"Claim {claim.number} is settled and closed."

    lead = "This closes the claim. What was written off shows beside it."
    return answer_act(
        request, form, claim_act_page(claim, "Record the settlement", lead), act
    )


@require_http_methods(["GET", "POST"])
def withdraw_claim(request: HttpRequest, pk: int) -> HttpResponse:
    """Withdraw the claim, with a reason."""
    person, claim, today = _asked(request, pk)
    form = ReasonForm(posted(request), initial={"version": claim.version})

    def act() -> str:
        claim_steps.withdraw_claim(claim=claim, step=step_from(form, person, today))
        return f"Claim {claim.number} is withdrawn. Its findings can be claimed anew."

    lead = "Nothing is deleted: the claim and its story stay readable."
    page = claim_act_page(claim, "Withdraw the claim", lead, is_late=True)
    return answer_act(request, form, page, act)
