"""A bucket of one's own for tests: moto's server or Swift, with faults that can be put in.

``Store`` serves on a free port, in this process; other processes find it by
``environment``. A fault is a function of the WSGI application below it: moto itself, or
what passes each request on to Swift (``tests/stores.py`` gives both to the same test).
"""

import http.client
import io
import threading
import time
import uuid
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from urllib.parse import urlsplit

from werkzeug.serving import WSGIRequestHandler, make_server

from tests import swift_server

KEYS = {
    "AWS_ACCESS_KEY_ID": "invented",
    "AWS_SECRET_ACCESS_KEY": "invented",
    "AWS_DEFAULT_REGION": "us-east-1",
    "AWS_EC2_METADATA_DISABLED": "true",
}
SLOW_DOWN = b"<Error><Code>SlowDown</Code><Message>Reduce your rate</Message></Error>"


class _Quiet(WSGIRequestHandler):
    """Says nothing, and sends small answers at once."""

    protocol_version = "HTTP/1.1"
    disable_nagle_algorithm = True

    def log(self, *_words):
        pass


class Store:
    """One S3 server; ``faults`` are asked in their order, each as long as it lasts."""

    keys = KEYS

    def __init__(self, below):
        self.below = below
        self.faults, self.asked = [], []
        self.server = make_server(
            "127.0.0.1", 0, self, threaded=True, request_handler=_Quiet
        )
        self.thread = threading.Thread(target=self.server.serve_forever, daemon=True)

    @property
    def environment(self):
        return self.keys | {"AWS_ENDPOINT_URL": f"http://127.0.0.1:{self.server.port}"}

    def __call__(self, environ, start):
        self.asked.append(f"{environ['REQUEST_METHOD']} {environ['PATH_INFO']}")
        for fault in self.faults:
            if fault.hits(environ):
                return fault.happen(self.below, environ, start)
        return self.below(environ, start)

    def age(self, address, key, moment):
        """Let what lies there have been put at this moment, in seconds since 1970."""
        from moto.backends import get_backend

        for backend in get_backend("s3").values():
            held = backend.get("aws")
            if held and address.bucket in held.buckets:
                one = held.get_object(bucket_name=address.bucket, key_name=key)
                one.last_modified = datetime.fromtimestamp(moment, UTC).replace(
                    tzinfo=None
                )


class SwiftStore(Store):
    """Swift behind the same door; ``url`` and ``folder`` are its own."""

    keys = KEYS | {
        "AWS_ACCESS_KEY_ID": swift_server.ACCESS_KEY,
        "AWS_SECRET_ACCESS_KEY": swift_server.SECRET_KEY,
    }

    def __init__(self, url, folder):
        super().__init__(_passing_on(url))
        self.url, self.folder = url, folder

    def age(self, address, key, moment):
        swift_server.age(self.folder, address.bucket, key, moment)


def _passing_on(url):
    """Return a WSGI application that asks the server there, byte for byte."""

    def asked(environ, start):
        size = int(environ.get("CONTENT_LENGTH") or 0)
        body = environ["wsgi.input"].read(size) if size else b""
        headers = {
            name[5:].replace("_", "-"): value
            for name, value in environ.items()
            if name.startswith("HTTP_")
            and name not in ("HTTP_EXPECT", "HTTP_CONNECTION")
        }
        if "CONTENT_LENGTH" in environ:
            headers["CONTENT-LENGTH"] = str(size)
        if environ.get("CONTENT_TYPE"):
            headers["CONTENT-TYPE"] = environ["CONTENT_TYPE"]
        there = http.client.HTTPConnection(urlsplit(url).netloc, timeout=60)
        try:
            with suppress(BrokenPipeError):  # it answered before it had read all
                there.request(
                    environ["REQUEST_METHOD"], environ["RAW_URI"], body, headers
                )
            answer = there.getresponse()
            told = [
                pair
                for pair in answer.getheaders()
                if pair[0].lower() not in ("connection", "transfer-encoding", "date")
            ]
            start(f"{answer.status} {answer.reason}", told)
            return [answer.read()]
        finally:
            there.close()

    return asked


class Fault:
    """What goes wrong ``times`` times with requests of this method below this path."""

    def __init__(self, method, happen, *, times=1, path=""):
        self.method, self.path, self.times = method, path, times
        self._happen = happen

    def hits(self, environ):
        if environ["REQUEST_METHOD"] != self.method or not self.times:
            return False
        if self.path not in environ["PATH_INFO"]:
            return False
        self.times -= 1
        return True

    def happen(self, below, environ, start):
        return self._happen(below, environ, start)


def slow_down(_below, environ, start):
    """Refuse as S3 does when it is asked too often."""
    environ["wsgi.input"].read(int(environ.get("CONTENT_LENGTH") or 0))
    start(
        "503 Slow Down",
        [("Content-Type", "application/xml"), ("Content-Length", str(len(SLOW_DOWN)))],
    )
    return [SLOW_DOWN]


def lost_answer(below, environ, _start):
    """Do what was asked, and break off before a word of the answer."""
    b"".join(below(environ, lambda *_: None))
    raise ConnectionResetError


def broken_off(_below, environ, _start):
    """Break off before anything is done."""
    environ["wsgi.input"].read(int(environ.get("CONTENT_LENGTH") or 0))
    raise ConnectionResetError


def no_answer(below, environ, _start):
    """Do what was asked, and be silent for longer than anybody waits."""
    b"".join(below(environ, lambda *_: None))
    time.sleep(1.5)
    raise ConnectionResetError


def wrong_bytes_in(below, environ, start):
    """Change one byte on the way in."""
    data = bytearray(environ["wsgi.input"].read(int(environ["CONTENT_LENGTH"])))
    data[-1] ^= 1
    environ["wsgi.input"] = io.BytesIO(bytes(data))
    return below(environ, start)


def half_in(below, environ, start):
    """Keep half of the bytes, as a store that is broken would."""
    data = environ["wsgi.input"].read(int(environ["CONTENT_LENGTH"]))
    data = data[: len(data) // 2]
    environ |= {"wsgi.input": io.BytesIO(data), "CONTENT_LENGTH": str(len(data))}
    return below(environ, start)


def wrong_bytes_out(below, environ, start):
    """Change one byte on the way out."""
    data = bytearray(b"".join(below(environ, start)))
    if data:
        data[-1] ^= 1
    return [bytes(data)]


def half_out(below, environ, start):
    """Send half of the body, then break off."""
    data = b"".join(below(environ, start))
    yield data[: len(data) // 2]
    raise ConnectionResetError


def half_in_chunks(below, environ, start):
    """Send half of the body without having told its size, as Swift tells refusals."""

    def unsized(status, headers, *rest):
        return start(
            status, [one for one in headers if one[0] != "Content-Length"], *rest
        )

    yield from half_out(below, environ, unsized)


@contextmanager
def served():
    """Serve moto's store until the end."""
    from moto.server import DomainDispatcherApplication, create_backend_app

    with _serving(Store(DomainDispatcherApplication(create_backend_app))) as store:
        yield store


@contextmanager
def swift_served():
    """Serve Swift until the end."""
    with (
        swift_server.served() as (url, folder),
        _serving(SwiftStore(url, folder)) as store,
    ):
        yield store


@contextmanager
def _serving(store):
    store.thread.start()
    try:
        yield store
    finally:
        store.server.shutdown()
        store.server.server_close()


def make_bucket(**options):
    """Make a bucket by the program's own client; return its address with a prefix."""
    from inventory.evidence.store import bucket

    name = f"dock-{uuid.uuid4().hex[:12]}"
    bucket.client().create_bucket(Bucket=name, **options)
    return f"s3://{name}/evidence"
