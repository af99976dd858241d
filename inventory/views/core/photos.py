"""Keeping the photos that came with a form, before the form's own act."""

from collections.abc import Sequence

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.forms import BaseForm
from django.http import HttpRequest

from inventory.actions.evidence.keeping import keep_evidence
from inventory.forms.evidence.photos import PhotoFormMixin
from inventory.models import Crate, Delivery, Evidence, Shipment, User
from inventory.views.core.clock import now


def keep_photos(
    form: PhotoFormMixin,
    uploads: "Sequence[UploadedFile[bytes]]",
    *,
    person: User,
    kind: str,
    delivery: Delivery | None = None,
    shipment: Shipment | None = None,
    crate: Crate | None = None,
) -> list[Evidence]:
    """Keep each file once, however often the form is sent. Raises BadUploadError."""
    kept = [
        keep_evidence(
            person=person,
            at=now(),
            upload=upload,
            client_id=client_id,
            kind=kind,
            delivery=delivery,
            shipment=shipment,
            crate=crate,
        )
        for upload, client_id in zip(
            uploads, form.upload_ids(len(uploads)), strict=True
        )
    ]
    form.remarks += [remark for one in kept for remark in one.remarks]
    return [one.evidence for one in kept]


def say_remarks(request: HttpRequest, form: BaseForm) -> None:
    """Tell the person at once what was noticed on the photos of this form."""
    for remark in getattr(form, "remarks", []):
        messages.warning(request, remark)
