"""Keeping a document that goes out as an original, for good.

The order of work is the one of evidence: store the bytes durably, then begin the
act's transaction with ``begin_sending``, write, ``keep_sent``, record the event.
"""

from datetime import datetime
from io import SEEK_END, BytesIO
from typing import BinaryIO

from django.db.models import Model

from inventory.actions.core.events import noun_of
from inventory.actions.core.versions import RefusedError
from inventory.evidence.seal.sent_documents import last_sent
from inventory.evidence.store import originals as store
from inventory.evidence.store.durable import pieces_in
from inventory.evidence.store.turns import take_turn
from inventory.models import Location, Original, SentDocument, User

PDF = "application/pdf"


def store_document(data: bytes) -> store.Stored:
    """Store a document's bytes durably. Call it before the act's transaction.

    Raises RefusedError where the disk refuses.
    """
    return store_document_in(BytesIO(data))


def store_document_in(file: BinaryIO) -> store.Stored:
    """Store the whole content of an open file likewise, piece by piece."""
    size = file.seek(0, SEEK_END)
    file.seek(0)
    try:
        return store.store_original(pieces_in(file), limit=size)
    except store.StoreError as error:
        raise RefusedError(
            "The disk could not take the document, so nothing was recorded. Tell your "
            "administrator and try again."
        ) from error


def begin_sending(*documents: store.Stored) -> None:
    """Queue for the right to write these documents' rows: the transaction's first act.

    First of all, because whoever keeps a photo of the same row holds this turn when it
    waits for the row. Raises RefusedError where a sweep has just moved the bytes.
    """
    take_turn()
    if not all(store.may_be_named(document.sha256) for document in documents):
        raise RefusedError(
            "The document was moved while it was being kept. Nothing was recorded. Try "
            "again."
        )


def keep_sent(
    document: store.Stored,
    *,
    about: Model,
    kind: str,
    location: Location,
    person: User,
    at: datetime,
    version: int | None = None,
    media_type: str = PDF,
) -> SentDocument:
    """Write the row of a document that goes out, in the act's own transaction.

    ``version`` None counts on from the last document of this kind about this row. The
    act's event, recorded after, seals it.
    """
    if version is None:
        last = last_sent(about, kind)
        version = last.document_version + 1 if last else 1
    original, _ = Original.objects.get_or_create(
        sha256=document.sha256,
        defaults={"size": document.size, "media_type": media_type, "stored_at": at},
    )
    return SentDocument.objects.create(
        noun=noun_of(about),
        key=str(about.pk),
        kind=kind,
        document_version=version,
        original=original,
        location=location,
        made_at=at,
        made_by=person,
    )
