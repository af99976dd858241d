"""Where original bytes live: what any home for them must do, and which one is used.

The one home today is a folder (``folder_home``). Another, such as an object store,
stands behind the same six acts and is named by the setting ``EVIDENCE_HOME``.
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


def home() -> Home:
    """Return the home of original bytes that the settings name."""
    made: Home = import_string(settings.EVIDENCE_HOME)()
    return made
