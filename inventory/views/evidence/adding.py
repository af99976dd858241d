"""Adding photos and documents: saved at once, answered with their SHA-256."""

from pathlib import Path

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods

from inventory.access import person_of
from inventory.actions.evidence.keeping import Kept
from inventory.actions.evidence.photo_facts import About as Subjects
from inventory.actions.evidence.uploads import Uploads, keep_named_uploads
from inventory.addresses import HOME, address_at, address_of
from inventory.evidence.store.folder_home import share_used
from inventory.forms.evidence.photos import EvidenceForm
from inventory.models import Crate, User
from inventory.rules.core import vocabulary
from inventory.views.core.clock import name_of, now
from inventory.views.core.ways import go_to
from inventory.views.evidence.subjects import About, completed, rows_asked

GETTING_FULL = 0.8
"""The share of the disk from which everyone who adds photos is warned."""


@require_http_methods(["GET", "POST"])
def add_evidence(request: HttpRequest) -> HttpResponse:
    """Add photos or a document to the truck, freight bill or return named.

    A program that asks for JSON gets the id and the SHA-256 of each file.
    """
    person = person_of(request)
    about = completed(rows_asked(request.GET, person))
    is_sent = request.method == "POST"
    form = EvidenceForm(
        request.POST if is_sent else None,
        request.FILES if is_sent else None,
        initial={"kind": _kind(request.GET.get("kind", ""))},
    )
    done = Uploads()
    status = 200
    if is_sent:
        done, status = _keep_all(form, person, about)
        if status < 300:
            return _done(request, about, done.saved, status)
    if is_sent and _wants_json(request):
        told = {"kept": _as_json(done.saved), "errors": form.errors}
        return JsonResponse(told, status=status)
    context = {
        "form": form,
        "kept": done.saved,
        "names": [name_of(row) for row in about.values() if row is not None],
        "back": _next(request, about),
        "is_getting_full": share_used(Path(settings.DATA_DIR)) > GETTING_FULL,
    }
    return _with_hashes(
        render(request, "inventory/evidence/add_evidence.html", context, status=status),
        done.saved,
    )


def _keep_all(form: EvidenceForm, person: User, about: About) -> tuple[Uploads, int]:
    """Save each file that is good, and name each other one on the form.

    Return what became of them and the status of the answer: the first refusal's,
    or 201 where something new was saved.
    """
    if not form.is_valid():
        return Uploads(), 422 if form.files else 400
    done = keep_named_uploads(
        person=person,
        at=now(),
        uploads=form.uploads,
        about=Subjects(**about),  # type: ignore[arg-type]
        kind=form.cleaned_data["kind"],
        caption=form.cleaned_data["caption"],
    )
    if done.refused:
        form.name_refused(done)
        return done, done.refused[0].status
    return done, 201 if any(one.was_new for one in done.saved) else 200


def _done(
    request: HttpRequest, about: About, kept: list[Kept], status: int
) -> HttpResponse:
    if _wants_json(request):
        return JsonResponse({"kept": _as_json(kept)}, status=status)
    for remark in (remark for one in kept for remark in one.remarks):
        messages.warning(request, remark)
    messages.success(request, _added(kept, about))
    return _with_hashes(go_to(_next(request, about)), kept)


def _added(kept: list[Kept], about: About) -> str:
    """Return "Photo added: damage close-up, crate 2." or the number of files."""
    if len(kept) > 1:
        return f"{len(kept)} files added."
    row = kept[0].evidence
    what = row.caption or row.get_kind_display().lower()
    crate = about["crate"]
    where = f", {f'crate {crate.number}'}" if isinstance(crate, Crate) else ""
    return f"{'Photo' if row.is_picture else 'Document'} added: {what}{where}."


def _with_hashes(answer: HttpResponse, kept: list[Kept]) -> HttpResponse:
    """Name the saved bytes in a header, whatever else the answer says."""
    if kept:
        hashes = [one.evidence.original_id for one in kept]
        answer["Evidence-SHA256"] = ", ".join(hashes)
    return answer


def _wants_json(request: HttpRequest) -> bool:
    return request.headers.get("Accept") == "application/json"


def _as_json(kept: list[Kept]) -> list[dict[str, object]]:
    return [
        {
            "id": str(one.evidence.pk),
            "sha256": one.evidence.original_id,
            "size": one.evidence.original.size,
            "is_new": one.was_new,
            "remarks": one.remarks,
        }
        for one in kept
    ]


def _kind(text: str) -> str:
    return text if text in vocabulary.EVIDENCE_KINDS else "look"


def _next(request: HttpRequest, about: About) -> str:
    asked = request.GET.get("next", "")
    if asked and url_has_allowed_host_and_scheme(asked, {request.get_host()}):
        return asked
    for name in ("unit", "shipment", "delivery", "crate_return"):
        row = about[name]
        if row is not None:
            return address_of(row)
    return address_at(HOME)
