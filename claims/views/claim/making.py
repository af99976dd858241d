"""Making a claim of findings, adding later finds, changing its lines."""

from collections.abc import Sequence

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from claims.access import obtain, person_of
from claims.actions.claim import lines as claim_lines
from claims.actions.claim import making as actions
from claims.actions.claim.lines import LineChange
from claims.actions.claim.making import Pick
from claims.actions.claim.steps import Step
from claims.forms.claim.making import (
    AdjustLineForm,
    MakeClaimForm,
    Offered,
    Picked,
    StrikeLineForm,
    SupplementForm,
)
from claims.models import Claim, ClaimLine, Finding
from claims.queries.claim.proof import claimant_of
from claims.queries.core.facts import finding_cents
from claims.queries.core.unclaimed import unclaimed
from claims.views.claim.steps import claim_act_page
from claims.views.core.act_page import ActPage, answer_act, posted
from inventory.models import Shipment
from inventory.rules.reckoning.money import format_cents
from inventory.views.core import one_act
from inventory.views.core.clock import now, today_at


def _free_findings(shipment: Shipment) -> tuple[Finding, ...]:
    groups = unclaimed(
        Finding.objects.filter(shipment=shipment),
        Claim.objects.filter(shipment=shipment),
    )
    return groups[0].findings if groups else ()


def _offered(findings: Sequence[Finding]) -> list[Offered]:
    return [
        Offered(
            key=row.number,
            title=str(row),
            hint=f"{row.facts.rstrip('. ')}. {_worth(row)}",
            outcome="short" if row.damage_kind == "short" else "repair",
        )
        for row in findings
    ]


def _worth(finding: Finding) -> str:
    cents = finding_cents(finding)
    if not cents:
        return "Not priced yet."
    amount = format_cents(cents, finding.shipment.currency, code=True)
    return f"Comes to {amount} as priced so far."


def _picks(findings: Sequence[Finding], picked: Sequence[Picked]) -> list[Pick]:
    by_number = {row.number: row for row in findings}
    return [Pick(by_number[one.key], one.outcome, one.salvage_cents) for one in picked]


@require_http_methods(["GET", "POST"])
def make_claim(request: HttpRequest, pk: int) -> HttpResponse:
    """Make a claim of chosen findings of one freight bill."""
    person = person_of(request)
    rows = Shipment.objects.select_related("location", "carrier", "supplier")
    shipment = obtain(rows, person, pk, "make-claim")
    findings = _free_findings(shipment)
    verdict = claimant_of(shipment)
    form = MakeClaimForm(
        posted(request),
        offered=_offered(findings),
        currency=shipment.currency,
        initial={"claimant": verdict.claimant, "basis": "invoice"},
    )

    def act() -> HttpResponse:
        claim = actions.make_claim(
            shipment=shipment,
            picks=_picks(findings, form.picked()),
            claimant=form.cleaned_data["claimant"],
            basis=form.cleaned_data["basis"],
            person=person,
            at=now(),
            today=today_at(shipment.location),
        )
        messages.success(request, f"Claim {claim.number} is made. Check each line.")
        return redirect("claim", claim.pk)

    page = ActPage(
        title="Make a claim",
        back=reverse("claims"),
        back_words="Back to the claims desk without saving",
        kicker=f"PRO {shipment.pro_number}, {shipment.carrier.name}",
        lead=verdict.summary,
        template="claims/claim/make_claim.html",
        crumbs=[("Claims", reverse("claims")), ("Make a claim", "")],
        more={"findings": findings, "verdict": verdict, "shipment": shipment},
    )
    return one_act.answer_act(request, form, page, act)


@require_http_methods(["GET", "POST"])
def supplement_claim(request: HttpRequest, pk: int) -> HttpResponse:
    """Add later finds to a claim as its next supplement."""
    person = person_of(request)
    rows = Claim.objects.select_related(
        "location", "shipment__carrier", "shipment__location"
    ).prefetch_related("lines")
    claim = obtain(rows, person, pk, "make-claim")
    findings = _free_findings(claim.shipment)
    form = SupplementForm(
        posted(request),
        offered=_offered(findings),
        currency=claim.currency,
        initial={"version": claim.version},
    )

    def act() -> str:
        step = Step(
            person=person,
            at=now(),
            today=today_at(claim.location),
            version=form.cleaned_data["version"],
        )
        made = actions.supplement_claim(
            claim=claim, picks=_picks(findings, form.picked()), step=step
        )
        return f"Supplement {made.number} is added. Send it, and prove its receipt."

    lead = (
        "Later finds go to the carrier under the same claim number, as a numbered "
        "supplement with its own receipt."
    )
    page = claim_act_page(claim, "Add a supplement", lead)
    page = ActPage(
        **{
            **page.__dict__,
            "template": "claims/claim/make_claim.html",
            "more": {**page.more, "findings": findings, "shipment": claim.shipment},
        }
    )
    return answer_act(request, form, page, act)


def _line(request: HttpRequest, pk: int) -> ClaimLine:
    rows = ClaimLine.objects.select_related(
        "claim__location",
        "claim__shipment__carrier",
        "claim__shipment__location",
        "finding",
        "unit",
    ).prefetch_related("claim__lines", "claim__supplement_rows")
    return obtain(rows, person_of(request), pk, "make-claim")


@require_http_methods(["GET", "POST"])
def adjust_line(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what a line counts or asks for, with a reason."""
    line = _line(request, pk)
    form = AdjustLineForm(
        posted(request),
        initial={
            "version": line.version,
            "outcome": line.outcome,
            "value": line.value_cents,
            "salvage": line.salvage_cents,
            "mitigation": line.mitigation_cents,
            "recovered": line.recovered_cents,
            "adjusted": line.adjusted_cents,
            "reason": line.adjusted_reason,
        },
        currency=line.claim.currency,
    )

    def act() -> str:
        data = form.cleaned_data
        change = LineChange(
            outcome=data["outcome"],
            value_cents=data["value"] or 0,
            salvage_cents=data["salvage"] or 0,
            mitigation_cents=data["mitigation"] or 0,
            recovered_cents=data["recovered"] or 0,
            adjusted_cents=data["adjusted"],
        )
        claim_lines.adjust_line(
            line=line, change=change, step=_step(request, line, form)
        )
        return f"Line {line.number} is adjusted and the claim worked anew."

    title = f"Adjust line {line.number}"
    page = claim_act_page(line.claim, title, line.label, row=line)
    return answer_act(request, form, page, act)


@require_http_methods(["GET", "POST"])
def strike_line(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a line out of the claim, with a reason."""
    line = _line(request, pk)
    form = StrikeLineForm(posted(request), initial={"version": line.version})

    def act() -> str:
        claim_lines.strike_line(line=line, step=_step(request, line, form))
        return f"Line {line.number} is struck. It stays readable with its reason."

    title = f"Strike line {line.number}"
    page = claim_act_page(line.claim, title, line.label, row=line, is_late=True)
    return answer_act(request, form, page, act)


def _step(
    request: HttpRequest, line: ClaimLine, form: AdjustLineForm | StrikeLineForm
) -> Step:
    return Step(
        person=person_of(request),
        at=now(),
        today=today_at(line.claim.location),
        version=form.cleaned_data["version"],
        reason=form.cleaned_data["reason"],
    )
