"""One writer at a time, first come, first served, before a write transaction begins.

SQLite makes writers wait by polling, which is unfair: under steady writing one of
them can wait out its whole busy timeout. Here writers queue at a file beside the
database. Its bytes are never written, only locked: byte 0 is the right to write, and
who waits for it holds the byte that is numbered by the moment it came. Who finds no
locked byte of an earlier moment is next. The locks lie on open file descriptions, so
they part threads of one process just as well as processes, and the kernel lets go of
them when a process dies: a dead holder leaves the gate open, a dead waiter the queue.
"""

import fcntl
import os
import struct
import time
from pathlib import Path

_RIGHT = 0
_QUEUE = 1
_FLOCK = "hhqqi4x"
"""``struct flock`` of Linux: kind, whence, start, length, process (0: none)."""

_SHORTEST_PAUSE = 0.0003
_LONGEST_PAUSE = 0.003
_SHARE = 20
"""Who is next looks again after this part of the time it has been next."""


class GateClosedError(TimeoutError):
    """Another writer held the gate for longer than we may wait."""


class WriterGate:
    """Hold the right to write to one database file, for one connection."""

    def __init__(self, path: Path, *, timeout: float) -> None:
        """Guard with the file at ``path``; wait at most ``timeout`` seconds."""
        self.path = path
        self.timeout = timeout
        self._descriptor: int | None = None
        self._owner = 0

    @property
    def is_held(self) -> bool:
        """Return whether this connection, in this process, holds the gate."""
        return self._descriptor is not None and self._owner == os.getpid()

    def acquire(self) -> None:
        """Take the gate; do nothing when it is held already.

        Raise ``GateClosedError`` after ``timeout`` seconds, and ``OSError`` where
        the lock file cannot be opened.
        """
        if self.is_held:
            return
        self.release()
        flags = os.O_RDWR | os.O_CREAT | os.O_CLOEXEC
        descriptor = os.open(self.path, flags, 0o600)
        try:
            self._wait_for(descriptor)
        except BaseException:
            os.close(descriptor)
            raise
        self._descriptor, self._owner = descriptor, os.getpid()

    def release(self) -> None:
        """Return the gate back; do nothing when it is not held."""
        descriptor, self._descriptor = self._descriptor, None
        if descriptor is None:
            return
        # A forked child shares the parent's lock: closing its copy is harmless,
        # unlocking it would let a second writer in beside the parent.
        if self._owner == os.getpid():
            _unlock(descriptor, _RIGHT)
        os.close(descriptor)

    def _wait_for(self, descriptor: int) -> None:
        ticket = _take_ticket(descriptor)
        try:
            self._stand_in_line(descriptor, ticket)
        finally:  # by name, not by closing: a forked child may hold the file open
            _unlock(descriptor, ticket)

    def _stand_in_line(self, descriptor: int, ticket: int) -> None:
        give_up_at = time.monotonic() + self.timeout
        next_since = None
        while True:
            pause = _LONGEST_PAUSE
            if _is_next(descriptor, ticket):
                if _try_lock(descriptor, _RIGHT):
                    return
                next_since = next_since or time.monotonic()
                waited = (time.monotonic() - next_since) / _SHARE
                pause = max(_SHORTEST_PAUSE, min(pause, waited))
            if time.monotonic() >= give_up_at:
                raise GateClosedError(
                    f"another writer held {self.path.name} for {self.timeout:g} s"
                )
            time.sleep(pause)


def _take_ticket(descriptor: int) -> int:
    """Lock the byte of this moment; its clock is the same for the whole machine."""
    while not _try_lock(descriptor, ticket := _QUEUE + time.monotonic_ns()):
        pass  # somebody came in the same nanosecond
    return ticket


def _is_next(descriptor: int, ticket: int) -> bool:
    asked = struct.pack(_FLOCK, fcntl.F_WRLCK, os.SEEK_SET, _QUEUE, ticket - _QUEUE, 0)
    found = fcntl.fcntl(descriptor, fcntl.F_OFD_GETLK, asked)
    kind: int = struct.unpack(_FLOCK, found)[0]
    return kind == fcntl.F_UNLCK


def _try_lock(descriptor: int, byte: int) -> bool:
    try:
        _set(descriptor, byte, fcntl.F_WRLCK)
    except BlockingIOError:
        return False
    return True


def _unlock(descriptor: int, byte: int) -> None:
    _set(descriptor, byte, fcntl.F_UNLCK)


def _set(descriptor: int, byte: int, kind: int) -> None:
    lock = struct.pack(_FLOCK, kind, os.SEEK_SET, byte, 1, 0)
    fcntl.fcntl(descriptor, fcntl.F_OFD_SETLK, lock)
