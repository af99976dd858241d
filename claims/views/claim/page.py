"""The claim's own page and its packets."""

from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from claims.actions.packet import packets
from claims.actions.packet.packets import ChangedPacketError, packet_bytes
from claims.models import Claim, Packet
from claims.queries.claim.page import claim_page
from inventory.access import may, obtain, person_of
from inventory.actions.core.versions import RefusedError
from inventory.views.core.clock import now, today_at


def _claims() -> QuerySet[Claim]:
    return Claim.objects.select_related(
        "location",
        "shipment__carrier",
        "shipment__supplier",
        "shipment__location",
        "receipt_proof",
        "made_by",
    ).prefetch_related("lines")


@require_safe
def claim(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a claim: clocks, worksheet, claimant, proof, story, packets, acts."""
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


@require_POST
def build_packet(request: HttpRequest, pk: int) -> HttpResponse:
    """Freeze the claim's next packet."""
    person = person_of(request)
    row = obtain(_claims(), person, pk, "build-packet")
    try:
        made = packets.build_packet(
            claim=row, person=person, at=now(), today=today_at(row.location)
        )
    except RefusedError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"Packet {made.packet_version} is made and frozen.")
    return redirect("claim", row.pk)


@require_safe
def packet(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a packet's file, made again from its frozen content where missing."""
    rows = Packet.objects.select_related("claim")
    row = obtain(rows, person_of(request), pk, "see-claims")
    try:
        data = packet_bytes(row)
    except ChangedPacketError as error:
        messages.error(request, str(error))
        return redirect("claim", row.claim_id)
    answer = HttpResponse(data, content_type="application/pdf")
    name = f"claim-{row.claim.number}-packet-{row.packet_version}.pdf"
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    answer["Cache-Control"] = "private, no-store"
    return answer
