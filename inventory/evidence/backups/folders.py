"""The files of one backup folder, plain or locked; each is its owner's alone.

A locked file cannot be hashed by what is in it, for the private key is elsewhere. So
``sums.txt`` says how each was when it was written; ``sha256sum -c sums.txt`` checks it.
"""

import hashlib
from collections.abc import Iterable, Iterator
from pathlib import Path

from inventory.evidence.backups.locks import SUFFIX, locked
from inventory.evidence.store.durable import append_line, hash_of, write_whole

SUMS = "sums.txt"
PRIVATE = 0o600


class ChangedBytesError(Exception):
    """The bytes are not those of their name; nothing was written."""


class BackupFolder:
    """One folder; with ``keys`` every file written is locked for their holders."""

    def __init__(
        self, path: Path, keys: tuple[str, ...] = (), *, is_locked: bool = False
    ) -> None:
        self.path, self.keys = path, keys
        self.is_locked = is_locked or bool(keys)
        self._sums = _read_sums(path / SUMS) if self.is_locked else {}

    def at(self, name: str) -> Path:
        """Return where a file of this name lies."""
        return self.path / f"{name}{SUFFIX if self.is_locked else ''}"

    def holds(self, name: str, sha256: str) -> bool:
        """Return whether the file is there as it was written."""
        path = self.at(name)
        wanted = self._sums.get(name) if self.is_locked else sha256
        return path.exists() and hash_of(path) == wanted

    def keep(self, name: str, pieces: Iterable[bytes], sha256: str) -> None:
        """Write the file whole. Raise ChangedBytesError for bytes of another hash."""
        checked = _checked(pieces, sha256)
        made = locked(checked, self.keys) if self.keys else checked
        written = write_whole(self.at(name), made, mode=PRIVATE)
        if self.is_locked:
            self._sums[name] = written
            append_line(self.path / SUMS, _line(name, written), mode=PRIVATE)

    def close(self) -> None:
        """Write the sums of what is there, each once."""
        if self.is_locked:
            lines = [_line(*one) for one in sorted(self._sums.items())]
            kept = [line for line in lines if (self.path / line[66:]).exists()]
            text = "".join(f"{line}\n" for line in kept)
            write_whole(self.path / SUMS, [text.encode()], mode=PRIVATE)


def _checked(pieces: Iterable[bytes], sha256: str) -> Iterator[bytes]:
    digest = hashlib.sha256()
    for piece in pieces:
        digest.update(piece)
        yield piece
    if digest.hexdigest() != sha256:
        raise ChangedBytesError(sha256)


def _line(name: str, sha256: str) -> str:
    return f"{sha256}  {name}{SUFFIX}"


def _read_sums(path: Path) -> dict[str, str]:
    """Return the last sum of each file; a line that was cut off is passed over."""
    if not path.exists():
        return {}
    lines = path.read_text(encoding="utf-8").splitlines()
    whole = [line for line in lines if line.endswith(SUFFIX) and len(line) > 66]
    return {line[66:].removesuffix(SUFFIX): line[:64] for line in whole}
