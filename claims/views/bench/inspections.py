"""Looking a machine over, and letting a held one go on."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from claims.actions.bench.holds import release_hold as act_release_hold
from claims.actions.bench.inspections import Subject, record_inspection, why_not_inspect
from claims.forms.bench.inspections import InspectForm, ReleaseHoldForm
from claims.queries.bench.looks import condition_of_crate, last_look
from claims.rules.bench.cautions import DEFERS, cautions_for
from claims.rules.bench.checklists import LOOKS
from claims.rules.bench.holds import STOPPED, WAIVER_KIND
from claims.rules.core.vocabulary import STAGES
from claims.views.bench.photos import keep_for, posted
from inventory.access import obtain, person_of
from inventory.models import Hold, Unit
from inventory.views.core.clock import now
from inventory.views.core.one_act import ActPage, answer_act

RELEASE_KINDS = {
    "inspected": "inspection-report",
    "waived": WAIVER_KIND,
    "manager": "damage",
}
"""What the files given with a release show, by the way it is released."""


@require_http_methods(["GET", "POST"])
def inspect_unit(request: HttpRequest, pk: int, stage: str) -> HttpResponse:
    """Take the looks of one stage at one machine."""
    if stage not in LOOKS:
        raise Http404
    person = person_of(request)
    rows = Unit.objects.select_related("shipment__location", "crate__delivery")
    unit = obtain(rows, person, pk, "inspect")
    subject = Subject(unit.shipment, unit=unit)
    form = InspectForm(
        posted(request)[0],
        stage=stage,
        has_crate=unit.crate is not None,
        initial={
            "crate_condition": condition_of_crate(unit.crate) if unit.crate else ""
        },
    )
    page = ActPage(
        title=f"{STAGES[stage]}: {unit}",
        kicker=f"PRO {unit.shipment.pro_number}",
        back=reverse("unit", args=[unit.pk]),
        back_words="Back to the machine without saving",
        template="claims/bench/inspect_unit.html",
        crumbs=[
            ("Bench", reverse("bench")),
            (str(unit), reverse("unit", args=[unit.pk])),
            (STAGES[stage], ""),
        ],
        more={
            "unit": unit,
            "refusal": why_not_inspect(subject, stage),
            "earlier": last_look(
                shipment=unit.shipment, crate=None, unit=unit, stage=stage
            ),
            "cautions": cautions_for(stage),
            "defers": DEFERS,
        },
    )

    def act() -> HttpResponse:
        record_inspection(
            person=person,
            at=now(),
            subject=subject,
            stage=stage,
            crate_condition=form.cleaned_data.get("crate_condition", ""),
            looks=form.looks_taken(),
            note=form.cleaned_data["note"],
        )
        wrong = form.not_right()
        if not wrong:
            messages.success(request, f"The look at {unit} is saved.")
            return redirect("unit", unit.pk)
        messages.success(
            request,
            f"The look is saved. Not right: {', '.join(wrong)}. "
            "Record each of them as a finding.",
        )
        record = reverse("record_finding", args=[unit.shipment_id])
        return redirect(f"{record}?unit={unit.pk}&stage={stage}")

    return answer_act(request, form, page, act)


@require_http_methods(["GET", "POST"])
def release_hold(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a held machine go on: inspected, waived in writing, or by the manager."""
    person = person_of(request)
    rows = Hold.objects.select_related(
        "unit__shipment__location", "unit__crate__delivery", "placed_by"
    )
    hold = obtain(rows, person, pk, "release-hold")
    unit = hold.unit
    form = ReleaseHoldForm(*posted(request))
    page = ActPage(
        title=f"Release the hold on {unit}",
        kicker=f"PRO {unit.shipment.pro_number}",
        lead=f"{hold.reason} Until it is released the machine is {STOPPED}.",
        back=reverse("unit", args=[unit.pk]),
        back_words="Back to the machine; the hold stands",
        crumbs=[
            ("Bench", reverse("bench")),
            (str(unit), reverse("unit", args=[unit.pk])),
            ("Release the hold", ""),
        ],
    )

    def act() -> HttpResponse:
        how = form.cleaned_data["how"]
        evidence = keep_for(
            form,
            form.cleaned_data["photos"],
            person=person,
            kind=RELEASE_KINDS[how],
            subject=Subject(unit.shipment, unit=unit),
        )
        act_release_hold(
            hold=hold,
            how=how,
            reason=form.cleaned_data["reason"],
            person=person,
            at=now(),
            evidence=evidence,
        )
        messages.success(request, f"{unit} is released. Its set-up can go on.")
        return redirect("unit", unit.pk)

    return answer_act(request, form, page, act)
