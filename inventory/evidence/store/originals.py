"""The one door by which original bytes are kept for ever, and read again.

Which home they live in is the settings' business; see ``homes``.
"""

import hashlib
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import BinaryIO

from inventory.evidence.store.durable import pieces_in
from inventory.evidence.store.folder_home import Draft, FolderHome
from inventory.evidence.store.homes import (
    ChangedOnTheWayError,
    HomeUnreachableError,
    Stored,
    StoreError,
    StoreUnavailableError,
    TooLargeError,
    home,
    refuse_when_moved,
)

__all__ = [
    "ChangedOnTheWayError",
    "Draft",
    "HomeUnreachableError",
    "StoreError",
    "StoreUnavailableError",
    "Stored",
    "TooLargeError",
    "begin_draft",
    "exists",
    "intact_bytes",
    "is_intact",
    "keep_draft",
    "may_be_named",
    "open_intact",
    "open_original",
    "path_of",
    "read_original",
    "store_original",
]


def store_original(
    chunks: Iterable[bytes], *, limit: int, expected: str = ""
) -> Stored:
    """Keep the bytes durably and return their hash and size.

    ``limit`` is in bytes; ``expected`` is the SHA-256 that the sender names, if it
    does. The same bytes twice are one file. Raise TooLargeError over the limit,
    ChangedOnTheWayError for other bytes than expected, and StoreUnavailableError
    when the disk refuses, or the originals moved; nothing is kept then.
    """
    used = home()
    refuse_when_moved(used.moved_to())
    return used.keep(chunks, limit=limit, expected=expected)


def begin_draft() -> Draft | None:
    """Begin a file of bytes that arrive and may be kept later, by ``keep_draft``.

    None where the home takes whole files only, or its disk refuses just now: who keeps
    them later is told so then.
    """
    used = home()
    try:
        return used.begin() if isinstance(used, FolderHome) else None
    except OSError:
        return None


def keep_draft(draft: Draft, *, limit: int, expected: str = "") -> Stored:
    """Keep what a draft holds, as ``store_original`` keeps bytes; raise as it does."""
    used = home()
    refuse_when_moved(used.moved_to())
    if isinstance(used, FolderHome) and used.root == draft.root:
        return used.keep_draft(draft, limit=limit, expected=expected)
    with draft.path.open("rb") as file:  # the settings changed meanwhile
        return used.keep(pieces_in(file), limit=limit, expected=expected)


def open_original(sha256: str) -> BinaryIO:
    """Open an original; raise FileNotFoundError where it is missing."""
    return home().open(sha256)


def exists(sha256: str) -> bool:
    """Return whether the original with this hash is kept."""
    return home().exists(sha256)


def may_be_named(sha256: str) -> bool:
    """Return whether a row may name these bytes now. Ask it under ``take_turn``.

    Not where a sweep took them aside, nor where the house moved to another home since
    they were stored: they might not be there.
    """
    used = home()
    return used.exists(sha256) and not used.moved_to()


def read_original(sha256: str) -> Iterator[bytes]:
    """Yield the bytes of an original, 64 KiB at a time.

    Raise FileNotFoundError where it is missing.
    """
    with open_original(sha256) as file:
        while chunk := file.read(65_536):
            yield chunk


def intact_bytes(sha256: str) -> bytes | None:
    """Return an original's bytes, or None where they are missing or have changed.

    Raise HomeUnreachableError where nobody knows: it is not the same as lost.
    """
    try:
        data = b"".join(read_original(sha256))
    except HomeUnreachableError:
        raise
    except OSError:
        return None
    return data if hashlib.sha256(data).hexdigest() == sha256 else None


def open_intact(sha256: str) -> BinaryIO | None:
    """Open an original at its start, or return None where ``intact_bytes`` would.

    Its bytes are read once to be checked, and are never whole in memory.
    """
    try:
        file = open_original(sha256)
    except HomeUnreachableError:
        raise
    except OSError:
        return None
    try:
        digest = hashlib.sha256()
        for piece in pieces_in(file):
            digest.update(piece)
        if digest.hexdigest() == sha256:
            file.seek(0)
            return file
    except OSError:  # the disk cannot read it
        pass
    file.close()
    return None


def path_of(sha256: str) -> Path:
    """Return where the folder home keeps the original with this hash."""
    return FolderHome().path_of(sha256)


def is_intact(sha256: str) -> bool:
    """Return whether the stored bytes still have the hash they are named by.

    Raise HomeUnreachableError where nobody knows.
    """
    file = open_intact(sha256)
    if file is None:
        return False
    file.close()
    return True
