"""The documents that went out, and their bytes exactly as they went."""

from collections.abc import Iterator
from typing import BinaryIO

from django.db.models import Model

from inventory.evidence.seal.sealed_tables import register_sealed
from inventory.evidence.seal.snapshots import Snapshot, columns_of
from inventory.evidence.store import originals as store
from inventory.models import Original, SentDocument
from inventory.rules.core.sent_documents import SENT_KINDS


class LostDocumentError(Exception):
    """The bytes of a document that went out are gone or changed; can be shown."""


def last_sent(about: Model, kind: str) -> SentDocument | None:
    """Return the last document of this kind that went out about this row."""
    rows = SentDocument.objects.filter(
        noun=about._meta.model_name, key=str(about.pk), kind=kind
    )
    return rows.select_related("original").order_by("-document_version").first()


def sent_bytes(sent: SentDocument) -> bytes:
    """Return the bytes that went out. Raise LostDocumentError where they are gone."""
    data = store.intact_bytes(sent.original_id)
    if data is None:
        raise _lost(sent)
    return data


def _lost(sent: SentDocument) -> LostDocumentError:
    return LostDocumentError(
        f"The kept file of this document ({sent.original_id[:12]}) is missing or "
        "damaged. It is not drawn again, because it would not be what went out. "
        "Ask your administrator for a backup."
    )


def last_sent_bytes(about: Model, kind: str) -> bytes | None:
    """Return the bytes of the last document that went out, or None before one did.

    Raise LostDocumentError where they are gone.
    """
    sent = last_sent(about, kind)
    return None if sent is None else sent_bytes(sent)


def last_sent_file(about: Model, kind: str) -> BinaryIO | None:
    """Return likewise an open file, whose bytes were checked and are not in memory."""
    sent = last_sent(about, kind)
    if sent is None:
        return None
    file = store.open_intact(sent.original_id)
    if file is None:
        raise _lost(sent)
    return file


def sent_faults(snapshot: Snapshot) -> Iterator[str]:
    """Yield a sentence for each document that went out and has no original row."""
    known = {
        str(sha256)
        for (sha256,) in snapshot.rows(Original, columns_of(Original, ("sha256",)))
    }
    columns = columns_of(SentDocument, ("kind", "noun", "key", "original"))
    for kind, noun, key, sha256 in snapshot.rows(SentDocument, columns):
        if str(sha256) not in known:
            what = SENT_KINDS.get(str(kind), str(kind))
            yield f"{what} of {noun} {key} went out, and its original {sha256} is gone."


def register() -> None:
    """Have every verification look for the originals of sent documents."""
    register_sealed(SentDocument, sent_faults)
