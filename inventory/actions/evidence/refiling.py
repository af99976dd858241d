"""Filing photos and documents that are already saved under another kind."""

from collections.abc import Iterable
from datetime import datetime
from uuid import uuid5

from django.core.files.uploadedfile import UploadedFile

from inventory.actions.evidence.keeping import keep_evidence
from inventory.evidence.store.originals import open_original
from inventory.models import Evidence, User


def file_as(
    *, person: User, at: datetime, photos: Iterable[Evidence], kind: str
) -> list[Evidence]:
    """Return these photos as rows of this kind.

    A photo of another kind gets a second row of this kind with the same bytes: a
    saved row never changes. Repeatable. Call it outside any transaction. Raise
    BadUploadError as ``keep_evidence`` does.
    """
    return [
        one if one.kind == kind else _again(one, kind, person=person, at=at)
        for one in photos
    ]


def _again(row: Evidence, kind: str, *, person: User, at: datetime) -> Evidence:
    with open_original(row.original_id) as file:
        kept = keep_evidence(
            person=person,
            at=at,
            upload=UploadedFile(file, name=row.file_name, size=row.original.size),
            client_id=uuid5(row.client_id, kind),
            kind=kind,
            caption=row.caption,
            delivery=row.delivery,
            shipment=row.shipment,
            crate_return=row.crate_return,
            crate=row.crate,
            unit=row.unit,
        )
    return kept.evidence
