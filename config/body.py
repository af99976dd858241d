"""Counting the bytes that a request's body really has.

A phone that loses its signal in the middle of an upload leaves a body shorter than
announced. Django parses what arrived and reports no file and no error; only the
count shows that the upload was cut off.
"""

from collections.abc import Iterable
from typing import Protocol
from wsgiref.types import StartResponse, WSGIApplication, WSGIEnvironment

COUNTER = "dock.body"
_CHUNK = 64 * 1024


class _Readable(Protocol):
    def read(self, size: int = -1, /) -> bytes: ...

    def readline(self, size: int = -1, /) -> bytes: ...


class CountedBody:
    """A body that counts the bytes read from it."""

    def __init__(self, body: _Readable) -> None:
        self._body = body
        self.bytes_read = 0

    def read(self, size: int = -1, /) -> bytes:
        """Read as the body does."""
        return self._count(self._body.read(size))

    def readline(self, size: int = -1, /) -> bytes:
        """Read one line as the body does."""
        return self._count(self._body.readline(size))

    def has_all_of(self, announced: int) -> bool:
        """Read on until ``announced`` bytes were read, and return whether they were.

        A parser may stop at the last boundary and leave a tail unread.
        """
        while self.bytes_read < announced:
            if not self.read(min(_CHUNK, announced - self.bytes_read)):
                return False
        return True

    def _count(self, data: bytes) -> bytes:
        self.bytes_read += len(data)
        return data


class CountBodies:
    """WSGI wrapper: replaces every body by a ``CountedBody``."""

    def __init__(self, application: WSGIApplication) -> None:
        self._application = application

    def __call__(
        self, environ: WSGIEnvironment, start_response: StartResponse
    ) -> Iterable[bytes]:
        """Answer as the application does."""
        counted = CountedBody(environ["wsgi.input"])
        environ["wsgi.input"] = environ[COUNTER] = counted
        return self._application(environ, start_response)
