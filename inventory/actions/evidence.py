"""Keeping a photo or document: bytes first, durably, then the row, then the answer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from inventory.actions.events import record_event
from inventory.evidence import kinds, renditions, store
from inventory.models import (
    Crate,
    Delivery,
    Evidence,
    Location,
    Original,
    Shipment,
    Unit,
    User,
)
from inventory.rules.remarks import remarks_on
from inventory.rules.text import clean_file_name


class BadUploadError(Exception):
    """A file that was not kept; the message says why and what to do."""

    def __init__(self, message: str, status: int) -> None:
        super().__init__(message)
        self.status = status


@dataclass(frozen=True)
class Kept:
    """The evidence row; whether this call made it; remarks for the person."""

    evidence: Evidence
    was_new: bool
    remarks: list[str]


def keep_evidence(
    *,
    person: User,
    at: datetime,
    upload: UploadedFile[bytes],
    client_id: UUID,
    kind: str,
    delivery: Delivery | None = None,
    shipment: Shipment | None = None,
    crate: Crate | None = None,
    unit: Unit | None = None,
    caption: str = "",
) -> Kept:
    """Keep one file as evidence and return its row.

    Repeatable: the same ``client_id`` with the same bytes gives the same row.
    Call it outside any transaction. Raises BadUploadError (400 empty or no photo,
    413 too large, 415 another kind of file, 422 the id with other bytes, 507 disk).
    """
    media_type = _media_type(upload)
    stored = _store(upload)
    earlier = _earlier(client_id, stored.sha256)
    if earlier:
        return Kept(earlier, was_new=False, remarks=list(earlier.remarks))
    is_picture = media_type.startswith("image/")
    reading = (
        renditions.read_picture(stored.sha256) if is_picture else renditions.Reading()
    )
    remarks = remarks_on(
        width=reading.width,
        height=reading.height,
        brightness=reading.brightness,
        claims=reading.claims,
        received_at=at,
        arrived_at=delivery.arrived_at if delivery else None,
        trouble=reading.trouble,
    )
    with transaction.atomic():
        original, _ = Original.objects.get_or_create(
            sha256=stored.sha256,
            defaults={"size": stored.size, "media_type": media_type, "stored_at": at},
        )
        evidence, was_new = Evidence.everything.get_or_create(
            client_id=client_id,
            defaults={
                "original": original,
                "location": _location(delivery, shipment),
                "delivery": delivery,
                "shipment": shipment,
                "crate": crate,
                "unit": unit,
                "kind": kind,
                "caption": caption,
                "file_name": clean_file_name(upload.name or ""),
                "width": reading.width,
                "height": reading.height,
                "claims": reading.claims,
                "remarks": remarks,
                "received_at": at,
                "recorded_by": person,
            },
        )
        if was_new:
            _record(evidence, person, at)
    return Kept(evidence, was_new=was_new, remarks=remarks)


def _media_type(upload: UploadedFile[bytes]) -> str:
    upload.seek(0)
    head = upload.read(64)
    upload.seek(0)
    try:
        return kinds.media_type_of(head)
    except kinds.NotAllowedError as error:
        raise BadUploadError(str(error), 400 if len(head) < 4 else 415) from error


def _chunks(upload: UploadedFile[bytes]) -> Iterator[bytes]:
    yield from upload.chunks()


def _store(upload: UploadedFile[bytes]) -> store.Stored:
    try:
        return store.store_original(_chunks(upload), limit=settings.EVIDENCE_LIMIT)
    except store.TooLargeError as error:
        raise BadUploadError(str(error), 413) from error
    except store.StoreError as error:
        raise BadUploadError(str(error), 507) from error


def _earlier(client_id: UUID, sha256: str) -> Evidence | None:
    row = Evidence.everything.filter(client_id=client_id).first()
    if row and row.original_id != sha256:
        raise BadUploadError(
            "Another file was already kept under this upload's number. This one was "
            "not saved. Open the page again and choose the file again.",
            422,
        )
    return row


def _location(delivery: Delivery | None, shipment: Shipment | None) -> Location:
    row = delivery or shipment
    if row is None:
        raise BadUploadError("A file must belong to a delivery or a freight bill.", 400)
    return row.location


def _record(evidence: Evidence, person: User, at: datetime) -> None:
    about = [
        row
        for row in (
            evidence.delivery,
            evidence.shipment,
            evidence.crate,
            evidence.unit,
            evidence,
        )
        if row is not None
    ]
    record_event(
        kind="evidence.kept",
        at=at,
        actor=person,
        location=evidence.location,
        subjects=about,
        data={
            "what": evidence.caption or evidence.get_kind_display(),
            "sha256": evidence.original_id,
            "size": evidence.original.size,
            "media_type": evidence.original.media_type,
            "camera": evidence.claims,
        },
    )
