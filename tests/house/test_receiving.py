"""How long a request that is arriving is waited for, and what of it is kept where."""

import io

import pytest

from config import receiving
from config.receiving import Received, Request

HEAD = b"POST / HTTP/1.1\r\nhost: a\r\ncontent-LENGTH:  %d \r\n\r\n"


class Line:
    """A socket that says this."""

    def __init__(self, said=b""):
        self.said = io.BytesIO(said)

    def recv(self, size):
        return self.said.read(size)


def taken(*pieces, at=0.0):
    request, spools = Request(0.0), []

    def make():
        spools.append(io.BytesIO())
        return spools[-1]

    for piece in pieces:
        request.take(piece, at, make)
    return request, spools


def read_all(request, line=b""):
    received = Received(Line(line))
    received.hold(request)
    return b"".join(iter(lambda: received.recv(7), b""))


@pytest.mark.parametrize("cut", [1, 3, 20, 48, 51, 1000])
def test_it_is_whole_with_its_last_byte_and_given_as_it_came(cut):
    whole = HEAD % 20 + b"b" * 20
    request, _ = taken(*(whole[n : n + cut] for n in range(0, len(whole) - 1, cut)))
    missing = len(whole) - request.arrived
    if missing:
        assert not request.is_whole(most=99)
        request.take(whole[-missing:], 0.0, io.BytesIO)
    assert request.is_whole(most=99)
    assert read_all(request, b"next") == whole + b"next"


def test_what_was_taken_in_is_given_by_the_piece_however_much_is_asked_for():
    # gunicorn copies all that it holds and nobody has read, each time it is read from.
    body = bytes(5 * receiving.PIECE)
    request, _ = taken(HEAD % len(body), body)
    received = Received(Line())
    received.hold(request)

    pieces = list(iter(lambda: received.recv(len(body)), b""))

    assert b"".join(pieces).endswith(body)
    assert max(map(len, pieces)) == receiving.PIECE


def test_only_a_body_that_is_not_there_yet_needs_a_file():
    assert taken(HEAD % 3 + b"abc")[1] == []
    assert len(taken(HEAD % 3, b"a", b"bc")[1]) == 1


def test_what_is_too_large_is_answered_without_waiting_for_it():
    most = 10 * receiving.PIECE
    assert taken(HEAD % (20 * receiving.PIECE))[0].is_whole(most=most)
    assert not taken(HEAD % most)[0].is_whole(most=most)


def test_headers_without_end_are_given_to_the_parser_that_refuses_them():
    assert taken(b"GET / HTTP/1.1\r\n" + b"x" * receiving.PIECE)[0].is_whole(most=1)


def test_a_length_that_is_no_number_is_left_to_the_parser():
    request, _ = taken(b"POST / HTTP/1.1\r\ncontent-length: 1e9\r\n\r\n")
    assert request.is_whole(most=9)


@pytest.mark.parametrize(
    ("arrived", "last", "at", "is_too_slow"),
    [
        # headers that do not end, then bodies
        (b"POST", 1.0, 14.0, False),
        (b"POST", 14.0, 16.0, True),
        (HEAD % 9_000_000, 1.0, 45.0, False),
        (HEAD % 9_000_000, 1.0, 47.0, True),
        (HEAD % 9_000_000, 58.0, 59.0, False),
        (HEAD % 9_000_000, 60.0, 61.0, True),
        (HEAD % 9_000_000 + b"x" * 300_000, 60.0, 61.0, False),
        (HEAD % 9_000_000 + b"x" * 300_000, 79.0, 80.0, True),
    ],
)
def test_a_phone_on_a_poor_line_is_waited_for_and_a_dribbler_is_not(
    arrived, last, at, is_too_slow
):
    assert taken(arrived, at=last)[0].is_too_slow(at) is is_too_slow
