"""A bucket of one's own for tests: moto's server, with faults that can be put in.

``Store`` serves on a free port, in this process; other processes find it by
``environment``. A fault is a function of the WSGI application below it.
"""

import io
import threading
import time
import uuid
from contextlib import contextmanager

from werkzeug.serving import WSGIRequestHandler, make_server

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

    def __init__(self):
        from moto.server import DomainDispatcherApplication, create_backend_app

        self.below = DomainDispatcherApplication(create_backend_app)
        self.faults, self.asked = [], []
        self.server = make_server(
            "127.0.0.1", 0, self, threaded=True, request_handler=_Quiet
        )
        self.thread = threading.Thread(target=self.server.serve_forever, daemon=True)

    @property
    def environment(self):
        return KEYS | {"AWS_ENDPOINT_URL": f"http://127.0.0.1:{self.server.port}"}

    def __call__(self, environ, start):
        self.asked.append(f"{environ['REQUEST_METHOD']} {environ['PATH_INFO']}")
        for fault in self.faults:
            if fault.hits(environ):
                return fault.happen(self.below, environ, start)
        return self.below(environ, start)


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


@contextmanager
def served():
    """Serve a store until the end."""
    store = Store()
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
