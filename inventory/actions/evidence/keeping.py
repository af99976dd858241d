"""Saving a photo or document: bytes first, durably, then the row, then the answer.

What is refused is told from the bytes. A photo is read (see ``reader``) after it was
answered.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from inventory.actions.core.events import record_event
from inventory.actions.evidence.photo_facts import About, remarks_known, remarks_unread
from inventory.actions.evidence.reader import ring
from inventory.evidence.store import kinds
from inventory.evidence.store import originals as store
from inventory.evidence.store.arriving import ArrivedFile
from inventory.evidence.store.turns import take_turn
from inventory.models import (
    Crate,
    CrateReturn,
    Delivery,
    Evidence,
    Location,
    Original,
    Shipment,
    Unit,
    User,
)
from inventory.rules.core.text import clean_file_name


class BadUploadError(Exception):
    """A file that was not saved; the message says why and what to do."""

    def __init__(self, message: str, status: int) -> None:
        super().__init__(message)
        self.status = status


@dataclass(frozen=True)
class Kept:
    """The evidence row; whether this call made it; what can be said of it now.

    ``waits`` is whether it is a photo that the decoder has not seen.
    """

    evidence: Evidence
    was_new: bool
    remarks: list[str]
    waits: bool


def keep_evidence(
    *,
    person: User,
    at: datetime,
    upload: UploadedFile[bytes],
    client_id: UUID,
    kind: str,
    delivery: Delivery | None = None,
    shipment: Shipment | None = None,
    crate_return: CrateReturn | None = None,
    crate: Crate | None = None,
    unit: Unit | None = None,
    caption: str = "",
    sha256: str = "",
) -> Kept:
    """Save one file as evidence of these rows; see ``keep_file``."""
    return keep_file(
        person=person,
        at=at,
        upload=upload,
        client_id=client_id,
        kind=kind,
        about=About(delivery, shipment, crate_return, crate, unit),
        caption=caption,
        sha256=sha256,
    )


def keep_file(
    *,
    person: User,
    at: datetime,
    upload: UploadedFile[bytes],
    client_id: UUID,
    kind: str,
    about: About,
    caption: str = "",
    sha256: str = "",
    passed_on: Mapping[str, str] | None = None,
) -> Kept:
    """Save one file as evidence and return its row.

    Repeatable: the same ``client_id`` with the same bytes returns the same row.
    ``sha256`` is the hash the sender states, if any; ``passed_on`` names in the event
    who sent it for its author, see ``keep_captured``. Call it outside any
    transaction. Raise BadUploadError (413 too large, 415 another kind of file, 422
    empty, damaged, other bytes than named, or the id with other bytes; 507 disk).
    """
    location = _location(about)
    media_type = _media_type(upload)
    stored = _store(upload, sha256)
    values: dict[str, Any] = {
        **about.as_fields(),
        "kind": kind,
        "caption": caption,
        "file_name": clean_file_name(upload.name or ""),
        "received_at": at,
        "recorded_by": person,
    }
    while True:
        try:
            row, was_new, is_first = _write(
                client_id,
                stored,
                media_type=media_type,
                about=about,
                values=values,
                passed_on=passed_on or {},
            )
        except _SweptError:
            stored = _store(upload, sha256)
            continue
        except store.StoreError as error:  # it did not answer: nothing is written
            raise BadUploadError(str(error), 507) from error
        if not was_new:
            return _again(row, stored, location)
        ring()
        remarks = remarks_unread(row, is_first=is_first)
        return Kept(row, was_new=True, remarks=remarks, waits=row.is_picture)


class _SweptError(Exception):
    """The bytes had no row for a day and were just set aside."""


def _write(
    client_id: UUID,
    stored: store.Stored,
    *,
    media_type: str,
    about: About,
    values: dict[str, Any],
    passed_on: Mapping[str, str],
) -> tuple[Evidence, bool, bool]:
    """Write the rows and the event; the bytes must be in the store by then.

    Return the row, whether this call wrote it, and whether nobody sent these bytes
    before. Who has the turn is alone: what is not there yet nobody writes meanwhile.
    """
    with transaction.atomic():
        take_turn()
        earlier = Evidence.everything.filter(client_id=client_id).first()
        if earlier:
            return earlier, False, False
        if not store.may_be_named(stored.sha256):
            raise _SweptError
        original, is_first = Original.objects.get_or_create(
            sha256=stored.sha256,
            defaults={
                "size": stored.size,
                "media_type": media_type,
                "stored_at": values["received_at"],
            },
        )
        row = Evidence.everything.create(
            client_id=client_id, original=original, **values
        )
        _record(row, about, passed_on)
        return row, True, is_first


def _again(row: Evidence, stored: store.Stored, location: Location) -> Kept:
    """Return what an earlier try saved; raise BadUploadError for other bytes."""
    if row.original_id != stored.sha256 or row.location_id != location.pk:
        raise BadUploadError(
            "Another file was already saved under this upload's number. This file "
            "was not saved. Open the page again and choose the file again.",
            422,
        )
    return Kept(row, was_new=False, remarks=remarks_known(row), waits=row.is_unread)


def store_upload(upload: UploadedFile[bytes]) -> store.Stored:
    """Store the bytes of a file that is of an allowed kind. Raise BadUploadError."""
    _media_type(upload)
    return _store(upload, "")


def _media_type(upload: UploadedFile[bytes]) -> str:
    upload.seek(0)
    head = upload.read(kinds.HEAD)
    try:
        media_type = kinds.media_type_of(head)
        kinds.check_whole(upload, upload.size or 0, media_type)
    except kinds.NotAllowedError as error:
        damaged = isinstance(error, kinds.DamagedError)
        raise BadUploadError(str(error), 422 if damaged else 415) from error
    return media_type


def _chunks(upload: UploadedFile[bytes]) -> Iterator[bytes]:
    upload.seek(0)
    yield from upload.chunks()


def _store(upload: UploadedFile[bytes], sha256: str) -> store.Stored:
    limit = settings.EVIDENCE_LIMIT
    try:
        if isinstance(upload, ArrivedFile):
            return store.keep_draft(upload.draft, limit=limit, expected=sha256)
        return store.store_original(_chunks(upload), limit=limit, expected=sha256)
    except store.TooLargeError as error:
        raise BadUploadError(str(error), 413) from error
    except store.ChangedOnTheWayError as error:
        raise BadUploadError(str(error), 422) from error
    except store.StoreError as error:
        raise BadUploadError(str(error), 507) from error


def _location(about: About) -> Location:
    if about.location is None:
        raise BadUploadError(
            "A file must belong to a truck, a freight bill or a return. Nothing was "
            "saved. Open one of those pages and add the file there.",
            422,
        )
    return about.location


_PASSED_ON = {"sent_by": "sent by {}", "claimed_by": "by the phone's word of {}"}
"""How the history says that a photo came by way of somebody else."""


def _record(evidence: Evidence, about: About, passed_on: Mapping[str, str]) -> None:
    what = evidence.caption or evidence.get_kind_display()
    said = [_PASSED_ON[key].format(name) for key, name in passed_on.items()]
    record_event(
        kind="evidence.kept",
        at=evidence.received_at,
        actor=evidence.recorded_by,
        location=evidence.location,
        subjects=[*about.rows(), evidence],
        data={
            "what": ", ".join([what, *said]),
            **passed_on,
            "sha256": evidence.original_id,
            "size": evidence.original.size,
            "media_type": evidence.original.media_type,
            # The camera's claims are sealed with the row, under a hash: this event
            # goes out with a claim file, and a phone's location is private.
        },
    )
