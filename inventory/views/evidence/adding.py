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
from inventory.actions.evidence.page_tokens import ANY_KIND
from inventory.actions.evidence.photo_facts import About as Subjects
from inventory.actions.evidence.uploads import Uploads, keep_named_uploads
from inventory.addresses import HOME, address_at, address_of
from inventory.evidence.store.folder_home import share_used
from inventory.forms.evidence.photos import EvidenceForm
from inventory.models import Crate, Evidence, User
from inventory.rules.core import vocabulary
from inventory.views.core.clock import name_of, now
from inventory.views.core.readings import tell_remarks, watch_readings
from inventory.views.core.strips import strip_for
from inventory.views.core.ways import go_to
from inventory.views.evidence.subjects import About, completed, rows_asked

GETTING_FULL = 0.8
"""The share of the disk from which everyone who adds photos is warned."""


@require_http_methods(["GET", "POST"])
def add_evidence(request: HttpRequest) -> HttpResponse:
    """Add photos or a document to the truck, freight bill or return named.

    The page sends each photo by itself, and then only what it saved. A program that
    asks for JSON gets the id and the SHA-256 of each file.
    """
    person = person_of(request)
    about = completed(rows_asked(request.GET, person))
    is_sent = request.method == "POST"
    form = _form(request, person, about)
    done = Uploads()
    status = 200
    if is_sent:
        done, status = _keep_all(form, person, about)
        if status < 300:
            return _done(request, form, done, about=about, status=status)
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


def _form(request: HttpRequest, person: User, about: About) -> EvidenceForm:
    """Return the form; it may tick what its person saved here before."""
    sent = request.method == "POST"
    form = EvidenceForm(
        request.POST if sent else None,
        request.FILES if sent else None,
        initial={"kind": _kind(request.GET.get("kind", ""))},
    )
    subjects = Subjects(**about)  # type: ignore[arg-type]
    mine = Evidence.everything.filter(recorded_by=person, **subjects.as_fields())
    form.shots.field.rows = mine.select_related(
        "original", "location"
    ).prefetch_related("readings")
    form.shots.strip = strip_for(request, subjects, ANY_KIND)
    return form


def _keep_all(form: EvidenceForm, person: User, about: About) -> tuple[Uploads, int]:
    """Save each file that is good, and name each other one on the form.

    Return what became of them and the status of the answer: the first refusal's, 400
    where no photo came, or 201 where something new was saved.
    """
    form.full_clean()
    if "sha256" in form.errors:
        return Uploads(), 422
    done = keep_named_uploads(
        person=person,
        at=now(),
        uploads=form.uploads,
        about=Subjects(**about),  # type: ignore[arg-type]
        kind=form.cleaned_data.get("kind") or form["kind"].initial,
        caption=form.cleaned_data.get("caption", ""),
    )
    form.take(done)
    if done.refused:
        return done, done.refused[0].status
    if form.errors:
        return done, 422 if form.shots.data else 400
    return done, 201 if any(one.was_new for one in done.saved) else 200


def _done(
    request: HttpRequest,
    form: EvidenceForm,
    done: Uploads,
    *,
    about: About,
    status: int,
) -> HttpResponse:
    if _wants_json(request):
        return JsonResponse({"kept": _as_json(done.saved)}, status=status)
    tell_remarks(request, done)
    watch_readings(request, form.shots.ticked)
    for late in _said_too_late(form):
        messages.warning(request, late)
    messages.success(request, _added(form.shots.ticked, about))
    return _with_hashes(go_to(_next(request, about)), done.saved)


def _said_too_late(form: EvidenceForm) -> list[str]:
    """Name what was typed after a photo was sent: a saved photo never changes."""
    rows, said = form.shots.ticked, form.cleaned_data
    told = []
    if said.get("caption") and any(row.caption != said["caption"] for row in rows):
        told.append(
            f'A photo was saved before you typed "{said["caption"]}", so it does not '
            "carry these words. Open it and write them on it with Mark."
        )
    other = next((row for row in rows if row.kind != said.get("kind", row.kind)), None)
    if other is not None:
        told.append(
            f'A photo was saved as "{other.get_kind_display()}" before you chose '
            "another kind, and stays that. Hide it and add it again if that is wrong."
        )
    return told


def _added(rows: list[Evidence], about: About) -> str:
    """Return "Photo added: damage close-up, crate 2." or the number of files."""
    if len(rows) > 1:
        return f"{len(rows)} files added."
    row = rows[0]
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
