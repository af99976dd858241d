"""Sites of their own for tests that need real processes.

Each has its own folder and a copy of the prepared database: a file on SQLite, a
database made from a template on PostgreSQL. Nothing is ever flushed.
"""

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
import uuid
from collections.abc import Callable
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from urllib.parse import urlsplit

from config.secret_key import kept_secret_key
from tests import starters
from tests.prepared import (
    ROOT,
    create_database,
    drop_database,
    environment,
    postgres_template,
    sqlite_file,
)

PASSWORD = "kraft-paper-stencil-9"


@dataclass
class Site:
    """One house: its folder, and the environment its processes run in."""

    folder: Path
    env: dict = field(default_factory=dict)
    starter: Callable[[], starters.Starter] = starters.first

    def manage(self, *words, text=None, check=True):
        """Run a management command; return the finished process."""
        command = ["manage.py", *words]
        done = starters.finished(command, self._start(command, text))
        if check:
            done.check_returncode()
        return done

    def python(self, source, *words):
        """Start a Python process with Django set up; return it, running."""
        whole = f"import django; django.setup()\n{source}"
        return self._start(["-c", whole, *words])

    def _start(self, words, text=None):
        return self.starter().start(words, self.env, text)


@contextmanager
def _opened(folder, url=""):
    """Give the site a starter of its own once it needs one, and end it."""
    env = environment(folder, url)
    env["PDF_WAIT_SECONDS"] = "60"  # on a busy machine a PDF may take any time
    with ExitStack() as stack:

        @cache
        def starter():
            found = starters.for_site(env)
            stack.callback(found.stop)
            return found

        yield Site(folder, env, starter)


@contextmanager
def template_site(folder):
    """Make a migrated site that others are copied from; drop it at the end."""
    folder.mkdir(exist_ok=True)
    kept_secret_key(folder / "secret_key")
    server = os.environ.get("DATABASE_URL", "")
    if not server:
        shutil.copyfile(sqlite_file(), folder / "db.sqlite3")
        with _opened(folder) as site:
            yield site
        return
    with (
        _copied_database(server, postgres_template(server)) as url,
        _opened(folder, url) as site,
    ):
        yield site


@contextmanager
def copied_site(template, folder):
    """Copy a template site into a folder of its own; drop it at the end."""
    shutil.copytree(template.folder, folder, dirs_exist_ok=True)
    source = template.env.get("DATABASE_URL", "")
    if not source:
        with _opened(folder) as site:
            yield site
        return
    with (
        _copied_database(source, urlsplit(source).path.lstrip("/")) as url,
        _opened(folder, url) as site,
    ):
        yield site


@contextmanager
def _copied_database(server, template):
    name = f"dock_copy_{uuid.uuid4().hex[:8]}"
    url = create_database(server, name, template)
    try:
        yield url
    finally:
        drop_database(server, name)


@contextmanager
def served(site):
    """Serve the site under gunicorn on a free port; give its address."""
    server = Server(site)
    server.start()
    try:
        yield server.address
    finally:
        server.stop()


class Server:
    """One gunicorn on a port of its own, which can be stopped, killed and started."""

    def __init__(self, site):
        self.site = site
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        self.address = f"http://127.0.0.1:{self.port}"
        self.process = None

    def start(self):
        with (self.site.folder / "gunicorn.log").open("a") as log:
            self.process = subprocess.Popen(
                [
                    sys.executable,
                    "-m",
                    "gunicorn",
                    "--config",
                    "config/deploy/gunicorn.conf.py",
                    "config.wsgi",
                ],
                cwd=ROOT,
                env={**self.site.env, "PORT": str(self.port)},
                stdout=log,
                stderr=log,
                start_new_session=True,
            )
        _wait_for(self.address, self.process)

    def stop(self):
        if self.process is not None:
            self.process.terminate()
            self.process.wait(60)  # a request that is answered has 30 s
            self.process = None

    def kill(self):
        """End it and its workers at once, as a power cut does."""
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(20)
        self.process = None


def _wait_for(address, process):
    for _ in range(150):
        try:
            with urllib.request.urlopen(f"{address}/healthz", timeout=2):
                return
        except (urllib.error.URLError, ConnectionError, TimeoutError):
            if process.poll() is not None:
                break
            time.sleep(0.1)
    raise RuntimeError("gunicorn did not come up")
