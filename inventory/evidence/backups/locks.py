"""Locking the files of a backup with ``age``, for whoever holds the private key alone.

age rather than gpg: its public key is one line and its private key one file, with no
key ring, no trust to declare and no agent on the server; and a file that was cut off or
changed does not open at all. The format is that of https://age-encryption.org/v1.
"""

import subprocess
import threading
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from pathlib import Path

from inventory.evidence.store.durable import pieces_in, pieces_of

SUFFIX = ".age"
_PROGRAM = "age"


class LockError(Exception):
    """A file could not be locked or opened; the message says why."""


def require_lock(keys: Sequence[str]) -> None:
    """Raise LockError unless files can be locked for these public keys."""
    try:
        for _ in locked([b""], keys):
            pass
    except LockError as error:
        raise LockError(f"{error} Nothing was written.") from error


def locked(pieces: Iterable[bytes], keys: Sequence[str]) -> Iterator[bytes]:
    """Yield the bytes as only the holders of these public keys can read them."""
    words = [word for key in keys for word in ("--recipient", key)]
    return _through(["--encrypt", *words], pieces)


def opened(path: Path, key: Path) -> Iterator[bytes]:
    """Yield what was locked, by the private key in this file.

    Raise LockError where it does not fit, or the file has changed: maybe at the end.
    """
    return _through(["--decrypt", "--identity", str(key)], pieces_of(path))


def _through(words: Sequence[str], pieces: Iterable[bytes]) -> Iterator[bytes]:
    """Yield what the program makes of the bytes; raise what reading them raised."""
    try:
        program = subprocess.Popen(  # noqa: S603 - a fixed name, words of our own
            [_PROGRAM, *words],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        )
    except FileNotFoundError as error:
        raise LockError(
            f"{_PROGRAM} is not installed on this machine, and backups are locked with "
            "it. Install the package age."
        ) from error
    with program:
        feeding = _Feeding(program, pieces)
        try:
            if program.stdout:
                yield from pieces_in(program.stdout)
            feeding.join()
            said = program.stderr.read().decode().strip() if program.stderr else ""
        finally:
            if program.poll() is None and not feeding.is_done:
                program.kill()
            feeding.join()
    if feeding.failure is not None:
        raise feeding.failure
    if program.returncode:
        raise LockError(f"{said.splitlines()[0] if said else f'{_PROGRAM} failed'}.")


class _Feeding(threading.Thread):
    """Hands the bytes to the program while its own are read."""

    def __init__(
        self, program: "subprocess.Popen[bytes]", pieces: Iterable[bytes]
    ) -> None:
        super().__init__(name="locking", daemon=True)
        self.failure: BaseException | None = None
        self.is_done = False
        self._into, self._pieces = program.stdin, pieces
        self.start()

    def run(self) -> None:
        """Write all; a program that stops reading says why itself."""
        assert self._into is not None  # noqa: S101 - it is a pipe
        try:
            for piece in self._pieces:
                self._into.write(piece)
        except BrokenPipeError:
            pass
        except BaseException as error:  # noqa: BLE001 - raised again by whoever reads
            self.failure = error
        with suppress(BrokenPipeError):
            self._into.close()
        self.is_done = True
