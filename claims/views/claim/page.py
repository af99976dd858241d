"""The page of one claim."""

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from claims.models import Claim
from claims.queries.claim.addressee import addressee_panel
from claims.queries.claim.offers import judged_of
from claims.queries.claim.page import ClaimPage, claim_page
from claims.queries.claim.paper_tasks import PaperTaskRow, tasks_of
from claims.queries.claim.progress import told_of
from claims.queries.core.parties import PARTIES_OF_CLAIM
from claims.queries.core.payments import payments_prefetch
from claims.queries.desk.staff import Staff
from claims.rules.claim.proof import Paper
from claims.rules.claim.todo import Who
from claims.views.claim.claim_acts import acts_of
from inventory.access import may, obtain, person_of
from inventory.rules.core.roles import MANAGER
from inventory.views.core.clock import today_at

MissingPaper = tuple[Paper, PaperTaskRow | None, Who | None]
"""A missing document, what was said of it, and whose it is."""

RIGHTS = (
    "make-claim",
    "build-packet",
    "record-payment",
    "settle-claim",
    "give-paper",
)


def _claims() -> QuerySet[Claim]:
    return Claim.objects.select_related(
        "location",
        *PARTIES_OF_CLAIM,
        "shipment__supplier",
        "shipment__location",
        "receipt_proof",
        "made_by",
    ).prefetch_related("lines", "letters", payments_prefetch())


def _missing(page: ClaimPage, staff: Staff) -> list[MissingPaper]:
    """Return each missing document with who gets it, if anyone; none where it is over."""
    if page.is_over:
        return []
    tasks = tasks_of(page.claim, page.today)
    found = [(paper, tasks.get(paper.key)) for paper in page.proof.missing]
    return [
        (paper, task, staff.person_named(task.who) if task else None)
        for paper, task in found
    ]


@require_safe
def claim(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a claim: deadlines, worksheet, claimant, proof, history, files, acts."""
    person = person_of(request)
    row = obtain(_claims(), person, pk, "see-claims")
    page = claim_page(row, today_at(row.location))
    rights = {act for act in RIGHTS if may(person, row.location_id, act)}
    staff = Staff.of([row.location_id], person)
    context = {
        "claim": row,
        "page": page,
        "told": told_of(row),
        "acts": acts_of(row, page, rights),
        "addressee": addressee_panel(row),
        "missing": _missing(page, staff),
        "may_give": "give-paper" in rights and "give-paper" in page.acts,
        "judged": judged_of(page, today_at(row.location)),
        "may_settle": "settle-claim" in rights,
        "may_act": "make-claim" in rights,
        "may_build": "build-packet" in rights,
        "may_pay": "record-payment" in rights and "reverse-payment" in page.acts,
        "may_decide": "settle-claim" in rights and "decide-payment" in page.acts,
        "who": staff.who(row.location_id, MANAGER, row.made_by_id),
    }
    return render(request, "claims/claim/claim.html", context)
