"""One writer at a time: a file lock taken before a write transaction begins.

SQLite makes writers wait by polling, which is unfair: under steady writing one of
them can wait out its whole busy timeout. A lock on a file beside the database lets
them in one by one. The lock lies on an open file description, so it parts threads
of one process just as well as processes, and it goes when the process dies.
"""

import fcntl
import os
import random
import time
from pathlib import Path

_SHORTEST_PAUSE = 0.0005
_LONGEST_PAUSE = 0.005


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
            fcntl.flock(descriptor, fcntl.LOCK_UN)
        os.close(descriptor)

    def _wait_for(self, descriptor: int) -> None:
        give_up_at = time.monotonic() + self.timeout
        while not _try_lock(descriptor):
            if time.monotonic() >= give_up_at:
                raise GateClosedError(
                    f"another writer held {self.path.name} for {self.timeout:g} s"
                )
            time.sleep(random.uniform(_SHORTEST_PAUSE, _LONGEST_PAUSE))  # noqa: S311


def _try_lock(descriptor: int) -> bool:
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True
