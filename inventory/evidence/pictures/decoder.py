"""The decoder of the machine: one warm program, asked over a socket of the data folder.

Whoever holds the lock keeps it alive; everybody asks it. Where none runs, or it ends
before it answered, the caller starts a child of its own.
"""

import fcntl
import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from django.conf import settings

PATIENCE = 60.0
"""Longer than two pictures that hang, one after the other."""

LOOK_EVERY = 30.0
LONGEST_PATH = 100
"""The system takes few characters more as the path of a socket."""

MEMORY = {
    "glibc.malloc.hugetlb": 1,
    "glibc.malloc.mmap_threshold": 4 << 20,
    "glibc.malloc.trim_threshold": 16 << 20,
    "glibc.malloc.top_pad": 2 << 20,
}
"""How a fork gets its memory: in few large pages, and kept until it ends.

Else an eighth of its time goes to small pages, and to those given back and taken anew.
"""

_SCRIPT = Path(__file__).with_name("decode.py")


def ask(source: BinaryIO) -> bytes | None:
    """Return what the decoder says of a picture; None where there was no answer.

    The decoder is handed the open file, and reads it from its start.
    """
    try:
        with socket.socket(socket.AF_UNIX) as line, _at_hand() as path:
            line.settimeout(PATIENCE)
            line.connect(path)
            socket.send_fds(line, [b"o"], [source.fileno()])
            pieces = []
            while piece := line.recv(1 << 20):
                pieces.append(piece)
    except OSError:
        return None
    return b"".join(pieces) or None


def is_kept() -> bool:
    """Return whether some process keeps the decoder alive now."""
    try:
        with _lock_path().open("r") as lock:
            fcntl.flock(lock, fcntl.LOCK_SH | fcntl.LOCK_NB)
    except BlockingIOError:
        return True
    except OSError:
        return False
    return False


class Keeper:
    """Holds the lock, and with it the decoder; one on each machine at a time."""

    def __init__(self) -> None:
        self._lock = _lock_path().open("w")
        self._listening: socket.socket | None = None
        self._process: subprocess.Popen[bytes] | None = None
        self._looked = 0.0

    def take(self) -> bool:
        """Return whether the lock is ours; start the decoder where it is."""
        try:
            fcntl.flock(self._lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        self.look_after()
        return True

    def look_after(self) -> None:
        """Start the decoder where it ended; kill and start it where it hangs."""
        if self._process is not None and self._process.poll() is None:
            if time.monotonic() - self._looked < LOOK_EVERY:
                return
            self._looked = time.monotonic()
            with Path(os.devnull).open("rb") as nothing:
                if ask(nothing) is not None:
                    return
            self._end()
        self._start()

    def close(self) -> None:
        """End the decoder and let the lock go."""
        self._end()
        if self._listening is not None:
            self._listening.close()
            self._listening = None
        self._lock.close()

    def _start(self) -> None:
        if self._listening is None:
            self._listening = socket.socket(socket.AF_UNIX)
            with suppress(FileNotFoundError):
                _socket_path().unlink()
            with _at_hand() as path:
                self._listening.bind(path)
            _socket_path().chmod(0o600)
            self._listening.listen(128)
        self._process = subprocess.Popen(  # noqa: S603 - our own script
            [sys.executable, "-I", str(_SCRIPT), "serve", str(os.getpid())],
            env={**os.environ, "GLIBC_TUNABLES": _tunables()},
            stdin=self._listening.fileno(),
            stdout=subprocess.DEVNULL,
        )
        self._looked = time.monotonic()

    def _end(self) -> None:
        if self._process is not None:
            self._process.kill()
            self._process.wait()


def _tunables() -> str:
    return ":".join(f"{name}={value}" for name, value in MEMORY.items())


def _lock_path() -> Path:
    return Path(settings.DATA_DIR) / "decoder.lock"


def _socket_path() -> Path:
    # Not the name of before: while a server is exchanged, programs of both may run, and
    # the decoder of before would take the message for the picture.
    return Path(settings.DATA_DIR) / "pictures.sock"


@contextmanager
def _at_hand() -> Iterator[str]:
    """Yield the socket's path, by way of an open folder where it is too long."""
    path = _socket_path()
    if len(os.fsencode(path)) <= LONGEST_PATH:
        yield str(path)
        return
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        yield f"/proc/self/fd/{folder}/{path.name}"
    finally:
        os.close(folder)
