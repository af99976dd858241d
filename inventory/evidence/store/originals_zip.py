"""Originals in one archive, sent as it is made: only a piece of it is in memory."""

import hashlib
from collections.abc import Iterator, Sequence
from typing import IO, cast
from zipfile import ZIP_STORED, ZipFile, ZipInfo

from inventory.evidence.store import originals as store

_NO_DATE = (1980, 1, 1, 0, 0, 0)
"""The archive holds no date of its own, so it is the same every time."""


class ChangedOriginalError(Exception):
    """An original whose bytes are no longer those of its hash: nothing more is sent."""


class _Pieces:
    """A file that can only be written on, and gives away what was written."""

    def __init__(self) -> None:
        self._written: list[bytes] = []

    def write(self, data: bytes) -> int:
        self._written.append(bytes(data))
        return len(data)

    def flush(self) -> None:
        """Do nothing: what is written is there."""

    def take(self) -> bytes:
        taken, self._written = b"".join(self._written), []
        return taken


def zip_pieces(
    texts: Sequence[tuple[str, bytes]], originals: Sequence[tuple[str, str]]
) -> Iterator[bytes]:
    """Yield an archive of these texts and originals, each with its name in it.

    ``originals`` are names with the SHA-256 of the bytes. Photos are stored as they
    are: they would not get smaller. Raise ChangedOriginalError in the middle, which
    leaves the archive visibly broken, and FileNotFoundError for a missing one.
    """
    pieces = _Pieces()
    with ZipFile(cast("IO[bytes]", pieces), "w", ZIP_STORED) as archive:
        for name, data in texts:
            archive.writestr(_entry(name), data)
            yield pieces.take()
        for name, sha256 in originals:
            for _ in _copied(archive, name, sha256):
                yield pieces.take()
    yield pieces.take()


def _copied(archive: ZipFile, name: str, sha256: str) -> Iterator[None]:
    digest = hashlib.sha256()
    with archive.open(_entry(name), "w") as member:
        for chunk in store.read_original(sha256):
            digest.update(chunk)
            member.write(chunk)
            yield
    if digest.hexdigest() != sha256:
        raise ChangedOriginalError(f"Original {sha256} no longer matches its hash.")


def _entry(name: str) -> ZipInfo:
    entry = ZipInfo(name, _NO_DATE)
    entry.compress_type = ZIP_STORED
    entry.external_attr = 0o644 << 16
    return entry
