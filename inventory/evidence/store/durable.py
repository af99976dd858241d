"""Writing files for good, outside the store: whole, synced, under their final name."""

import hashlib
import os
import secrets
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import IO

from inventory.evidence.store.calls import sync_folder

PIECE = 1 << 20
USUAL = 0o666
"""The rights of a file, less what the process's own mask takes."""


def sync_file(path: Path) -> None:
    """Force a file's bytes to the disk."""
    descriptor = os.open(path, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def write_whole(path: Path, chunks: Iterable[bytes], *, mode: int = USUAL) -> str:
    """Write a file whole or not at all; return the SHA-256 of what was written."""
    digest = hashlib.sha256()
    path.parent.mkdir(mode=0o750, parents=True, exist_ok=True)
    unfinished = path.with_name(f".{path.name}.{secrets.token_hex(6)}")
    try:
        with open(unfinished, "xb", opener=_opener(mode)) as file:
            for chunk in chunks:
                digest.update(chunk)
                file.write(chunk)
            file.flush()
            os.fsync(file.fileno())
        unfinished.replace(path)
    finally:
        unfinished.unlink(missing_ok=True)
    sync_folder(path.parent)
    return digest.hexdigest()


def append_line(path: Path, line: str, *, mode: int = USUAL) -> None:
    """Add a line to the end of a file, for good."""
    is_new = not path.exists()
    with open(path, "a", encoding="utf-8", opener=_opener(mode)) as file:
        file.write(f"{line}\n")
        file.flush()
        os.fsync(file.fileno())
    if is_new:
        sync_folder(path.parent)


def _opener(mode: int) -> Callable[[str, int], int]:
    return lambda name, flags: os.open(name, flags, mode)


def pieces_of(path: Path) -> Iterator[bytes]:
    """Yield a file's bytes, a mebibyte at a time."""
    with path.open("rb") as file:
        yield from pieces_in(file)


def pieces_in(file: IO[bytes]) -> Iterator[bytes]:
    """Yield the bytes of an open file from where it stands, likewise."""
    while piece := file.read(PIECE):
        yield piece


def hash_of(path: Path) -> str:
    """Return the SHA-256 of a file's bytes."""
    digest = hashlib.sha256()
    for piece in pieces_of(path):
        digest.update(piece)
    return digest.hexdigest()
