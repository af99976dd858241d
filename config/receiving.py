"""Requests that arrive slowly, taken in without a thread.

A phone on a poor line sends one photo for half a minute. What has arrived of its
request lies here, on the disk beyond a little; a thread answers it once all of it is
there. Who sends too slowly for too long is let go, so that nobody fills the server by
sending nothing.
"""

import re
import socket
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Protocol

PIECE = 64 * 1024
IN_MEMORY = 256 * 1024

HEADERS_WITHIN = 15.0
STALLED_AFTER = 45.0
"""Seconds without a byte. The phone's own script gives up after 30."""

PATIENCE, LEAST_RATE = 60.0, 4 * 1024
"""Seconds after which a body must have come at so many bytes a second on average."""

TOO_SLOW = (
    b"HTTP/1.1 408 Request Timeout\r\nConnection: close\r\nContent-Length: 0\r\n\r\n"
)
NEEDS_LENGTH = (
    b"HTTP/1.1 411 Length Required\r\nConnection: close\r\nContent-Length: 0\r\n\r\n"
)
NO_ROOM = b"HTTP/1.1 503 Service Unavailable\r\nConnection: close\r\nContent-Length: 0\r\n\r\n"
GO_ON = b"HTTP/1.1 100 Continue\r\n\r\n"

_END = b"\r\n\r\n"
_LENGTH = re.compile(rb"\r\ncontent-length:[ \t]*(\d{1,15})[ \t]*\r\n", re.IGNORECASE)
_CHUNKED = re.compile(rb"\r\ntransfer-encoding:", re.IGNORECASE)
_EXPECTS = re.compile(rb"\r\nexpect:[ \t]*100-continue[ \t]*\r\n", re.IGNORECASE)


class Spool(Protocol):
    """A file that is written to its end, then read from its start."""

    def write(self, data: bytes, /) -> int:
        """Add these bytes."""

    def seek(self, place: int, /) -> int:
        """Go to this byte."""

    def read(self, size: int, /) -> bytes:
        """Return at most so many bytes."""

    def close(self) -> None:
        """Let the file go."""


class LengthMissingError(Exception):
    """A body in pieces of unknown number: no browser sends one."""


@dataclass
class Request:
    """What has arrived of one request."""

    started: float
    head: bytearray = field(default_factory=bytearray)
    wanted: int | None = None
    """How many bytes it has in all; None while its headers are arriving."""
    arrived: int = 0
    last: float = 0.0
    expects: bool = False
    spool: Spool | None = None

    def take(self, data: bytes, at: float, make_spool: Callable[[], Spool]) -> None:
        """Add what arrived. Raise LengthMissingError."""
        self.arrived, self.last = self.arrived + len(data), at
        if self.spool is not None:
            self.spool.write(data)
            return
        self.head += data
        if self.wanted is None:
            self._read_headers()
        if self.wanted is not None and self.wanted > self.arrived:
            self.spool = make_spool()
            self.spool.write(bytes(self.head))
            self.head.clear()

    def _read_headers(self) -> None:
        end = self.head.find(_END)
        if end < 0:
            return
        headers = b"\r\n" + bytes(self.head[: end + 2])
        if _CHUNKED.search(headers):
            raise LengthMissingError
        length = _LENGTH.search(headers)
        self.wanted = end + len(_END) + (int(length[1]) if length else 0)
        self.expects = bool(_EXPECTS.search(headers)) and self.wanted > self.arrived

    def is_whole(self, *, most: int) -> bool:
        """Return whether it can be answered: all is here, or it is too large anyway."""
        if self.wanted is None:
            return len(self.head) > PIECE
        return self.arrived >= self.wanted or self.wanted > most + PIECE

    def is_too_slow(self, at: float) -> bool:
        """Return whether it is no longer waited for."""
        spent = at - self.started
        if self.wanted is None and spent > HEADERS_WITHIN:
            return True
        if at - max(self.last, self.started) > STALLED_AFTER:
            return True
        return spent > PATIENCE and self.arrived < spent * LEAST_RATE


class Received:
    """Reads as a socket does: first what was taken in, then the line itself."""

    def __init__(self, line: socket.socket) -> None:
        self._line = line
        self._head = b""
        self._spool: Spool | None = None

    def hold(self, request: Request) -> None:
        """Give this request next."""
        self.close()
        self._head, self._spool = bytes(request.head), request.spool
        if self._spool is not None:
            self._spool.seek(0)

    def recv(self, size: int) -> bytes:
        """Return at most so many bytes, and no more than a piece of what was taken in.

        gunicorn asks for a mebibyte, keeps what nobody has read yet, and copies all of
        that each time a little is read.
        """
        if self._head:
            data, self._head = self._head[:size], self._head[size:]
            return data
        if self._spool is not None:
            if data := self._spool.read(min(size, PIECE)):
                return data
            self.close()
        return self._line.recv(size)

    def gettimeout(self) -> float | None:
        """Return the seconds that the line is waited for."""
        return self._line.gettimeout()

    def settimeout(self, seconds: float | None) -> None:
        """Wait so many seconds for the line."""
        self._line.settimeout(seconds)

    def close(self) -> None:
        """Let go of what was taken in."""
        if self._spool is not None:
            self._spool.close()
            self._spool = None


def spool_in(folder: str) -> Spool:
    """Return a new spool, which has no name: nothing is left of it after a crash."""
    return tempfile.SpooledTemporaryFile(IN_MEMORY, dir=folder)
