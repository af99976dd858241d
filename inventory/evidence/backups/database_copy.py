"""The database as one file of one moment, taken while the site runs, and restored."""

import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.db import connections, transaction

from inventory.evidence.seal.snapshots import (
    ServerSnapshot,
    Snapshot,
    copy_sqlite,
    file_snapshot,
)
from inventory.evidence.store.durable import pieces_of, sync_file, write_whole

USING = "default"


class DatabaseCopyError(Exception):
    """The database could not be copied or restored; the message says why."""


@contextmanager
def copied_database(target: Path) -> Iterator[Snapshot]:
    """Copy the live database to this file; give the very moment that was copied.

    SQLite is copied in one step by its own backup call, PostgreSQL by ``pg_dump`` on
    a snapshot that is read beside it. Raise DatabaseCopyError and BusyDatabaseError.
    """
    connection = connections[USING]
    target.touch(mode=0o600)  # its owner's alone, whoever writes into it
    if connection.vendor == "sqlite":
        connection.ensure_connection()
        copy_sqlite(connection.connection, target)
        sync_file(target)
        with file_snapshot(target) as moment:
            yield moment
        return
    with transaction.atomic(using=USING):
        with connection.cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
            cursor.execute("SELECT pg_export_snapshot()")
            (name,) = cursor.fetchone()
        _run("pg_dump", "--format=custom", f"--snapshot={name}", f"--file={target}")
        sync_file(target)
        yield ServerSnapshot(USING)


def has_tables() -> bool:
    """Return whether the database holds anything."""
    return bool(connections[USING].introspection.table_names())


def lay_back(source: Path) -> None:
    """Make the empty database what this copy holds. Raise DatabaseCopyError."""
    connection = connections[USING]
    if connection.vendor == "postgresql":
        connection.close()
        _run(
            "pg_restore",
            "--no-owner",
            "--exit-on-error",
            "--single-transaction",
            f"--dbname={connection.settings_dict['NAME']}",
            str(source),
        )
        return
    path = Path(connection.settings_dict["NAME"])
    connection.close()
    write_whole(path, pieces_of(source))
    path.chmod(0o600)


def _run(program: str, *words: str) -> None:
    """Run a program of PostgreSQL with this database's own address."""
    asked: dict[str, Any] = connections[USING].settings_dict
    names = {
        "PGHOST": asked.get("HOST"),
        "PGPORT": asked.get("PORT"),
        "PGUSER": asked.get("USER"),
        "PGPASSWORD": asked.get("PASSWORD"),
        "PGDATABASE": asked.get("NAME"),
    }
    told = {name: str(value) for name, value in names.items() if value}
    try:
        subprocess.run(  # noqa: S603 - a fixed name, and words of our own
            [program, *words],
            env={**os.environ, **told},
            check=True,
            capture_output=True,
            text=True,
        )
    except FileNotFoundError as error:
        raise DatabaseCopyError(
            f"{program} is not installed. Install the PostgreSQL client programs."
        ) from error
    except subprocess.CalledProcessError as error:
        raise DatabaseCopyError(f"{program}: {error.stderr.strip()[:500]}") from error
