"""Slow clients keep nobody else waiting, and lose nothing that they send to its end."""

import http.client
import socket
import time
from contextlib import ExitStack, closing
from urllib.parse import urlsplit

import pytest

from tests.sites import served, template_site
from tests.sizes import cases

pytestmark = [pytest.mark.database, pytest.mark.processes, pytest.mark.slow]

PROMPT = 5.0
"""Seconds, on a busy machine. While each thread waited for a body it was for ever."""

HEAD = (
    b"POST /accounts/login/ HTTP/1.1\r\nHost: 127.0.0.1\r\n"
    b"Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 400000\r\n\r\n"
)


@pytest.fixture(scope="module")
def address(tmp_path_factory):
    with (
        template_site(tmp_path_factory.mktemp("slow") / "site") as site,
        served(site) as found,
    ):
        yield urlsplit(found).netloc


def opened(address):
    host, port = address.split(":")
    return socket.create_connection((host, int(port)), timeout=30)


def asked(address, path):
    """Return the status of a page, and the seconds that it took."""
    began = time.monotonic()
    with closing(http.client.HTTPConnection(address, timeout=60)) as line:
        line.request("GET", path)
        status = line.getresponse().status
    return status, time.monotonic() - began


def test_pages_are_served_while_many_requests_dribble_in(address):
    beginnings = (HEAD, HEAD[:40], HEAD + b"a" * 300_000)
    with ExitStack() as stack:
        lines = []
        for number in range(cases(40, 200)):
            lines.append(stack.enter_context(opened(address)))
            lines[-1].sendall(beginnings[number % len(beginnings)])
        for _ in range(3):
            for line in lines:
                line.sendall(b"x")
            for path in ("/healthz", "/accounts/login/"):
                status, seconds = asked(address, path)
                assert (status, seconds < PROMPT) == (200, True), (path, seconds)


def test_a_request_that_comes_in_pieces_is_answered_whole(address):
    body = b"username=rosa&more=" + b"y" * 300_000
    with opened(address) as line:
        head = HEAD.replace(b"400000", str(len(body)).encode())
        for place in range(0, len(head), 30):
            line.sendall(head[place : place + 30])
            time.sleep(0.01)
        for place in range(0, len(body), 50_000):
            line.sendall(body[place : place + 50_000])
            time.sleep(0.05)
        answer = http.client.HTTPResponse(line)
        answer.begin()
        # Without a cookie the form is refused: what counts is that it was read.
        assert answer.status == 403
        answer.read()
        line.sendall(b"GET /healthz HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n")
        again = http.client.HTTPResponse(line)
        again.begin()
        assert (again.status, again.read()) == (200, b"ok\n")


def test_who_asks_whether_to_go_on_is_told_to(address):
    with opened(address) as line:
        line.sendall(HEAD.replace(b"\r\n\r\n", b"\r\nExpect: 100-continue\r\n\r\n"))
        assert line.recv(100).startswith(b"HTTP/1.1 100 Continue\r\n\r\n")


def test_a_body_of_unknown_length_is_refused(address):
    with opened(address) as line:
        line.sendall(
            HEAD.replace(b"Content-Length: 400000", b"Transfer-Encoding: chunked")
        )
        assert line.recv(100).startswith(b"HTTP/1.1 411 ")


def test_a_body_that_is_cut_off_gets_a_clear_page(address):
    with opened(address) as line:
        line.sendall(HEAD + b"a=1")
        line.shutdown(socket.SHUT_WR)
        answer = http.client.HTTPResponse(line)
        answer.begin()
        assert answer.status == 400
        assert b"Upload incomplete" in answer.read()
