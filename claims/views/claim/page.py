"""The page of one claim."""

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from claims.models import Claim
from claims.queries.claim.page import claim_page
from claims.queries.core.payments import payments_prefetch
from claims.views.claim.claim_acts import acts_of
from inventory.access import may, obtain, person_of
from inventory.views.core.clock import today_at

RIGHTS = ("make-claim", "build-packet", "record-payment", "settle-claim")


def _claims() -> QuerySet[Claim]:
    return Claim.objects.select_related(
        "location",
        "shipment__carrier",
        "shipment__supplier",
        "shipment__location",
        "receipt_proof",
        "made_by",
    ).prefetch_related("lines", "letters", payments_prefetch())


@require_safe
def claim(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a claim: deadlines, worksheet, claimant, proof, history, files, acts."""
    person = person_of(request)
    row = obtain(_claims(), person, pk, "see-claims")
    page = claim_page(row, today_at(row.location))
    rights = {act for act in RIGHTS if may(person, row.location_id, act)}
    context = {
        "claim": row,
        "page": page,
        "acts": acts_of(row, page, rights),
        "may_act": "make-claim" in rights,
        "may_build": "build-packet" in rights,
        "may_pay": "record-payment" in rights and "reverse-payment" in page.acts,
        "may_decide": "settle-claim" in rights and "decide-payment" in page.acts,
        "crumbs": [("Claims", reverse("claims")), (f"Claim {row.number}", "")],
    }
    return render(request, "claims/claim/claim.html", context)
