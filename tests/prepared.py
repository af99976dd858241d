"""The migrated database, made once for one state of the migrations and then copied.

It is kept in the user's cache, for every working tree: a file for SQLite, a template
database for PostgreSQL. Its name holds a fingerprint of all that a migration could leave
behind, so a change makes a new one by itself. The folder may be thrown away at any time.
"""

import fcntl
import hashlib
import importlib
import inspect
import os
import sqlite3
import subprocess
import sys
import tempfile
import weakref
from contextlib import closing, contextmanager
from functools import cache
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

import django
from django.apps import apps
from django.conf import settings
from django.db.models import signals

ROOT = Path(__file__).resolve().parent.parent
HOME = Path(os.environ.get("XDG_CACHE_HOME") or "~/.cache").expanduser()


def _cache_of(home):
    """Return the folder in the user's cache, or the tree's own where none may be made."""
    folder = home / "dock-to-claim" / "prepared"
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        return ROOT / ".pytest_cache" / "d" / "prepared"
    own = ROOT / ".pytest_cache" / "d" / "prepared"
    return folder if os.access(folder, os.W_OK) else own


CACHE = _cache_of(HOME)
KEPT = 12  # files of former states: branches are changed back and forth
_LOCK = 0x_D0C4  # PostgreSQL's advisory lock while a template is made


def environment(folder, database_url=""):
    """Return the environment of a process of the house in this folder."""
    env = {k: v for k, v in os.environ.items() if k != "DATABASE_URL"}
    env |= {
        "DOCK_DATA_DIR": str(folder),
        "DJANGO_SETTINGS_MODULE": "config.settings",
        "PYTHONPATH": str(ROOT),
    }
    if database_url:
        env["DATABASE_URL"] = database_url
    return env


# -- what the migrations would make ----------------------------------------------


@cache
def fingerprint(vendor):
    """Return a short name of what all migrations make on this kind of database."""
    told = hashlib.sha256()
    for piece in _pieces(vendor):
        told.update(hashlib.sha256(piece.encode()).digest())
    return told.hexdigest()[:16]


def _pieces(vendor):
    from inventory.triggers import wanted_triggers

    yield f"{vendor} {django.get_version()} {sqlite3.sqlite_version}"
    for config in apps.get_app_configs():
        for path in sorted(Path(config.path, "migrations").glob("*.py")):
            yield f"{config.label}/{path.name}\n{path.read_text()}"
    for model in apps.get_models(include_auto_created=True):
        # Content types and permissions are rows that no migration names.
        meta = model._meta
        yield f"{meta.label} {meta.default_permissions} {meta.permissions}"
    yield from map(repr, wanted_triggers(vendor))
    for module in sorted(_modules_around_migrations()):
        yield inspect.getsource(importlib.import_module(module))


def _modules_around_migrations():
    for signal in (signals.pre_migrate, signals.post_migrate):
        for _, receiver, *_ in signal.receivers:
            weak = isinstance(receiver, weakref.ReferenceType)
            yield (receiver() if weak else receiver).__module__


# -- SQLite -----------------------------------------------------------------------


def sqlite_file():
    """Return the migrated SQLite file of this state, made if nobody has yet."""
    CACHE.mkdir(parents=True, exist_ok=True)
    file = CACHE / f"{fingerprint('sqlite')}.sqlite3"
    with alone(CACHE / "lock"):
        if not file.exists():
            with tempfile.TemporaryDirectory() as folder:
                _migrate(environment(folder))
                draft = file.with_suffix(".draft")
                draft.write_bytes(Path(folder, "db.sqlite3").read_bytes())
                draft.replace(file)
            newest = sorted(
                CACHE.glob("*.sqlite3"), key=lambda one: -one.stat().st_mtime
            )
            for former in newest[KEPT:]:
                former.unlink()
        os.utime(file)
    return file


@contextmanager
def alone(path):
    """Let one process of the machine at a time do what follows."""
    with path.open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def _migrate(env):
    subprocess.run(
        [sys.executable, "manage.py", "migrate", "--verbosity", "0"],
        cwd=ROOT,
        env=env,
        check=True,
    )


# -- PostgreSQL -------------------------------------------------------------------


def postgres_template(url):
    """Return the name of the migrated template on this server, made if missing."""
    name = f"dock_prepared_{fingerprint('postgresql')}"
    with _server(url) as server:
        server.execute("SELECT pg_advisory_lock(%s)", [_LOCK])
        found = server.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name])
        if found.fetchone() is None:
            draft = f"{name}_draft"
            drop_database(url, draft)
            draft_url = create_database(url, draft)
            with tempfile.TemporaryDirectory() as folder:
                _migrate(environment(folder, draft_url))
            server.execute(f'ALTER DATABASE "{draft}" RENAME TO "{name}"')
    return name


def create_database(url, name, template="template1"):
    """Make a database on this server; return its address."""
    with _server(url) as server:
        server.execute(f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
    return urlunsplit(urlsplit(url)._replace(path=f"/{name}"))


def drop_database(url, name):
    """Drop a database of this server if it is there."""
    with _server(url) as server:
        server.execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')


def _server(url):
    import psycopg

    whole = urlunsplit(urlsplit(url)._replace(path="/postgres"))
    return psycopg.connect(whole, autocommit=True)


# -- the database of the tests in this process ------------------------------------


def lay_test_database(connection):
    """Point the connection at a copy of its own; return the former database's name."""
    settings_dict = connection.settings_dict
    former = settings_dict["NAME"]
    is_sqlite = connection.vendor == "sqlite"
    if is_sqlite:
        settings_dict["TEST"]["NAME"] = None  # in memory, so every process has its own
    else:
        server = os.environ["DATABASE_URL"]
        settings_dict["TEST"]["TEMPLATE"] = postgres_template(server)
    # These three are what Django's create_test_db does, less the migrations.
    name = connection.creation._get_test_db_name()
    connection.creation._create_test_db(verbosity=0, autoclobber=True)
    connection.close()
    settings_dict["NAME"] = settings.DATABASES[connection.alias]["NAME"] = name
    connection.ensure_connection()
    if is_sqlite:
        with closing(sqlite3.connect(sqlite_file())) as source:
            source.backup(connection.connection)
    return former
