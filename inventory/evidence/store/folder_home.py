"""A folder as the home of original bytes, one file for each, named by its hash.

The order of work is: write a temporary file while hashing, sync it, link it under
its SHA-256, sync the folder; only then may a row be written and an answer given. A
crash leaves nothing, or an orphan, never a row without its file.
"""

import hashlib
import os
import re
import secrets
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO
from weakref import finalize

from django.conf import settings

from inventory.evidence.store import calls
from inventory.evidence.store.durable import write_whole
from inventory.evidence.store.homes import (
    Stored,
    StoreUnavailableError,
    refuse_other_bytes,
    too_large,
)

INCOMING = ".incoming"
QUARANTINE = ".quarantine"
MOVED = ".moved-to"
"""The file that names the home to which all originals were moved."""
NEARLY_FULL = 0.95
"""The share of the disk above which no new photo is taken."""

_FOLDER = re.compile(r"[0-9a-f]{2}\Z")
_NAME = re.compile(r"[0-9a-f]{64}\Z")


class FolderHome:
    """Keeps originals below ``EVIDENCE_ROOT``. See ``homes.Home`` for each act."""

    def __init__(self) -> None:
        self.root = Path(settings.EVIDENCE_ROOT)

    def path_of(self, sha256: str) -> Path:
        """Return the path of the original with this hash, whether or not it exists."""
        return self.root / sha256[:2] / sha256

    def keep(self, chunks: Iterable[bytes], *, limit: int, expected: str) -> Stored:
        """Keep the bytes durably and return their hash and size."""
        with _disk_refusals():
            self._make_ready()
            draft = Draft(self.root)
            try:
                for chunk in chunks:
                    if draft.size + len(chunk) > limit:
                        raise too_large(limit)
                    draft.add(chunk)
                return self._keep(draft, expected)
            finally:
                draft.end()

    def begin(self) -> "Draft":
        """Begin a file that ``keep_draft`` may keep; raise OSError."""
        try:
            return Draft(self.root)
        except FileNotFoundError:
            self._make_folders()
            return Draft(self.root)

    def keep_draft(self, draft: "Draft", *, limit: int, expected: str) -> Stored:
        """Keep what a draft holds, as ``keep`` does. Repeatable until it ends."""
        with _disk_refusals():
            self._make_ready()
            if draft.size > limit:
                raise too_large(limit)
            return self._keep(draft, expected)

    def _make_ready(self) -> None:
        self._make_folders()
        _refuse_when_nearly_full(self.root)

    def _make_folders(self) -> None:
        _ensure_folder(self.root)
        with suppress(FileExistsError):
            calls.make_folder(self.root / INCOMING)

    def _keep(self, draft: "Draft", expected: str) -> Stored:
        draft.sync()
        stored = draft.told()
        refuse_other_bytes(stored, expected)
        _link_final(draft.path, self.path_of(stored.sha256))
        return stored

    def open(self, sha256: str) -> BinaryIO:
        """Open an original; raise FileNotFoundError where it is missing."""
        return self.path_of(sha256).open("rb")

    def exists(self, sha256: str) -> bool:
        """Return whether the original is here."""
        return self.path_of(sha256).is_file()

    def names(self, *, older_than: float | None = None) -> Iterator[str]:
        """Yield the hash of each original, or of each stored before a moment."""
        if not self.root.is_dir():
            return
        folders = (path for path in self.root.iterdir() if _FOLDER.match(path.name))
        for folder in sorted(folders):
            for path in sorted(folder.iterdir()):
                if _NAME.match(path.name) and _is_older(path, older_than):
                    yield path.name

    def set_aside(self, sha256: str) -> None:
        """Return the file a name in quarantine, durably, then take its own away."""
        source, aside = self.path_of(sha256), self.root / QUARANTINE
        _ensure_folder(aside)
        with suppress(FileExistsError):
            calls.link(source, aside / sha256)
        calls.sync_folder(aside)
        calls.unlink(source)
        calls.sync_folder(source.parent)

    def sweep_unfinished(self, *, older_than: float) -> int:
        """Remove temporary files last written before this moment."""
        swept = 0
        incoming = self.root / INCOMING
        for path in sorted(incoming.iterdir()) if incoming.is_dir() else []:
            if _is_older(path, older_than):
                calls.unlink(path)
                swept += 1
        return swept

    def moved_to(self) -> str:
        """Return the home that all this was moved to, or nothing while it is in use."""
        try:
            return (self.root / MOVED).read_text(encoding="utf-8")
        except FileNotFoundError:
            return ""

    def close_for(self, name: str) -> None:
        """Take no more bytes, durably: all of them are at that home."""
        write_whole(self.root / MOVED, [name.encode()])

    def reopen(self) -> None:
        """Take bytes again, durably."""
        if self.moved_to():
            calls.unlink(self.root / MOVED)
            calls.sync_folder(self.root)


class Draft:
    """A file that is being written beside the originals, and hashed on its way."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self.path = root / INCOMING / secrets.token_hex(16)
        self.size = 0
        self._digest = hashlib.sha256()
        self._descriptor = calls.open_new(self.path)
        # Where nobody ends it, as when the rest of its form cannot be read.
        self.end = finalize(self, _end, self.path, self._descriptor)
        self.end.atexit = False

    def add(self, data: bytes) -> None:
        """Write these bytes to its end."""
        self._digest.update(data)
        self.size += len(data)
        _write_all(self._descriptor, data)

    def sync(self) -> None:
        """Force its bytes to the disk."""
        calls.sync(self._descriptor)

    def told(self) -> Stored:
        """Return the hash and the size of what was written."""
        return Stored(self._digest.hexdigest(), self.size)


def _end(path: Path, descriptor: int) -> None:
    """Close a draft and take its name away."""
    os.close(descriptor)
    with suppress(OSError):
        calls.unlink(path)


@contextmanager
def _disk_refusals() -> Iterator[None]:
    """Say of the disk's refusals what the person can do."""
    try:
        yield
    except OSError as error:
        raise StoreUnavailableError(
            "The disk could not take the file. It was not saved. Keep it on "
            "your phone, call your administrator, and try again later."
        ) from error


def share_used(root: Path) -> float:
    """Return how much of the disk under this folder is in use, from 0 to 1."""
    disk = os.statvfs(root)
    return 1 - disk.f_bavail / disk.f_blocks if disk.f_blocks else 0.0


def _is_older(path: Path, moment: float | None) -> bool:
    if moment is None:
        return True
    try:
        return path.stat().st_mtime < moment
    except FileNotFoundError:
        return False


def _write_all(descriptor: int, data: bytes) -> None:
    view = memoryview(data)
    while view:
        view = view[calls.write(descriptor, bytes(view)) :]


def _link_final(temporary: Path, final: Path) -> None:
    _ensure_folder(final.parent)
    with suppress(FileExistsError):
        calls.link(temporary, final)
    calls.sync_folder(final.parent)


def _ensure_folder(folder: Path) -> None:
    """Make a folder if need be, and force its name to the disk in any case.

    Also when it was there: whoever made it may have been killed before syncing.
    """
    if not folder.parent.is_dir():
        _ensure_folder(folder.parent)
    with suppress(FileExistsError):
        calls.make_folder(folder)
    calls.sync_folder(folder.parent)


def _refuse_when_nearly_full(root: Path) -> None:
    if share_used(root) > NEARLY_FULL:
        raise StoreUnavailableError(
            "The disk is nearly full, so no new photo can be saved. Keep it on your "
            "phone and call your administrator. You can still read pages."
        )
