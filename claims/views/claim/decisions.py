"""What the manager decides beside the rules: papers not needed, our own dates."""

from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from claims.actions.claim import decisions
from claims.actions.claim.decisions import PAPER_LABELS
from claims.actions.claim.steps import Step
from claims.actions.core import deadlines
from claims.forms.claim.steps import OverrideForm, PaperForm
from claims.models import Claim, Deadline
from claims.queries.core.labels import duty_label
from claims.views.core.act_page import ActPage, answer_act, claim_act_page, posted
from inventory.access import obtain, person_of
from inventory.views.core.clock import now, today_at


def _claims() -> QuerySet[Claim]:
    return Claim.objects.select_related(
        "location", "shipment__carrier", "shipment__location"
    ).prefetch_related("lines")


@require_http_methods(["GET", "POST"])
def decide_paper(request: HttpRequest, pk: int, paper: str) -> HttpResponse:
    """Say that this claim does not need a paper."""
    person = person_of(request)
    claim = obtain(_claims(), person, pk, "decide")
    if paper not in PAPER_LABELS:
        raise Http404
    form = PaperForm(posted(request))

    def act() -> str:
        step = Step(
            person=person,
            at=now(),
            today=today_at(claim.location),
            version=claim.version,
            reason=form.cleaned_data["reason"],
        )
        decisions.decide_paper(claim=claim, paper=paper, step=step)
        return f"{PAPER_LABELS[paper]}: not needed, with the reason."

    lead = f"{PAPER_LABELS[paper]}. The reason is printed in the packet."
    page = claim_act_page(claim, "A paper that is not needed", lead)
    return answer_act(request, form, page, act)


@require_http_methods(["GET", "POST"])
def override_deadline(request: HttpRequest, pk: int) -> HttpResponse:
    """Set our own date for a duty, beside the counted one."""
    person = person_of(request)
    rows = Deadline.objects.select_related(
        "location", "shipment__carrier", "claim", "delivery"
    )
    row = obtain(rows, person, pk, "decide")
    form = OverrideForm(posted(request))

    def act() -> str:
        deadlines.override_deadline(
            deadline=row,
            due=form.cleaned_data["due"],
            reason=form.cleaned_data["reason"],
            person=person,
            at=now(),
        )
        return f"{duty_label(row.duty)}: our own date stands beside the counted one."

    back = (
        reverse("claim", args=[row.claim_id])
        if row.claim_id
        else reverse("shipment", args=[row.shipment_id])
    )
    facts = (
        ("PRO", row.shipment.pro_number),
        ("Counted", f"{row.due:%Y-%m-%d}"),
        ("Safe", f"{row.safe:%Y-%m-%d}"),
        ("Authority", row.authority),
    )
    page = ActPage(
        title="Set our own date",
        back=back,
        back_words="Back without saving",
        kicker=duty_label(row.duty),
        lead="The counted date stays on the page. Ours counts on the desks only where "
        "it is the earlier one: nobody can make a clock longer.",
        template="claims/core/act.html",
        crumbs=[("Claims", reverse("claims")), ("Set our own date", "")],
        more={"facts": facts},
    )
    return answer_act(request, form, page, act)
