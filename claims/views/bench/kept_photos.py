"""Keeping a form's photos at once, so that a mistake elsewhere loses none of them.

Uploads become photos kept before, ticked on the form: a form that comes back wrong
shows them, and only the words have to be put right.
"""

import uuid
from collections.abc import Callable, Sequence
from typing import Any, TypeVar

from django.core.files.uploadedfile import UploadedFile
from django.http import QueryDict

from claims.forms.bench.findings import FindingForm
from inventory.actions.evidence.keeping import BadUploadError
from inventory.models import Evidence
from inventory.views.core.refusals import put_refusal

AnyForm = TypeVar("AnyForm", bound=FindingForm)
Uploads = Sequence["UploadedFile[bytes]"]


def take_photos(
    form: AnyForm,
    keep: Callable[[Uploads], list[Evidence]],
    again: Callable[[QueryDict], AnyForm],
) -> AnyForm:
    """Keep what was uploaded; return the form with those photos ticked.

    Where a file is refused, the form says which and why; those that were kept
    before it stay ticked.
    """
    form.is_valid()
    uploads: list[Any] = form.cleaned_data.get("photos") or []
    if not uploads:
        return form
    kept: list[Evidence] = []
    trouble: BadUploadError | None = None
    try:
        kept = keep(uploads)
    except BadUploadError as error:
        trouble = error
    data: Any = form.data.copy()  # type: ignore[attr-defined]
    ticked = [*data.getlist("kept"), *(str(photo.pk) for photo in kept)]
    data.setlist("kept", list(dict.fromkeys(ticked)))
    if kept:
        data["client_id"] = str(uuid.uuid4())
    fresh = again(data)
    fresh.remarks = form.remarks
    fresh.is_valid()
    if trouble:
        put_refusal(fresh, "photos", trouble, f"{trouble} Choose the photos again.")
    return fresh
