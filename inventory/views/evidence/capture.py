"""Taking in photos one by one, from a page that is open or from a phone's queue.

Every answer is JSON: what was saved under which hash, or one sentence that says why
not. The phone keeps the photo until it has the hash.
"""

from collections.abc import Callable
from functools import wraps
from uuid import UUID

from django.core.exceptions import BadRequest, PermissionDenied
from django.http import Http404, HttpRequest, JsonResponse, QueryDict
from django.urls import reverse
from django.views.decorators.http import require_POST

from inventory.access import obtain, person_of, require
from inventory.actions.core.once import made_by
from inventory.actions.evidence.capture import Captured, check_token, keep_captured
from inventory.actions.evidence.holding import hold_upload
from inventory.actions.evidence.keeping import BadUploadError, Kept
from inventory.actions.evidence.page_tokens import PageToken, read_token
from inventory.actions.evidence.photo_facts import About
from inventory.forms.evidence.capture import CaptureForm
from inventory.models import Delivery, Location, User
from inventory.rules.core.roles import ACTS, ROLES
from inventory.rules.evidence.remarks import asks_again
from inventory.views.core.clock import now
from inventory.views.evidence.subjects import completed, rows_asked

_View = Callable[[HttpRequest], JsonResponse]


def in_json(view: _View) -> _View:
    """Answer refusals as JSON too."""

    @wraps(view)
    def wrapped(request: HttpRequest) -> JsonResponse:
        try:
            return view(request)
        except BadUploadError as error:
            return refusal(error.status, str(error))
        except BadRequest as error:
            return refusal(400, str(error))
        except PermissionDenied as error:
            return refusal(403, str(error))
        except Http404:
            return refusal(404, "What the photo belongs to was not found here.")

    return wrapped


@require_POST
@in_json
def capture(request: HttpRequest) -> JsonResponse:
    """Save one photo of the rows that the address names."""
    person = person_of(request)
    token = read_token(request.POST.get("token", ""))
    about = about_asked(request.GET, person, token)
    form = CaptureForm(request.POST, request.FILES)
    if not form.is_valid():
        return refusal(422, form.wrong)
    data = form.cleaned_data
    photo = Captured(
        upload=data["photo"],
        client_id=data["client_id"],
        kind=data["kind"],
        caption=data["caption"],
        sha256=data["sha256"],
        claimed=data["claimed"],
        token=check_token(token, subject=request.GET.dict(), kind=data["kind"]),
    )
    if isinstance(about, Location):
        truck = _truck(photo, data["once"], person)
        if truck is None:
            return _hold(photo, person, may_hold=data["hold"])
        about = About(delivery=truck)
    return _kept(keep_captured(sender=person, at=now(), photo=photo, about=about))


def about_asked(
    asked: QueryDict, person: User, token: PageToken | None
) -> About | Location:
    """Return what the photo belongs to; of a truck not logged yet, the location."""
    try:
        if "location" in asked:
            place = obtain(
                Location.objects.all(), person, asked["location"], "log-delivery"
            )
            require(person, place.pk, "add-evidence")
            return place
        rows = rows_asked(asked, person)
    except Http404:
        if token is None or token.subject != asked.dict():
            raise
        raise PermissionDenied(_who_can_send(token)) from None
    completed(dict(rows))
    return About(**rows)  # type: ignore[arg-type]


def _who_can_send(token: PageToken) -> str:
    """Say who can send a photo whose person no longer works at its location."""
    names = [ROLES[role].lower() for role in ROLES if role in ACTS["add-evidence"]]
    return (
        f"You cannot add photos at {token.place}. The photo was not saved. It stays on "
        f"this phone. A {', '.join(names[:-1])} or {names[-1]} at {token.place} can "
        "send it from this phone: sign out and let them sign in."
    )


def _truck(photo: Captured, once: UUID | None, person: User) -> Delivery | None:
    """Return the truck that was logged under this form's id, if it was."""
    author = photo.token.person if photo.token else person.pk
    key = made_by(person_id=author, client_id=once, noun="delivery") if once else ""
    rows = Delivery.objects.select_related("location")
    return obtain(rows, person, key, "add-evidence") if key else None


def _hold(photo: Captured, person: User, *, may_hold: bool) -> JsonResponse:
    """Store the bytes until the truck is logged; the form carries what is answered."""
    if not may_hold:
        return refusal(
            409,
            "The truck of this photo is not logged yet. The photo stays on this phone "
            "and is sent after the truck.",
        )
    held = hold_upload(person=person, upload=photo.upload, client_id=photo.client_id)
    if photo.sha256 not in {"", held.sha256}:
        raise BadUploadError("The photo was changed on the way. Send it again.", 422)
    return JsonResponse({"held": held.token, "sha256": held.sha256}, status=202)


def _kept(kept: Kept) -> JsonResponse:
    row = kept.evidence
    told = {
        "id": str(row.pk),
        "sha256": row.original_id,
        "remarks": kept.remarks,
        "retake": asks_again(kept.remarks),
        "thumbnail": reverse("photo", args=[row.pk, 320]) if row.is_picture else "",
        "page": reverse("evidence", args=[row.pk]),
        "reading": reverse("photo_reading", args=[row.pk]) if kept.waits else "",
    }
    return JsonResponse(told, status=201 if kept.was_new else 200)


def refusal(status: int, words: str) -> JsonResponse:
    """Return why something was not saved."""
    return JsonResponse({"error": words}, status=status)
