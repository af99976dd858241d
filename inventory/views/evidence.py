"""Photos and documents: taking them in, showing them, giving originals back."""

from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import BadRequest
from django.db.models import QuerySet
from django.http import (
    FileResponse,
    Http404,
    HttpRequest,
    HttpResponse,
    HttpResponseBase,
    HttpResponseNotModified,
    JsonResponse,
    StreamingHttpResponse,
)
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods, require_safe

from inventory.access import may, obtain, person_of
from inventory.actions.evidence import BadUploadError, keep_evidence
from inventory.evidence import renditions, store
from inventory.forms.evidence import EvidenceForm
from inventory.models import Crate, Delivery, Evidence, Shipment, Unit, User
from inventory.queries.evidence import withheld_by, words_on
from inventory.rules import vocabulary
from inventory.views.clock import now
from inventory.views.refusals import put_refusal, status_of
from inventory.views.withholding import gone

About = dict[str, Delivery | Shipment | Crate | Unit | None]
"""What a photo belongs to, by noun."""

_SUFFIX = {
    "image/jpeg": "jpg",
    "image/png": "png",
    "image/webp": "webp",
    "image/heic": "heic",
    "application/pdf": "pdf",
}


@require_http_methods(["GET", "POST"])
def add_evidence(request: HttpRequest) -> HttpResponse:
    """Take in photos or a document for the delivery or freight bill named."""
    person = person_of(request)
    about = _about(request, person)
    form = EvidenceForm(
        request.POST or None,
        request.FILES or None,
        initial={"kind": _kind(request.GET.get("kind", ""))},
    )
    status = 200
    if request.method == "POST":
        if form.is_valid():
            answer = _keep_all(request, form, person, about)
            if answer is not None:
                return answer
        status = status_of(form) if request.FILES else 400
    context = {
        "form": form,
        "about": [row for row in about.values() if row is not None],
        "back": _next(request, about),
    }
    return render(request, "inventory/add_evidence.html", context, status=status)


def _keep_all(
    request: HttpRequest,
    form: EvidenceForm,
    person: User,
    about: About,
) -> HttpResponse | None:
    files = form.cleaned_data["photos"]
    kept = []
    for upload, client_id in zip(files, form.upload_ids(len(files)), strict=True):
        try:
            kept.append(
                keep_evidence(
                    person=person,
                    at=now(),
                    upload=upload,
                    client_id=client_id,
                    kind=form.cleaned_data["kind"],
                    caption=form.cleaned_data["caption"],
                    **about,  # type: ignore[arg-type]
                )
            )
        except BadUploadError as error:
            before = f" {len(kept)} before it were kept." if kept else ""
            put_refusal(form, "photos", error, f"{upload.name}: {error}{before}")
            return None
    for one in kept:
        for remark in one.remarks:
            messages.warning(request, remark)
    messages.success(
        request, f"{len(kept)} kept." if len(kept) > 1 else "The photo is kept."
    )
    if request.headers.get("Accept") == "application/json":
        return JsonResponse(
            {
                "kept": [
                    {"id": str(k.evidence.pk), "sha256": k.evidence.original_id}
                    for k in kept
                ]
            },
            status=201 if any(k.was_new for k in kept) else 200,
        )
    return redirect(_next(request, about))


def _kind(text: str) -> str:
    return text if text in vocabulary.EVIDENCE_KINDS else "look"


def _about(request: HttpRequest, person: User) -> About:
    """Return the rows the photos belong to, each through its gate."""
    asked = request.GET
    sources: dict[str, QuerySet[Any]] = {
        "delivery": Delivery.objects.select_related("location"),
        "shipment": Shipment.objects.select_related("location"),
        "crate": Crate.objects.select_related("shipment__location", "delivery"),
        "unit": Unit.objects.select_related("shipment__location"),
    }
    about: About = dict.fromkeys(sources)
    for name, rows in sources.items():
        if key := asked.get(name):
            about[name] = obtain(rows, person, key, "add-evidence")
    return _completed(about)


def _completed(
    about: About,
) -> About:
    """Fill in the freight bill and truck that a crate or machine belongs to."""
    crate, unit = about["crate"], about["unit"]
    for inner in (crate, unit):
        if isinstance(inner, Crate | Unit):
            if about["shipment"] not in {None, inner.shipment}:
                raise BadRequest("The crate or machine is not of that freight bill.")
            about["shipment"] = inner.shipment
    if isinstance(crate, Crate) and about["delivery"] is None:
        about["delivery"] = crate.delivery
    if about["delivery"] is None and about["shipment"] is None:
        raise Http404
    _same_location(about)
    return about


def _same_location(
    about: About,
) -> None:
    delivery, shipment = about["delivery"], about["shipment"]
    if (
        isinstance(delivery, Delivery)
        and isinstance(shipment, Shipment)
        and not shipment.handovers.filter(delivery=delivery).exists()
    ):
        raise BadRequest("That freight bill did not come on that truck.")


def _next(request: HttpRequest, about: About) -> str:
    asked = request.GET.get("next", "")
    if asked and url_has_allowed_host_and_scheme(asked, {request.get_host()}):
        return asked
    for name in ("unit", "shipment", "delivery"):
        row = about[name]
        if row is not None:
            return reverse(name, args=[row.pk])
    return reverse("home")


@require_safe
def evidence(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Show one photo or document with its hash, our clock and the camera's."""
    person = person_of(request)
    rows = Evidence.everything.select_related(
        "original", "delivery", "shipment", "crate", "unit", "recorded_by", "location"
    )
    row = obtain(rows, person, pk, "see")
    words = words_on(row)
    context = {
        "evidence": row,
        "words": words,
        "withheld": words[-1] if words and words[-1].is_withheld else None,
        "may_withhold": may(person, row.location_id, "withhold-evidence"),
    }
    return render(request, "inventory/evidence.html", context)


@require_safe
def photo(request: HttpRequest, pk: UUID, size: int) -> HttpResponseBase:
    """Send a rendition: upright, without EXIF, made again if it is missing."""
    if size not in renditions.SIZES:
        raise Http404
    row = obtain(Evidence.everything.all(), person_of(request), pk, "see")
    if word := withheld_by(row):
        return gone(request, word)
    path = renditions.ensure_rendition(row.original_id, size)
    if path is None:
        raise Http404
    # Asked for anew each time: a photo withheld a moment ago is not shown again.
    tag = f'"{row.original_id[:32]}-{size}"'
    answer: HttpResponseBase
    if request.headers.get("If-None-Match") == tag:
        answer = HttpResponseNotModified()
    else:
        answer = FileResponse(path.open("rb"), content_type="image/jpeg")
    answer["Cache-Control"] = "private, no-cache"
    answer["ETag"] = tag
    return answer


@require_safe
def original(request: HttpRequest, pk: UUID) -> HttpResponseBase:
    """Send the original bytes, as an attachment under a name of our own."""
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


def add_evidence_url(**about: object) -> str:
    """Return the address at which photos for these rows are taken in."""
    return f"{reverse('add_evidence')}?{urlencode(about)}"
