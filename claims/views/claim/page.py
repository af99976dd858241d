"""The page of one claim."""

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from claims.models import Claim
from claims.queries.claim.page import claim_page
from inventory.access import may, obtain, person_of
from inventory.views.core.clock import today_at


def _claims() -> QuerySet[Claim]:
    return Claim.objects.select_related(
        "location",
        "shipment__carrier",
        "shipment__supplier",
        "shipment__location",
        "receipt_proof",
        "made_by",
    ).prefetch_related("lines", "letters")


@require_safe
def claim(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a claim: deadlines, worksheet, claimant, proof, history, files, acts."""
    person = person_of(request)
    row = obtain(_claims(), person, pk, "see-claims")
    context = {
        "claim": row,
        "page": claim_page(row, today_at(row.location)),
        "may_act": may(person, row.location_id, "make-claim"),
        "may_build": may(person, row.location_id, "build-packet"),
        "crumbs": [("Claims", reverse("claims")), (f"Claim {row.number}", "")],
    }
    return render(request, "claims/claim/claim.html", context)
