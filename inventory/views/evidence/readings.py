"""Whether a photo is read by now, for a page that waits for it."""

from datetime import timedelta
from uuid import UUID

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from inventory.access import obtain, person_of
from inventory.evidence.pictures.decoder import is_kept
from inventory.models import Evidence
from inventory.queries.evidence.photos import withheld_by
from inventory.rules.evidence.remarks import asks_again
from inventory.views.core.clock import now
from inventory.views.core.readings import photo_name

A_READER_IS_LATE = timedelta(minutes=1)

_WAITING = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="321" height="241" '
    'viewBox="0 0 321 241"><rect width="321" height="241" fill="#d9d2c5"/>'
    '<text x="160" y="128" font-family="sans-serif" font-size="24" fill="#2b2722" '
    'text-anchor="middle">Being read</text></svg>'
)
"""A stand-in whose size no copy has: by it the page's script knows what to ask for."""


def waits_for_reader(row: Evidence) -> bool:
    """Return whether the photo will be read in a moment; ``readings`` are prefetched.

    Where no reader runs, or it is late, whoever asks for the picture decodes it.
    """
    is_fresh = now() - row.received_at < A_READER_IS_LATE
    return is_fresh and row.is_unread and is_kept()


def stand_in() -> HttpResponse:
    """Return the picture of a photo that is not read yet."""
    answer = HttpResponse(_WAITING, content_type="image/svg+xml")
    answer["Cache-Control"] = "no-store"
    return answer


@require_safe
@never_cache
def photo_reading(request: HttpRequest, pk: UUID) -> JsonResponse:
    """Say whether a photo is read, and what was noticed on it."""
    rows = Evidence.everything.select_related("original").prefetch_related("readings")
    row = obtain(rows, person_of(request), pk, "see")
    told: dict[str, object] = {"is_read": not row.is_unread}
    if not row.is_unread and not withheld_by(row):
        remarks = list(row.seen.remarks)
        told |= {
            "name": photo_name(row),
            "remarks": remarks,
            "retake": asks_again(remarks),
            "thumbnail": reverse("photo", args=[pk, 320]) if row.has_preview else "",
            "page": reverse("evidence", args=[pk]),
        }
    return JsonResponse(told)
