"""The one door by which original bytes are kept for ever.

The order of work is: write a temporary file while hashing, sync it, link it under
its SHA-256, sync the folder; only then may a row be written and an answer given. A
crash leaves nothing, or an orphan, never a row without its file.
"""

import hashlib
import os
import secrets
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings

from inventory.evidence import calls

INCOMING = ".incoming"
NEARLY_FULL = 0.95
"""The share of the disk above which no new photo is taken."""


class StoreError(Exception):
    """Bytes that could not be kept; the message can be shown."""


class TooLargeError(StoreError):
    """More bytes than one file may have."""


class StoreUnavailableError(StoreError):
    """The disk refused, or is nearly full."""


@dataclass(frozen=True)
class Stored:
    """What the store keeps: SHA-256 in hex, and size in bytes."""

    sha256: str
    size: int


def store_original(chunks: Iterable[bytes], *, limit: int) -> Stored:
    """Keep the bytes durably and return their hash and size.

    ``limit`` is in bytes. The same bytes twice are one file. Raises TooLargeError
    over the limit and StoreUnavailableError when the disk refuses; nothing is kept
    then.
    """
    root = Path(settings.EVIDENCE_ROOT)
    incoming = root / INCOMING
    temporary = incoming / secrets.token_hex(16)
    try:
        _ensure_folder(incoming, parent=root)
        _refuse_when_nearly_full(root)
        stored = _write_temporary(temporary, chunks, limit)
        _link_final(temporary, path_of(stored.sha256))
    except OSError as error:
        raise StoreUnavailableError(
            "The disk could not take the file. It was not saved; keep it on your "
            "phone and try again, and tell your administrator."
        ) from error
    finally:
        with suppress(OSError):
            calls.unlink(temporary)
    return stored


def path_of(sha256: str) -> Path:
    """Return where the original with this hash lies, whether or not it does."""
    return Path(settings.EVIDENCE_ROOT) / sha256[:2] / sha256


def read_original(sha256: str) -> Iterator[bytes]:
    """Yield the bytes of an original, 64 KiB at a time.

    Raises FileNotFoundError where it is missing.
    """
    with path_of(sha256).open("rb") as file:
        while chunk := file.read(65_536):
            yield chunk


def is_intact(sha256: str) -> bool:
    """Say whether the stored bytes still have the hash they are named by."""
    try:
        digest = hashlib.sha256()
        for chunk in read_original(sha256):
            digest.update(chunk)
    except FileNotFoundError:
        return False
    return digest.hexdigest() == sha256


def _write_temporary(temporary: Path, chunks: Iterable[bytes], limit: int) -> Stored:
    digest, size = hashlib.sha256(), 0
    descriptor = calls.open_new(temporary)
    try:
        for chunk in chunks:
            size += len(chunk)
            if size > limit:
                raise TooLargeError(
                    f"The file is larger than {limit // 1_000_000} MB. It was not "
                    "saved. Take the photo again at a smaller size."
                )
            digest.update(chunk)
            _write_all(descriptor, chunk)
        calls.sync(descriptor)
    finally:
        os.close(descriptor)
    return Stored(digest.hexdigest(), size)


def _write_all(descriptor: int, data: bytes) -> None:
    view = memoryview(data)
    while view:
        view = view[calls.write(descriptor, bytes(view)) :]


def _link_final(temporary: Path, final: Path) -> None:
    _ensure_folder(final.parent, parent=final.parent.parent)
    with suppress(FileExistsError):
        calls.link(temporary, final)
    calls.sync_folder(final.parent)


def _ensure_folder(folder: Path, *, parent: Path) -> None:
    parent.mkdir(mode=0o750, parents=True, exist_ok=True)
    try:
        calls.make_folder(folder)
    except FileExistsError:
        return
    calls.sync_folder(parent)


def _refuse_when_nearly_full(root: Path) -> None:
    disk = os.statvfs(root)
    if disk.f_blocks and 1 - disk.f_bavail / disk.f_blocks > NEARLY_FULL:
        raise StoreUnavailableError(
            "The disk is nearly full, so no new photo is taken. It was not saved; "
            "keep it on your phone and tell your administrator. Reading still works."
        )
