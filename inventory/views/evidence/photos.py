"""Photos and documents: one with its facts, its renditions, its original."""

from uuid import UUID

from django.http import (
    Http404,
    HttpRequest,
    HttpResponse,
    HttpResponseBase,
    HttpResponseNotModified,
    StreamingHttpResponse,
)
from django.shortcuts import render
from django.views.decorators.http import require_safe

from inventory.access import may, obtain, person_of
from inventory.evidence.pictures import renditions
from inventory.evidence.pictures.drawn import data_to_show, picture_to_show
from inventory.evidence.store import originals as store
from inventory.models import Crate, Delivery, Evidence, Shipment, Unit
from inventory.queries.evidence.photos import withheld_by, words_on
from inventory.views.core.clock import truck_name
from inventory.views.evidence.readings import stand_in, waits_for_reader
from inventory.views.evidence.withholding import gone

About = dict[str, Delivery | Shipment | Crate | Unit | None]
"""What a photo belongs to, by noun."""

_SUFFIX = {
    "image/jpeg": "jpg",
    "image/png": "png",
    "image/webp": "webp",
    "image/heic": "heic",
    "application/pdf": "pdf",
}


@require_safe
def evidence(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Show one photo or document with its hash, when it was received and its camera data."""
    person = person_of(request)
    rows = Evidence.everything.select_related(
        "original",
        "delivery__carrier",
        "delivery__location",
        "shipment",
        "crate",
        "unit",
        "recorded_by",
        "location",
    ).prefetch_related("markups__said_by", "readings")
    row = obtain(rows, person, pk, "see")
    words = words_on(row)
    withheld = words[-1] if words and words[-1].is_withheld else None
    is_awaited = not withheld and waits_for_reader(row)
    shown = row.is_picture and not withheld and not is_awaited
    context = {
        "evidence": row,
        "truck": truck_name(row.delivery) if row.delivery else "",
        "seen": row.seen,
        "is_awaited": is_awaited,
        "picture": picture_to_show(row) if shown else None,
        "markup": row.last_markup,
        "words": words,
        "withheld": withheld,
        "may_mark": may(person, row.location_id, "add-evidence"),
        "may_withhold": may(person, row.location_id, "withhold-evidence"),
    }
    return render(request, "inventory/evidence/evidence.html", context)


@require_safe
def photo(request: HttpRequest, pk: UUID, size: int) -> HttpResponse:
    """Send a rendition: upright, without EXIF, made again if missing or changed."""
    if size not in renditions.SIZES:
        raise Http404
    rows = Evidence.everything.select_related("original").prefetch_related("readings")
    row = obtain(rows, person_of(request), pk, "see")
    if word := withheld_by(row):
        return gone(request, word)
    if waits_for_reader(row):
        return stand_in()
    # The browser asks each time, so that a photo just withheld is not shown.
    tag = f'"{row.original_id[:32]}-{size}"'
    answer: HttpResponse = HttpResponseNotModified()
    if request.headers.get("If-None-Match") != tag:
        data = data_to_show(row, size)
        if data is None:
            raise Http404
        answer = HttpResponse(data, content_type="image/jpeg")
    answer["Cache-Control"] = "private, no-cache"
    answer["ETag"] = tag
    return answer


@require_safe
def original(request: HttpRequest, pk: UUID) -> HttpResponseBase:
    """Send the original bytes, as an attachment named by their hash."""
    rows = Evidence.everything.select_related("original")
    row = obtain(rows, person_of(request), pk, "see")
    if word := withheld_by(row):
        return gone(request, word)
    if not store.exists(row.original_id):
        raise Http404
    answer = StreamingHttpResponse(
        store.read_original(row.original_id), content_type=row.original.media_type
    )
    name = f"{row.original_id[:16]}.{_SUFFIX[row.original.media_type]}"
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    answer["Content-Length"] = str(row.original.size)
    answer["Content-Security-Policy"] = "sandbox; default-src 'none'"
    return answer
