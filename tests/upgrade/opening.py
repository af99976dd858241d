"""Open a house of an earlier version, as a SQLite file or in PostgreSQL.

PostgreSQL needs no dump of its own and no ``psql``: an empty database is migrated to
the very migrations that the house's SQLite file names, every table is emptied, and
the rows are copied from the file by the models as they were at that state (Django
reads the one database and writes the other). Then the sequences are set behind the
last keys. The triggers are taken down before and made by the migration that follows.
"""

import gzip
import os
import sqlite3
import uuid
import zipfile
from contextlib import contextmanager
from pathlib import Path
from unittest.mock import patch

from tests import sites
from tests.prepared import create_database, drop_database
from tests.upgrade.houses import files_of, sql_of

BATCH = 500
FILE = "house.sqlite3"


@contextmanager
def earlier_house(name, folder):
    """Give the house as it was left: not migrated yet, on the tests' own database."""
    server = os.environ.get("DATABASE_URL", "")
    folder.mkdir(parents=True, exist_ok=True)
    with zipfile.ZipFile(files_of(name)) as packed:
        packed.extractall(folder)
    file = folder / (FILE if server else "db.sqlite3")
    lay_file(name, file)
    if not server:
        yield sites.Site(folder, sites.environment(folder))
        return
    database = f"dock_house_{uuid.uuid4().hex[:8]}"
    url = create_database(server, database)
    try:
        site = sites.Site(folder, sites.environment(folder, url))
        done = site.python("from tests.upgrade import opening\nopening.copy_rows()")
        told, failed = done.communicate()
        assert done.returncode == 0, told + failed
        yield site
    finally:
        drop_database(server, database)


def lay_file(name, path):
    """Make the house's SQLite file."""
    with sqlite3.connect(path) as file:
        file.executescript(gzip.decompress(sql_of(name).read_bytes()).decode())
    file.close()


def copy_rows():
    """Copy the rows of the house's file into the empty database of the settings."""
    from django.conf import settings
    from django.core.management import call_command
    from django.db import connection, connections, transaction
    from django.db.migrations.loader import MigrationLoader

    from inventory.triggers import drop_triggers

    connections.databases["house"] = {
        **connections.databases["default"],
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": str(Path(settings.DATA_DIR) / FILE),
        "OPTIONS": {},
    }
    with step_by_step():
        last = last_migrations(connections["house"])
        for app, migration in last:
            call_command("migrate", app, migration, verbosity=0)
        state = MigrationLoader(connection).project_state(last)
    drop_triggers(connection)
    models = [
        model
        for model in state.apps.get_models(include_auto_created=True)
        if not model._meta.proxy
    ]
    with transaction.atomic():
        _empty(connection, models)
        for model in models:
            _copy(model)
        _reset_sequences(connection, models)


@contextmanager
def step_by_step():
    """Leave out the migrations that stand for others: a house between two has none."""
    from django.db.migrations.loader import MigrationLoader

    def load_disk(self):
        load(self)
        for key, one in list(self.disk_migrations.items()):
            if one.replaces:
                del self.disk_migrations[key]

    load = MigrationLoader.load_disk
    with patch.object(MigrationLoader, "load_disk", load_disk):
        yield


def last_migrations(connection):
    """Return the last migration of each app that the file names, in their order."""
    from django.db.migrations.loader import MigrationLoader

    known = MigrationLoader(None).disk_migrations
    with connection.cursor() as cursor:
        cursor.execute("SELECT app, name FROM django_migrations ORDER BY id")
        named = [tuple(row) for row in cursor.fetchall()]
    return list(dict(key for key in named if key in known).items())


def _empty(connection, models):
    tables = ", ".join(f'"{model._meta.db_table}"' for model in models)
    with connection.cursor() as cursor:
        cursor.execute(f"TRUNCATE {tables}")


def _copy(model):
    rows = model._base_manager.using("house").order_by("pk").iterator(BATCH)
    batch = []
    for row in rows:
        batch.append(row)
        if len(batch) == BATCH:
            model._base_manager.using("default").bulk_create(batch)
            batch = []
    model._base_manager.using("default").bulk_create(batch)


def _reset_sequences(connection, models):
    from django.core.management.color import no_style

    with connection.cursor() as cursor:
        for sql in connection.ops.sequence_reset_sql(no_style(), models):
            cursor.execute(sql)
