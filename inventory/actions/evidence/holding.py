"""Holding a photo whose row does not exist yet: its bytes are saved, its row waits.

A photo of a truck that is not logged yet belongs to nothing. Its bytes are stored at
once, and the form carries a signed token for them until the truck is saved. Bytes
without a row are swept after a day. The phone waits for the truck too, and sends the
photo again under the id that the token holds: whoever comes first, it is one row.
"""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import IO
from uuid import UUID

from django.core import signing
from django.core.files.uploadedfile import UploadedFile

from inventory.actions.evidence.keeping import store_upload
from inventory.evidence.store import originals as store
from inventory.models import User


@dataclass(frozen=True)
class HeldPhoto:
    """Stored bytes without a row: their SHA-256, the size and the file's name.

    ``client_id`` is the id under which a phone sent them, and sends them again.
    """

    sha256: str
    size: int
    name: str
    token: str
    client_id: UUID | None = None

    @contextmanager
    def as_upload(self) -> "Iterator[HeldUpload]":
        """Open the stored bytes as if they had just been sent."""
        with store.open_original(self.sha256) as file:
            yield HeldUpload(file, self.name, self.size, client_id=self.client_id)


class HeldUpload(UploadedFile):  # type: ignore[type-arg]
    """The bytes of a held photo, with the id under which a phone sent them, if one did."""

    def __init__(
        self, file: IO[bytes], name: str, size: int, *, client_id: UUID | None
    ) -> None:
        super().__init__(file, name, size=size)
        self.client_id = client_id


def hold_upload(
    *, person: User, upload: "UploadedFile[bytes]", client_id: UUID | None = None
) -> HeldPhoto:
    """Store the bytes of a photo until its row is known. Raise BadUploadError."""
    stored = store_upload(upload)
    name = (upload.name or "")[-100:]
    held = [stored.sha256, stored.size, name, str(client_id or "")]
    token = _signer(person).sign_object(held)
    return HeldPhoto(stored.sha256, stored.size, name, token, client_id)


def held_photos(person: User, tokens: Iterable[str]) -> list[HeldPhoto]:
    """Return the photos of those tokens that this person holds and that are stored."""
    held = []
    for token in dict.fromkeys(tokens):
        try:
            sha256, size, name, *more = _signer(person).unsign_object(token)
        except signing.BadSignature:
            continue
        client_id = UUID(more[0]) if any(more) else None  # none in older tokens
        if store.exists(sha256):
            held.append(HeldPhoto(sha256, size, name, token, client_id))
    return held


def _signer(person: User) -> signing.Signer:
    """Return the signer of this person's photos: a token is of no use to another."""
    return signing.Signer(salt=f"held-photo-{person.pk}")
