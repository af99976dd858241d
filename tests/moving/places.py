"""Houses to move, empty databases to move into, and what lies in a SQLite file."""

import json
import os
import shutil
import sqlite3
import uuid
import zipfile
from contextlib import closing, contextmanager

from tests import prepared, sites
from tests.upgrade.houses import HOUSES, files_of
from tests.upgrade.opening import lay_file

NOT_COMPARED = {
    "django_migrations": "a new house skips the small steps",
    "inventory_upkeeprun": "verify notes its run there",
    "house_move": "the marks of the move itself",
}
DERIVED = {"inventory_openwork", "inventory_opensum", "inventory_accountmonth"}
"""Tables whose rows the database makes anew, with numbers of their own."""


def lay_house(folder):
    """Make the last version's house in SQLite, brought forward; that is done once."""
    folder.mkdir()
    made = prepared.CACHE / f"{prepared.fingerprint('sqlite')}-{HOUSES[-1]}.sqlite3"
    site = sites.Site(folder, prepared.environment(folder))
    prepared.sqlite_file()  # makes the cache's own folder
    with prepared.alone(prepared.CACHE / "moving.lock"):
        if not made.exists():
            lay_file(HOUSES[-1], folder / "db.sqlite3")
            site.manage("migrate", "--verbosity", "0")
            shutil.copyfile(folder / "db.sqlite3", made.with_suffix(".draft"))
            made.with_suffix(".draft").replace(made)
    shutil.copyfile(made, folder / "db.sqlite3")
    with zipfile.ZipFile(files_of(HOUSES[-1])) as packed:
        packed.extractall(folder)
    return site


@contextmanager
def other_database(folder):
    """Give the address of an empty database: the server's where there is one.

    Its tables are made already: to migrate takes longer than all else.
    """
    server = os.environ.get("DATABASE_URL", "")
    if not server:
        yield empty_file(folder / "other.sqlite3")
        return
    name = f"dock_moved_{uuid.uuid4().hex[:8]}"
    try:
        yield prepared.create_database(server, name, prepared.postgres_template(server))
    finally:
        prepared.drop_database(server, name)


def empty_file(path):
    """Make a migrated SQLite file; return its address."""
    shutil.copyfile(prepared.sqlite_file(), path)
    return f"sqlite:///{path}"


def at(site, url):
    """Give the same house with its data folder, on another database."""
    return sites.Site(site.folder, prepared.environment(site.folder, url))


def cells(path):
    """Return every row of every table as SQLite holds it, JSON by its meaning."""
    with closing(sqlite3.connect(path)) as file:
        found = file.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        names = [name for (name,) in found.fetchall()]
        return {
            name: _rows(file, name)
            for name in names
            if name not in NOT_COMPARED
            and not name.startswith(("inventory_searchtext", "sqlite_", "axes_"))
        }


def numbers(path):
    """Return the last number that each table has given to a row."""
    with closing(sqlite3.connect(path)) as file:
        found = dict(file.execute("SELECT name, seq FROM sqlite_sequence").fetchall())
    left_out = {*NOT_COMPARED, *DERIVED}
    return {name: last for name, last in found.items() if name not in left_out and last}


def _rows(file, table):
    described = file.execute(f"PRAGMA table_info('{table}')").fetchall()
    names = sorted(one[1] for one in described)
    if table in DERIVED:
        names.remove("id")
    listed = ", ".join(f'"{name}"' for name in names)
    rows = file.execute(f'SELECT {listed} FROM "{table}"').fetchall()
    return sorted(repr([_plain(cell) for cell in row]) for row in rows)


def _plain(cell):
    if isinstance(cell, str) and cell[:1] in ("{", "["):
        try:
            return json.dumps(json.loads(cell), sort_keys=True)
        except ValueError:
            return cell
    return cell
