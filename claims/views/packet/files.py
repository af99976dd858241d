"""What is handed over beside a packet: its originals and the program that checks."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.views.decorators.http import require_safe

from claims.models import Packet
from claims.queries.packet.files import checker_of, files_of
from claims.rules.packet.manifest import CHECKER_NAME
from inventory.access import obtain, person_of
from inventory.evidence.store.originals_zip import zip_pieces

NO_LIST = (
    "This packet was made before lists of originals were attached, or lists none. "
    "Nothing is lost. Build the next packet; it has one."
)


def _packet(request: HttpRequest, pk: int) -> Packet:
    rows = Packet.objects.select_related("claim")
    return obtain(rows, person_of(request), pk, "see-claims")


@require_safe
def packet_originals(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Send the packet's originals with list and program, as one archive."""
    packet = _packet(request, pk)
    files = files_of(packet)
    if files is None:
        messages.error(request, NO_LIST)
        return redirect("claim", packet.claim_id)
    if files.missing:
        messages.error(
            request,
            f"Original {', '.join(files.missing)} of this packet is not where it was "
            "kept, so no archive was made. Ask your administrator for a backup.",
        )
        return redirect("claim", packet.claim_id)
    answer = StreamingHttpResponse(
        zip_pieces(files.texts, files.originals), content_type="application/zip"
    )
    name = f"claim-{packet.claim.number}-packet-{packet.packet_version}-originals.zip"
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    answer["Cache-Control"] = "private, no-store"
    return answer


@require_safe
def packet_checker(request: HttpRequest, pk: int) -> HttpResponse:
    """Send the program that checks this packet, as it was frozen with it."""
    packet = _packet(request, pk)
    text = checker_of(packet)
    if not text:
        messages.error(request, NO_LIST)
        return redirect("claim", packet.claim_id)
    answer = HttpResponse(text, content_type="text/x-python; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{CHECKER_NAME}"'
    answer["Cache-Control"] = "private, no-store"
    return answer
