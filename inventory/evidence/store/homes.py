"""Where original bytes live: what any home for them must do, and which one is used.

The setting ``EVIDENCE_HOME`` names it: ``folder``, ``s3://bucket/prefix``, or the
dotted name of another class with the same acts.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import BinaryIO, Protocol

from django.conf import settings
from django.utils.module_loading import import_string


class StoreError(Exception):
    """Bytes that could not be stored; the message can be shown."""


class TooLargeError(StoreError):
    """More bytes than one file may have."""


class ChangedOnTheWayError(StoreError):
    """The bytes that arrived differ from those the sender named."""


class StoreUnavailableError(StoreError):
    """The disk refused, or is nearly full."""


class HomeUnreachableError(StoreUnavailableError, OSError):
    """The home gave no answer that can be trusted: whether bytes are there is open.

    Never the same as FileNotFoundError: nothing may be called lost because of it.
    """


@dataclass(frozen=True)
class Stored:
    """What a home keeps: SHA-256 in hex, and size in bytes."""

    sha256: str
    size: int


class Home(Protocol):
    """A place that keeps bytes under their SHA-256 and never changes them."""

    def keep(self, chunks: Iterable[bytes], *, limit: int, expected: str) -> Stored:
        """Keep the bytes durably before returning; raise StoreError.

        ``limit`` is in bytes. ``expected`` is the SHA-256 that the sender names, or
        empty. The same bytes twice are kept once.
        """

    def open(self, sha256: str) -> BinaryIO:
        """Return the bytes as a file that has a descriptor.

        Raise FileNotFoundError where they are missing.
        """

    def exists(self, sha256: str) -> bool:
        """Return whether this hash is stored."""

    def names(self, *, older_than: float | None = None) -> Iterator[str]:
        """Yield the hash of all that is stored, in order.

        With ``older_than`` (seconds since 1970) only of what was last kept before.
        """

    def set_aside(self, sha256: str) -> None:
        """Move the bytes out of the way, into quarantine. Never deletes them."""

    def sweep_unfinished(self, *, older_than: float) -> int:
        """Remove what uploads cut off before this moment left; return how many."""

    def moved_to(self) -> str:
        """Return the home that all this was moved to, or nothing while it is in use."""

    def close_for(self, name: str) -> None:
        """Take no more bytes, durably: all of them are at that home."""

    def reopen(self) -> None:
        """Take bytes again, durably."""


FOLDER = "folder"
BUCKET = "s3://"


def home() -> Home:
    """Return the home of original bytes that the settings name."""
    return home_at(settings.EVIDENCE_HOME)


def home_at(name: str) -> Home:
    """Return the home of this name; each is loaded only where it is used.

    Raise ValueError for a bucket's address that names none.
    """
    if name.startswith(BUCKET):
        from inventory.evidence.store.bucket_home import BucketHome  # noqa: PLC0415

        return BucketHome(name)
    if name == FOLDER:
        name = "inventory.evidence.store.folder_home.FolderHome"
    made: Home = import_string(name)()
    return made


def too_large(limit: int) -> TooLargeError:
    """Return the refusal of more bytes than this."""
    return TooLargeError(
        f"The file is larger than {limit // 1000000} MB. It was not "
        "saved. Take the photo again at a smaller size."
    )


def refuse_other_bytes(stored: Stored, expected: str) -> None:
    """Raise ChangedOnTheWayError for other bytes than the sender named, if it did."""
    if expected and stored.sha256 != expected.lower():
        raise ChangedOnTheWayError(
            "The upload was incomplete. The photo was not saved; it is still on "
            "your phone. Send it again."
        )


def refuse_when_moved(name: str) -> None:
    """Raise StoreUnavailableError where the originals were moved to that home."""
    if name:
        raise StoreUnavailableError(
            f"The photos and documents were moved to {name}, and this program was not "
            "told. The file was not saved. Keep it on your phone and call your "
            "administrator, who sets EVIDENCE_HOME and starts the program again."
        )
