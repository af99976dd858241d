"""Making a claim file, and what goes to the carrier with it."""

from functools import cached_property
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_safe

from claims.actions.claim.steps import Step
from claims.actions.packet import drawing, packets
from claims.actions.packet.packets import Confirmed, Draft, DrawnPacket, packet_file
from claims.forms.packet.files import ConfirmForm
from claims.models import Packet
from claims.queries.packet.files import checker_of, files_of
from claims.rules.packet.manifest import CHECKER_NAME
from claims.rules.packet.originals import HERE, camera_words
from claims.views.core.claim_act import OneClaimAct
from inventory.access import obtain, person_of
from inventory.actions.core.once import Answer
from inventory.actions.core.versions import RefusedError
from inventory.evidence.seal.sent_documents import LostDocumentError
from inventory.evidence.store.originals_zip import zip_pieces
from inventory.views.core.clock import now, today_at
from inventory.views.core.pdf_answers import answer_file

NO_LIST = (
    "This claim file was made before lists of originals were added, or lists none. "
    "Nothing is lost. Make the next claim file; it has one."
)


STAY = (
    "The originals of this claim file stay here: {person} chose so when confirming it. "
    "Nothing was sent. To send them, make the next claim file and choose so."
)

HAND_OVER = "Make the hand-over"


class BuildPacket(OneClaimAct[ConfirmForm]):
    """Show what would go out, and freeze what the person confirms."""

    permission = "build-packet"
    form_class = ConfirmForm
    template_name = "claims/packet/confirm.html"
    drawn: DrawnPacket

    def get_title(self) -> str:
        return "Make the claim file" if self.row.claimant == "us" else HAND_OVER

    def get_lead(self) -> str:
        return (
            "Read the preview. What you confirm is frozen, with your name. To email it "
            "from here, write its cover mail under Letters afterwards."
        )

    @cached_property
    def draft(self) -> Draft | None:
        """Return the file as it is now; None where there is nothing to draft."""
        try:
            return packets.draft_packet(claim=self.row, step=self._now())
        except RefusedError as error:
            self.why_not = str(error)
            return None

    why_not = ""

    def _now(self) -> Step:
        today = today_at(self.row.location)
        version = self.row.version
        return Step(person=self.person, at=now(), today=today, version=version)

    def get_refusal(self) -> str:
        draft = self.draft
        return " ".join(draft.blocks) if draft else self.why_not

    def get_form(self, form_class: Any = None) -> ConfirmForm:  # noqa: ANN401 - Django's
        form = super().get_form(form_class)
        if self.row.claimant != "us":
            form.act = "Confirm and make the hand-over"
        return form

    def get_initial(self) -> dict[str, Any]:
        draft = self.draft if self.request.method == "GET" else None
        seen = {"size": draft.tree.size, "digest": draft.digest} if draft else {}
        return super().get_initial() | seen

    def form_invalid(self, form: ConfirmForm) -> HttpResponse:
        """Show the claim file as it is now, to be read and confirmed again."""
        if self.draft:
            form.take_seen(self.draft.tree.size, self.draft.digest)
        return super().form_invalid(form)

    def get_context_data(self, **more: object) -> dict[str, Any]:
        camera = camera_words(self.draft.camera) if self.draft else ""
        return super().get_context_data(draft=self.draft, camera=camera, **more)

    def _seen(self, form: ConfirmForm) -> Confirmed:
        data = form.cleaned_data
        return Confirmed(data["size"], data["digest"], data["originals"])

    def prepare(self, form: ConfirmForm) -> None:
        self.drawn = packets.draw_packet(
            claim=self.row, step=self.step(form), seen=self._seen(form)
        )

    def get_how_far(self, form: ConfirmForm | None) -> str:
        digest = form.cleaned_data["digest"] if form else ""
        return f"{reverse('packet_being_confirmed', args=[self.row.pk])}?file={digest}"

    def follow_up(self, form: ConfirmForm, answer: Answer) -> None:
        if form.is_valid():
            drawing.forget_confirmed(self.row.pk, form.cleaned_data["digest"])

    def act(self, form: ConfirmForm) -> Answer:
        made = packets.freeze_packet(self.drawn)
        name = "Claim file" if self.row.claimant == "us" else "Hand-over"
        return self.done(f"{name}, version {made.packet_version}, made.", row=made)


def _packet(request: HttpRequest, pk: int) -> Packet:
    rows = Packet.objects.select_related("claim", "made_by")
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
        file = packet_file(row)
    except LostDocumentError as error:
        messages.error(request, str(error))
        return redirect("claim", row.claim_id)
    name = f"claim-{row.claim.number}-packet-{row.packet_version}.pdf"
    return answer_file(file, name, disposition="attachment")


@require_safe
def packet_originals(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Send the claim file's originals with list and program, as one archive."""
    row = _packet(request, pk)
    if row.originals == HERE:
        messages.error(request, STAY.format(person=row.made_by))
        return redirect("claim", row.claim_id)
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
