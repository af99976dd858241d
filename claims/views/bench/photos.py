"""Photos that come with a form of the bench: kept first, then shown as chosen."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest
from django.urls import reverse

from claims.actions.bench.inspections import Subject
from inventory.actions.evidence.keeping import keep_evidence
from inventory.actions.evidence.photo_facts import About
from inventory.forms.evidence.photos import PhotoFormMixin
from inventory.models import Evidence, Location, User
from inventory.views.core.clock import now


@dataclass(frozen=True)
class PhotoCard:
    """One photo or document as a page shows it."""

    pk: object
    url: str
    thumb_url: str
    has_picture: bool
    alt: str
    caption: str
    taken_at: datetime
    location: Location
    by: str


def posted(request: HttpRequest) -> tuple[Any, Any]:
    """Return what was sent, words and files; two None where the page is only asked.

    An empty form that was sent is judged like any other.
    """
    if request.method != "POST":
        return None, None
    return request.POST, request.FILES


def about_of(subject: Subject) -> About:
    """Return what a photo of this subject belongs to."""
    box = subject.box
    return About(
        delivery=box.delivery if box else None,
        shipment=subject.shipment,
        crate=box,
        unit=subject.unit,
    )


def keep_for(
    form: PhotoFormMixin,
    uploads: "Sequence[UploadedFile[bytes]]",
    *,
    person: User,
    kind: str,
    subject: Subject,
) -> list[Evidence]:
    """Keep each file under the thing it shows, once however often it is sent.

    Raises BadUploadError; what came before the bad file is kept by then.
    """
    box = subject.box
    kept = [
        keep_evidence(
            person=person,
            at=now(),
            upload=upload,
            client_id=client_id,
            kind=kind,
            delivery=box.delivery if box else None,
            shipment=subject.shipment,
            crate=box,
            unit=subject.unit,
        )
        for upload, client_id in zip(
            uploads, form.upload_ids(len(uploads)), strict=True
        )
    ]
    form.remarks += [remark for one in kept for remark in one.remarks]
    return [one.evidence for one in kept]


def photo_cards(rows: Iterable[Evidence]) -> list[PhotoCard]:
    """Return photos as the pages draw them; rows come with original, giver and location."""
    return [
        PhotoCard(
            pk=row.pk,
            url=reverse("evidence", args=[row.pk]),
            thumb_url=reverse("photo", args=[row.pk, 320]),
            has_picture=row.is_picture,
            alt=row.caption or row.get_kind_display(),
            caption=row.caption or row.get_kind_display(),
            taken_at=row.received_at,
            location=row.location,
            by=str(row.recorded_by),
        )
        for row in rows
    ]
