"""The lighter edition of a claim file, and the changes between two claim files."""

from datetime import date
from functools import cached_property
from typing import Any, BinaryIO
from urllib.parse import urlencode

from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from claims.actions.packet import lighter_files as acts
from claims.actions.packet.lighter_files import DrawnLighter, LighterDraft
from claims.forms.packet.files import ConfirmLighterForm, LimitForm
from claims.models import LighterFile, Packet
from claims.queries.packet.files import NotComparableError, changes_since
from claims.rules.letters.content import DRAFT
from claims.rules.packet.lighter import LIMITS, MB
from inventory.access import obtain, person_of
from inventory.actions.core.once import Answer
from inventory.actions.core.versions import RefusedError
from inventory.evidence.seal.sent_documents import LostDocumentError, last_sent_file
from inventory.evidence.store.drawn_files import NotDrawnYetError
from inventory.rules.core.sent_documents import PACKET
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at
from inventory.views.core.pdf_answers import answer_file


class MakeLighter(ActView[Packet, ConfirmLighterForm]):
    """Show a lighter edition of a claim file, and freeze what the person confirms."""

    permission = "build-packet"
    form_class = ConfirmLighterForm
    template_name = "claims/packet/lighter.html"
    title = "Make a lighter edition"
    back_words = "Back to the claim without saving"
    lead = (
        "For a claims portal with a size limit. The same pages with smaller pictures; it "
        "says which exhibits are smaller and names the full file."
    )
    why_not = ""
    drawn: DrawnLighter

    def get_queryset(self) -> QuerySet[Packet]:
        return Packet.objects.select_related("claim__location", "claim__shipment")

    def get(  # type: ignore[override]  # a file is sent piece by piece
        self, request: HttpRequest, *args: object, **kwargs: object
    ) -> HttpResponseBase:
        """Show the page; with ``pdf`` its preview, and with ``far`` how far that is."""
        if "far" in request.GET:
            return self._say_how_far()
        try:
            draft = self.draft
            if draft is None or "pdf" not in request.GET:
                return super().get(request, *args, **kwargs)
            file = acts.lighter_preview(draft, mark=DRAFT)
        except NotDrawnYetError as error:
            return self.wait(error)
        except RefusedError as error:
            messages.error(request, str(error))
            return redirect("claim", self.row.claim_id)
        return answer_file(file, f"draft-lighter-{self.row.claim.number}.pdf")

    def get_how_far(self, form: ConfirmLighterForm | None) -> str:
        asked = {"mb": form.cleaned_data["mb"] if form else self._mb(), "far": "file"}
        if form is None and "pdf" in self.request.GET:
            asked["far"] = "preview"
        return f"?{urlencode(asked)}"

    def _say_how_far(self) -> HttpResponse:
        words = None
        if self.limit.is_valid():
            of, mb = self.row, self._mb()
            words = acts.lighter_being_drawn(of, mb, self._today())
            if words is None and self.request.GET["far"] == "preview":
                words = acts.preview_being_drawn(of, mb, self._today())
        answer = render(self.request, "inventory/core/how_far.html", {"how_far": words})
        answer["Cache-Control"] = "private, no-store"
        return answer

    def _mb(self) -> int:
        return int(self.limit.cleaned_data["mb"])

    def _today(self) -> date:
        return today_at(self.row.claim.location)

    @cached_property
    def limit(self) -> LimitForm:
        """Return the limit as chosen; 5 MB where none is."""
        return LimitForm(self.request.GET if "mb" in self.request.GET else {"mb": "5"})

    @cached_property
    def draft(self) -> LighterDraft | None:
        """Return the edition as it would be; None where there is none.

        A form that was refused says why: none is drawn to be shown beside it.
        """
        if self.request.method == "POST" or not self.limit.is_valid():
            return None
        try:
            return acts.draft_lighter(
                packet=self.row, mb=self._mb(), today=self._today()
            )
        except RefusedError as error:
            self.why_not = str(error)
        return None

    def get_kicker(self) -> str:
        return f"Claim {self.row.claim.number}, version {self.row.packet_version}"

    def get_back(self) -> str:
        return reverse("claim", args=[self.row.claim_id])

    def get_crumbs(self) -> Crumbs:
        claim = f"Claim {self.row.claim.number}"
        return [("Claims", reverse("claims")), (claim, self.get_back())]

    def get_refusal(self) -> str:
        if not self.limit.is_valid():
            return "Choose a limit below."
        return "" if self.draft else self.why_not

    def get_initial(self) -> dict[str, Any]:
        draft = self.draft if self.request.method == "GET" else None
        seen = {"mb": draft.limit // MB, "digest": draft.digest} if draft else {}
        return super().get_initial() | seen

    def get_context_data(self, **more: object) -> dict[str, Any]:
        mine = {"draft": self.draft, "limit": self.limit, "limits": LIMITS}
        return super().get_context_data(**mine, **more)

    def prepare(self, form: ConfirmLighterForm) -> None:
        data = form.cleaned_data
        draft = acts.draft_lighter(packet=self.row, mb=data["mb"], today=self._today())
        self.drawn = acts.confirm_drawn(draft, seen=data["digest"])

    def act(self, _form: ConfirmLighterForm) -> Answer:
        made = acts.freeze_lighter(drawn=self.drawn, person=self.person, at=now())
        return self.done("Lighter edition made.", row=made)


@require_safe
def lighter_file(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Send a lighter edition, byte for byte as it was made."""
    rows = LighterFile.objects.select_related("packet__claim")
    row = obtain(rows, person_of(request), pk, "see-claims")
    packet = row.packet
    try:
        file = _file_of(row)
    except LostDocumentError as error:
        messages.error(request, str(error))
        return redirect("claim", packet.claim_id)
    name = f"claim-{packet.claim.number}-packet-{packet.packet_version}-lighter.pdf"
    return answer_file(file, name, disposition="attachment")


def _file_of(row: LighterFile) -> BinaryIO:
    file = last_sent_file(row, PACKET)
    if file is None:
        raise LostDocumentError("The kept file of this lighter edition is missing.")
    return file


@require_safe
def packet_changes(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what changed from an earlier claim file of the claim to this one."""
    rows = Packet.objects.select_related("claim__location")
    row = obtain(rows, person_of(request), pk, "see-claims")
    claim = row.claim
    others = claim.packets.filter(packet_version__lt=row.packet_version).defer(
        "content"
    )
    asked = request.GET.get("since", "")
    known = {str(one.packet_version): one for one in others}
    before = known.get(asked) or others.order_by("-packet_version").first()
    if before is None:
        messages.error(request, "This is the first claim file: nothing to compare.")
        return redirect("claim", claim.pk)
    try:
        changes = changes_since(before, row)
    except NotComparableError as error:
        messages.error(request, str(error))
        return redirect("claim", claim.pk)
    context = {
        "packet": row,
        "before": before,
        "others": others,
        "changes": changes,
        "crumbs": [
            ("Claims", reverse("claims")),
            (f"Claim {claim.number}", reverse("claim", args=[claim.pk])),
            ("What changed", ""),
        ],
    }
    return render(request, "claims/packet/changes.html", context)
