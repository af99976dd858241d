"""Keeping all photos and documents that came with one form.

What is good is kept, what is not is named with its reason; neither is lost.
"""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID, uuid5

from django.core.files.uploadedfile import UploadedFile

from inventory.actions.evidence.holding import HeldUpload
from inventory.actions.evidence.keeping import BadUploadError, Kept, keep_file
from inventory.actions.evidence.photo_facts import About
from inventory.evidence.store.arriving import ArrivedFile
from inventory.models import Evidence, User

MOST_UPLOADS = 20
"""As many as one person can check at once."""


@dataclass(frozen=True)
class Upload:
    """One file to save, the id that makes it repeatable, and its stated hash."""

    file: "UploadedFile[bytes]"
    client_id: UUID
    sha256: str = ""


@dataclass(frozen=True)
class RefusedUpload:
    """One file that was not kept: its name, why, and the status to answer with."""

    name: str
    reason: str
    status: int

    def __str__(self) -> str:
        return f"{self.name}: {self.reason}"


@dataclass
class Uploads:
    """What became of the files of one form, in the order in which they came."""

    saved: list[Kept] = field(default_factory=list)
    refused: list[RefusedUpload] = field(default_factory=list)

    @property
    def kept(self) -> list[Evidence]:
        """Return the rows of the files that are saved."""
        return [one.evidence for one in self.saved]


def keep_uploads(
    *,
    person: User,
    at: datetime,
    uploads: "Iterable[UploadedFile[bytes]]",
    batch: UUID,
    about: About,
    kind: str,
    caption: str = "",
) -> Uploads:
    """Keep each file, and say of each whether it was kept.

    ``batch`` is the form's own id. A file's id comes from the batch and its bytes,
    so sending it again with the form keeps it once, and another file beside it is
    never mistaken for it. A held photo keeps the id under which its phone sent it.
    Call it outside any transaction.
    """
    named = (Upload(file, _id_of(file, batch)) for file in uploads)
    return keep_named_uploads(
        person=person, at=at, uploads=named, about=about, kind=kind, caption=caption
    )


def _id_of(file: "UploadedFile[bytes]", batch: UUID) -> UUID:
    if isinstance(file, HeldUpload) and file.client_id:
        return file.client_id
    return uuid5(batch, content_hash(file))


def keep_named_uploads(
    *,
    person: User,
    at: datetime,
    uploads: Iterable[Upload],
    about: About,
    kind: str,
    caption: str = "",
) -> Uploads:
    """Keep each file under the id that it comes with. Call it outside a transaction."""
    done = Uploads()
    for number, upload in enumerate(uploads, start=1):
        try:
            if number > MOST_UPLOADS:
                raise _too_many()
            kept = keep_file(
                person=person,
                at=at,
                upload=upload.file,
                client_id=upload.client_id,
                kind=kind,
                about=about,
                caption=caption,
                sha256=upload.sha256,
            )
        except BadUploadError as error:
            name = upload.file.name or "A file without a name"
            done.refused.append(RefusedUpload(name, str(error), error.status))
        else:
            done.saved.append(kept)
    return done


def content_hash(upload: "UploadedFile[bytes]") -> str:
    """Return the SHA-256 of a file's bytes, in hex."""
    if isinstance(upload, ArrivedFile):
        return upload.draft.told().sha256
    digest = hashlib.sha256()
    upload.seek(0)
    for chunk in upload.chunks():
        digest.update(chunk)
    return digest.hexdigest()


def _too_many() -> BadUploadError:
    return BadUploadError(
        f"At most {MOST_UPLOADS} files are taken at a time. It was not saved. Send it "
        "again by itself.",
        422,
    )
