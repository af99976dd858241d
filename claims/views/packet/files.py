"""Making a claim file, and what goes to the carrier with it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.views.decorators.http import require_safe

from claims.actions.packet import packets
from claims.actions.packet.packets import DrawnPacket, packet_bytes
from claims.forms.claim.steps import PacketForm
from claims.models import Packet
from claims.queries.packet.files import checker_of, files_of
from claims.rules.packet.manifest import CHECKER_NAME
from claims.views.core.claim_act import OneClaimAct
from inventory.access import obtain, person_of
from inventory.actions.core.once import Answer
from inventory.evidence.seal.sent_documents import LostDocumentError
from inventory.evidence.store.originals_zip import zip_pieces

NO_LIST = (
    "This claim file was made before lists of originals were added, or lists none. "
    "Nothing is lost. Make the next claim file; it has one."
)


class BuildPacket(OneClaimAct[PacketForm]):
    """Freeze the claim's next claim file."""

    permission = "build-packet"
    form_class = PacketForm
    title = "Make the claim file"
    lead = (
        "The claim file is the whole claim as a PDF, frozen as it is today. Send it to "
        "the carrier yourself: the program sends nothing."
    )
    drawn: DrawnPacket

    def prepare(self, form: PacketForm) -> None:
        self.drawn = packets.draw_packet(claim=self.row, step=self.step(form))

    def act(self, form: PacketForm) -> Answer:
        made = packets.freeze_packet(self.drawn)
        return self.done(f"Claim file, version {made.packet_version}, made.", row=made)


def _packet(request: HttpRequest, pk: int) -> Packet:
    rows = Packet.objects.select_related("claim")
    return obtain(rows, person_of(request), pk, "see-claims")


def _download(answer: HttpResponseBase, name: str) -> HttpResponseBase:
    """Return the answer as a file to save, that no cache keeps."""
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    answer["Cache-Control"] = "private, no-store"
    return answer


@require_safe
def packet(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Send the PDF of a claim file, byte for byte as it was made."""
    row = _packet(request, pk)
    try:
        data = packet_bytes(row)
    except LostDocumentError as error:
        messages.error(request, str(error))
        return redirect("claim", row.claim_id)
    answer = HttpResponse(data, content_type="application/pdf")
    return _download(
        answer, f"claim-{row.claim.number}-packet-{row.packet_version}.pdf"
    )


@require_safe
def packet_originals(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Send the claim file's originals with list and program, as one archive."""
    row = _packet(request, pk)
    files = files_of(row)
    if files is None:
        messages.error(request, NO_LIST)
        return redirect("claim", row.claim_id)
    if files.missing:
        messages.error(
            request,
            f"The saved file of original {', '.join(files.missing)} is missing. No "
            "archive was made. Ask your administrator for a backup.",
        )
        return redirect("claim", row.claim_id)
    answer = StreamingHttpResponse(
        zip_pieces(files.texts, files.originals), content_type="application/zip"
    )
    name = f"claim-{row.claim.number}-packet-{row.packet_version}-originals.zip"
    return _download(answer, name)


@require_safe
def packet_checker(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Send the program that checks this claim file, as it was frozen with it."""
    row = _packet(request, pk)
    text = checker_of(row)
    if not text:
        messages.error(request, NO_LIST)
        return redirect("claim", row.claim_id)
    answer = HttpResponse(text, content_type="text/x-python; charset=utf-8")
    return _download(answer, CHECKER_NAME)
