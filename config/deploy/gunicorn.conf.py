"""How gunicorn serves the app: few processes, a few threads each."""

import os
import resource
import socket
import sys

wsgi_app = "config.wsgi:application"
bind = os.environ.get("BIND") or f"127.0.0.1:{os.environ.get('PORT') or '8000'}"

worker_class = "config.patient_worker.PatientWorker"
workers = int(os.environ.get("WEB_WORKERS") or "2")
threads = int(os.environ.get("WEB_THREADS") or "4")
OPEN_FILES = 4096
"""Each request that is arriving is a connection, and a large one a file."""

# Above the database's 20 s wait for its writer: who waits gets an answer, not a cut.
timeout = 60
# A page that asks too much of PostgreSQL is answered before its worker is cut.
os.environ.setdefault("STATEMENT_SECONDS", "50")
graceful_timeout = 30
keepalive = 5

# Headers only; the app bounds bodies itself.
limit_request_line = 4094
limit_request_fields = 60

errorlog = "-"
loglevel = os.environ.get("LOG_LEVEL") or "warning"
accesslog = None


READS_AFTER = 4.0
"""Seconds, in which a working program that starts with the server has begun."""


def on_starting(server: object) -> None:
    """Print in one sentence that the port is taken, before gunicorn tries five times."""
    del server
    if bind.startswith("unix:"):
        return
    host, _, port = bind.rpartition(":")
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, int(port)))
        except OSError:
            sys.exit(f"Port {port} is taken. Choose another: make run PORT=8001")


def when_ready(server: object) -> None:
    """Print the address once somebody can open it."""
    del server
    print(f"Serving on http://{bind} (Ctrl-C stops it)", flush=True)


def post_worker_init(worker: object) -> None:
    """Let it hold many connections; sweep hourly; read photos where no other does.

    The working program comes first: it reads from its start on.
    """
    del worker
    _, most = resource.getrlimit(resource.RLIMIT_NOFILE)
    few = OPEN_FILES if most == resource.RLIM_INFINITY else min(OPEN_FILES, most)
    resource.setrlimit(resource.RLIMIT_NOFILE, (few, most))
    from config import sweeping  # noqa: PLC0415 - Django is ready only now
    from inventory.actions.evidence import reader  # noqa: PLC0415
    from inventory.views.core.clock import now  # noqa: PLC0415

    sweeping.begin()
    reader.begin(clock=now, after=READS_AFTER)
