"""gunicorn's threaded worker, with requests taken in before a thread has them."""

import selectors
import socket
import struct
import time
from contextlib import suppress
from functools import partial
from typing import Any

from django.conf import settings
from gunicorn import http
from gunicorn.workers.gthread import TConn, ThreadWorker

from config import receiving
from config.receiving import Received, Request

READS_A_TURN = 16
"""So many pieces are taken of one line before the others have their turn."""

MOST = 400
"""So many requests may be arriving at one process."""

TAKES_ANSWERS_WITHIN = 30
"""Seconds in which a client must take more of its answer."""


class PatientWorker(ThreadWorker):  # type: ignore[misc]
    """Answers by few threads; receives any number of slow requests without one."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:  # noqa: ANN401 - gunicorn's
        super().__init__(*args, **kwargs)
        self._arriving: dict[TConn, Request] = {}

    def accept(self, listener: socket.socket) -> None:
        """Accept a connection, and take in what it sends."""
        try:
            line, client = listener.accept()
        except OSError:  # it is gone, or another process has it
            return
        self.nr_conns += 1
        limit = struct.pack("ll", TAKES_ANSWERS_WITHIN, 0)
        line.setsockopt(socket.SOL_SOCKET, socket.SO_SNDTIMEO, limit)
        conn = TConn(self.cfg, line, client, listener.getsockname())
        conn.received = Received(line)
        conn.parser = http.get_parser(self.cfg, conn.received, client)
        self._begin(conn)

    def on_client_socket_readable(self, conn: TConn, client: socket.socket) -> None:
        """Take in the next request of a connection that was kept."""
        self.poller.unregister(client)
        self.keepalived_conns.remove(conn)
        self._begin(conn)

    def murder_pending(self) -> None:
        """Let go of those who send too slowly. gunicorn asks once a second."""
        super().murder_pending()
        now = time.monotonic()
        for conn, request in list(self._arriving.items()):
            if request.is_too_slow(now) or not self.alive:
                self._let_go(conn, receiving.TOO_SLOW if request.arrived else b"")

    def _begin(self, conn: TConn) -> None:
        if len(self._arriving) >= MOST:
            self._make_room()
        self._arriving[conn] = Request(time.monotonic())
        conn.sock.settimeout(0)
        self.poller.register(
            conn.sock, selectors.EVENT_READ, partial(self._receive, conn)
        )
        self._receive(conn, conn.sock)

    def _receive(self, conn: TConn, line: socket.socket) -> None:
        """Take in what is there, and let go of who cannot be received."""
        try:
            self._take_in(conn, line)
        except BlockingIOError:
            return
        except receiving.LengthMissingError:
            self._let_go(conn, receiving.NEEDS_LENGTH)
        except ConnectionError:
            self._let_go(conn)
        except OSError:  # the disk has no room for it
            self.log.exception("A request could not be taken in.")
            self._let_go(conn, receiving.NO_ROOM)

    def _take_in(self, conn: TConn, line: socket.socket) -> None:
        """Add what is there to the request; hand it to a thread once it is whole."""
        request = self._arriving[conn]
        for _ in range(READS_A_TURN):
            data = line.recv(receiving.PIECE)
            if not data:
                self._end_of_line(conn, request)
                return
            request.take(data, time.monotonic(), _new_spool)
            if request.is_whole(most=settings.MAX_REQUEST_BYTES):
                self._answer(conn, request)
                return
            if request.expects:
                request.expects = False
                line.send(receiving.GO_ON)

    def _end_of_line(self, conn: TConn, request: Request) -> None:
        """Answer what was cut off, since its sender may still listen."""
        if request.wanted is None:
            self._let_go(conn)
        else:
            self._answer(conn, request)

    def _answer(self, conn: TConn, request: Request) -> None:
        self._forget(conn)
        conn.received.hold(request)
        conn.data_ready = True
        self.enqueue_req(conn)

    def _let_go(self, conn: TConn, words: bytes = b"") -> None:
        request = self._forget(conn)
        if request.spool is not None:
            request.spool.close()
        with suppress(OSError):
            conn.sock.send(words)
        self.nr_conns -= 1
        conn.close()

    def _forget(self, conn: TConn) -> Request:
        with suppress(OSError, KeyError, ValueError):
            self.poller.unregister(conn.sock)
        return self._arriving.pop(conn)

    def _make_room(self) -> None:
        """Let go of the oldest request of the address that sends the most."""
        of_address: dict[str, list[TConn]] = {}
        for conn in self._arriving:
            of_address.setdefault(conn.client[0] if conn.client else "", []).append(
                conn
            )
        busiest = max(of_address.values(), key=len)
        oldest = min(busiest, key=lambda conn: self._arriving[conn].started)
        self._let_go(oldest, receiving.TOO_SLOW)


def _new_spool() -> receiving.Spool:
    return receiving.spool_in(str(settings.FILE_UPLOAD_TEMP_DIR))
