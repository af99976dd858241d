"""Sites of their own for tests that need real processes.

Each has its own folder and a copy of the prepared database: a file on SQLite, a
database made from a template on PostgreSQL. Nothing is ever flushed.
"""

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
import uuid
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

from config.secret_key import kept_secret_key
from tests import starter
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

    def manage(self, *words, text=None, check=True):
        """Run a management command; return the finished process."""
        done = starter.run(["manage.py", *words], self.env, text)
        if check:
            done.check_returncode()
        return done

    def python(self, source, *words):
        """Start a Python process with Django set up; return it, running."""
        whole = f"import django; django.setup()\n{source}"
        return starter.start(["-c", whole, *words], self.env)


@contextmanager
def template_site(folder):
    """Make a migrated site that others are copied from; drop it at the end."""
    folder.mkdir(exist_ok=True)
    kept_secret_key(folder / "secret_key")
    server = os.environ.get("DATABASE_URL", "")
    if not server:
        shutil.copyfile(sqlite_file(), folder / "db.sqlite3")
        yield Site(folder, environment(folder))
        return
    with _copied_database(server, postgres_template(server)) as url:
        yield Site(folder, environment(folder, url))


@contextmanager
def copied_site(template, folder):
    """Copy a template site into a folder of its own; drop it at the end."""
    shutil.copytree(template.folder, folder, dirs_exist_ok=True)
    source = template.env.get("DATABASE_URL", "")
    if not source:
        yield Site(folder, environment(folder))
        return
    with _copied_database(source, urlsplit(source).path.lstrip("/")) as url:
        yield Site(folder, environment(folder, url))


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
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    log = (site.folder / "gunicorn.log").open("w")
    process = subprocess.Popen(
        [
            sys.executable,
            "-m",
            "gunicorn",
            "--config",
            "config/deploy/gunicorn.conf.py",
            "--bind",
            f"127.0.0.1:{port}",
            "config.wsgi",
        ],
        cwd=ROOT,
        env=site.env,
        stdout=log,
        stderr=log,
    )
    address = f"http://127.0.0.1:{port}"
    try:
        _wait_for(address, process)
        yield address
    finally:
        process.terminate()
        process.wait(20)
        log.close()


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
