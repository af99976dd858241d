"""The manager's decisions about a finding, each on its own page."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from claims.actions.bench import decisions as acts
from claims.forms.bench.decisions import HandlingForm, PriceForm, RouteForm
from claims.models import Finding
from claims.queries.bench.findings import finding_page, findings_joined
from claims.rules.bench.causes import cause_of
from claims.rules.bench.safety_parts import RULE
from claims.rules.core.vocabulary import ROUTES
from claims.views.bench.photos import posted
from inventory.access import obtain, person_of
from inventory.views.core.clock import now
from inventory.views.core.one_act import ActPage, answer_act


@require_http_methods(["GET", "POST"])
def price_finding(request: HttpRequest, pk: int) -> HttpResponse:
    """Price the parts; the hours take the location's own rate."""
    person = person_of(request)
    row = obtain(findings_joined(), person, pk, "price")
    page = finding_page(row)
    initial: dict[str, object] = {
        f"price_{part.pk}": part.price_cents for part in page.parts
    }
    initial |= {
        "version": row.version,
        "safety_basis": row.safety_basis,
        "safety_reference": row.safety_reference,
    }
    form = PriceForm(
        posted(request)[0],
        parts=page.parts,
        currency=row.shipment.currency,
        is_safety_part=row.is_safety_part,
        initial=initial,
    )

    def act() -> HttpResponse:
        acts.price_finding(
            person=person,
            at=now(),
            finding=row,
            version=form.cleaned_data["version"],
            prices=form.prices(),
        )
        messages.success(request, f"Finding {row.number} is priced.")
        return redirect("finding", row.pk)

    around = _around(
        row,
        f"Price finding {row.number}",
        template="claims/bench/price_finding.html",
        figures=page,
        location=row.shipment.location,
        safety_rule=RULE if row.is_safety_part else "",
    )
    return answer_act(request, form, around, act)


@require_http_methods(["GET", "POST"])
def answer_handling(request: HttpRequest, pk: int) -> HttpResponse:
    """Answer "handling here" with a reason; the word itself stays."""
    person = person_of(request)
    row = obtain(findings_joined(), person, pk, "decide")
    initial = {
        "version": row.version,
        "answer": row.handling_answer,
        "reason": row.handling_reason,
    }
    form = HandlingForm(posted(request)[0], initial=initial)

    def act() -> HttpResponse:
        acts.answer_handling(
            person=person,
            at=now(),
            finding=row,
            version=form.cleaned_data["version"],
            answer=form.cleaned_data["answer"],
            reason=form.cleaned_data["reason"],
        )
        messages.success(request, f"Your answer to finding {row.number} is kept.")
        return redirect("finding", row.pk)

    lead = (
        f"{row.recorded_by} wrote that this was done here. That stays on record; "
        "your answer stands beside it and decides whether it may be claimed."
        if cause_of(row.cause).stops_claim
        else "Nobody wrote handling here on this finding, so no answer is needed."
    )
    around = _around(row, f"Handling here: finding {row.number}", lead=lead)
    return answer_act(request, form, around, act)


@require_http_methods(["GET", "POST"])
def route_finding(request: HttpRequest, pk: int) -> HttpResponse:
    """Send a finding another way than the rules would."""
    person = person_of(request)
    row = obtain(findings_joined(), person, pk, "decide")
    routing = finding_page(row).routing
    first = ROUTES.get(routing.first, "nothing is claimed")
    form = RouteForm(
        posted(request)[0],
        initial={
            "version": row.version,
            "route": row.route or routing.first,
            "reason": row.route_reason,
        },
    )

    def act() -> HttpResponse:
        acts.route_finding(
            person=person,
            at=now(),
            finding=row,
            version=form.cleaned_data["version"],
            route=form.cleaned_data["route"],
            reason=form.cleaned_data["reason"],
        )
        messages.success(request, f"Finding {row.number} is routed.")
        return redirect("finding", row.pk)

    lead = (
        f"By itself it goes to: {first.lower()}. Where two routes are possible both "
        "notices go out in time whatever you choose here; only one is paid."
    )
    return answer_act(
        request, form, _around(row, f"Route finding {row.number}", lead=lead), act
    )


def _around(
    row: Finding,
    title: str,
    *,
    lead: str = "",
    template: str = "inventory/core/act.html",
    **more: object,
) -> ActPage:
    back = reverse("finding", args=[row.pk])
    return ActPage(
        title=title,
        kicker=f"PRO {row.shipment.pro_number}",
        lead=lead,
        back=back,
        back_words="Back to the finding without saving",
        row=row,
        template=template,
        crumbs=[(f"Finding {row.number}", back), (title, "")],
        more={"finding": row, **more},
    )
