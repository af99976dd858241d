"""The preview of a claim file: drawn once into a file, with a page while it takes long."""

import re
from typing import BinaryIO
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from claims.actions.claim.steps import Step
from claims.actions.packet import drawing, packets
from claims.actions.packet.packets import Draft
from claims.models import Claim
from claims.rules.letters.content import DRAFT
from inventory.access import obtain, person_of
from inventory.actions.core.versions import RefusedError
from inventory.evidence.store.drawn_files import NotDrawnYetError
from inventory.views.core.clock import now, today_at
from inventory.views.core.pdf_answers import answer_file

_DIGEST = re.compile(r"[0-9a-f]{64}", re.ASCII)


@require_safe
def packet_preview(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Send the claim file as it would be now, marked as a draft on every page.

    ``file`` names one that was drawn just now. Where drawing takes longer than a
    moment, lead to the page that says how far it is.
    """
    person = person_of(request)
    row = obtain(Claim.objects.all(), person, pk, "build-packet")
    if file := drawing.finished_preview(row.pk, _file_asked(request)):
        return _answer(file, row)
    step = Step(
        person=person, at=now(), today=today_at(row.location), version=row.version
    )
    events = _events_asked(request)
    known = int(events) if events else None
    try:
        draft = packets.draft_packet(claim=row, step=step, size=known)
        return _drawn(draft, events)
    except RefusedError as error:
        messages.error(request, str(error))
        return redirect("claim", row.pk)


def _drawn(draft: Draft, events: str) -> HttpResponseBase:
    row = draft.claim
    try:
        file = drawing.preview(row.pk, draft.content, draft.digest, mark=DRAFT)
    except NotDrawnYetError:
        address = reverse("packet_drawing", args=[row.pk])
        return redirect(_with(address, events, draft.digest))
    return _answer(file, row)


@never_cache
@require_safe
def packet_drawing(request: HttpRequest, pk: int) -> HttpResponse:
    """Say how far a preview is; in the end, link to it."""
    rows = Claim.objects.select_related("location")
    row = obtain(rows, person_of(request), pk, "build-packet")
    events, digest = _events_asked(request), _file_asked(request)
    # Asked in this order: one that is finished between the two is not taken for stopped.
    how_far = drawing.preview_being_drawn(row.pk, digest)
    if file := drawing.finished_preview(row.pk, digest):
        file.close()
    preview = reverse("packet_preview", args=[row.pk])
    context = {
        "claim": row,
        "is_drawn": file is not None,
        "how_far": how_far,
        "preview": _with(preview, events, digest if file else ""),
        "crumbs": [
            ("Claims", reverse("claims")),
            (f"Claim {row.number}", reverse("claim", args=[row.pk])),
            ("Claim file", reverse("build_packet", args=[row.pk])),
            ("Preview", ""),
        ],
    }
    return render(request, "claims/packet/drawing.html", context)


@never_cache
@require_safe
def packet_being_confirmed(request: HttpRequest, pk: int) -> HttpResponse:
    """Say how far the PDF is that is being confirmed, to the page that waits for it."""
    row = obtain(Claim.objects.all(), person_of(request), pk, "build-packet")
    words = drawing.confirmed_being_drawn(row.pk, _file_asked(request))
    return render(request, "inventory/core/how_far.html", {"how_far": words})


def _answer(file: BinaryIO, row: Claim) -> HttpResponseBase:
    return answer_file(file, f"draft-{row.number}.pdf")


def _events_asked(request: HttpRequest) -> str:
    size = request.GET.get("events", "")
    return size if size.isascii() and size.isdigit() and len(size) < 10 else ""


def _file_asked(request: HttpRequest) -> str:
    digest = request.GET.get("file", "")
    return digest if _DIGEST.fullmatch(digest) else ""


def _with(address: str, events: str, digest: str) -> str:
    asked = {"events": events, "file": digest}
    words = urlencode({name: value for name, value in asked.items() if value})
    return f"{address}?{words}" if words else address
