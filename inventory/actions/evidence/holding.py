"""Holding a photo whose row does not exist yet: its bytes are saved, its row waits.

A photo of a truck that is not logged yet belongs to nothing. Its bytes are stored at
once, and the form carries a signed token for them until the truck is saved. Bytes
without a row are swept after a day.
"""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from django.core import signing
from django.core.files.uploadedfile import UploadedFile

from inventory.actions.evidence.keeping import store_upload
from inventory.evidence.store import originals as store
from inventory.models import User


@dataclass(frozen=True)
class HeldPhoto:
    """Stored bytes without a row: their SHA-256, the size and the file's name."""

    sha256: str
    size: int
    name: str
    token: str

    @contextmanager
    def as_upload(self) -> "Iterator[UploadedFile[bytes]]":
        """Open the stored bytes as if they had just been sent."""
        with store.open_original(self.sha256) as file:
            yield UploadedFile(file, self.name, size=self.size)


def hold_upload(*, person: User, upload: "UploadedFile[bytes]") -> HeldPhoto:
    """Store the bytes of a photo until its row is known. Raise BadUploadError."""
    stored = store_upload(upload)
    name = (upload.name or "")[-100:]
    token = _signer(person).sign_object([stored.sha256, stored.size, name])
    return HeldPhoto(stored.sha256, stored.size, name, token)


def held_photos(person: User, tokens: Iterable[str]) -> list[HeldPhoto]:
    """Return the photos of those tokens that this person holds and that are stored."""
    held = []
    for token in dict.fromkeys(tokens):
        try:
            sha256, size, name = _signer(person).unsign_object(token)
        except signing.BadSignature:
            continue
        if store.exists(sha256):
            held.append(HeldPhoto(sha256, size, name, token))
    return held


def _signer(person: User) -> signing.Signer:
    """Return the signer of this person's photos: a token is of no use to another."""
    return signing.Signer(salt=f"held-photo-{person.pk}")
