"""The whole database at one moment, read table by table, never all at once.

On SQLite this is a copy made in one step, so that reading long keeps no writer
waiting; its cells are read as they lie, without an index and without Django. On
PostgreSQL it is one transaction that sees one moment.
"""

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from functools import partial
from itertools import islice
from pathlib import Path
from typing import Any, Protocol

from django.db import DatabaseError, connections, models, transaction

from inventory.evidence.seal.stored_values import (
    ColumnReader,
    server_column,
    sqlite_column,
)
from inventory.evidence.store.own_folders import own_folder
from inventory.rules.evidence.row_images import Scalar

BATCH = 1000
"""How many rows are read at once from a server."""
AT_ONCE = 200
"""How many are read at once from a file."""
_PAUSE = 0.05  # seconds
_TRIES = 400
_DAMAGE = (sqlite3.Error, UnicodeDecodeError)
"""How a damaged file makes itself known; the second where a name of its is damaged."""


class UnreadableTableError(Exception):
    """A table that cannot be read to its end; the message says which and why."""


Batch = list[Sequence[Scalar]]
"""The cells of some rows, by column."""


class Snapshot(Protocol):
    """One moment of the database."""

    def rows(
        self, model: type[models.Model], columns: Sequence["models.Field[Any, Any]"]
    ) -> Iterator[tuple[Scalar, ...]]:
        """Yield the columns of each row, in the order the rows were written.

        Raise UnreadableTableError.
        """
        for batch in self.batches(model, columns):
            yield from zip(*batch, strict=True)

    def batches(
        self, model: type[models.Model], columns: Sequence["models.Field[Any, Any]"]
    ) -> Iterator[Batch]:
        """Yield the same by column, some rows at a time."""

    def damage(self) -> Iterator[str]:
        """Yield what the database itself reports as damaged."""


class FileSnapshot(Snapshot):
    """A SQLite file that nobody writes to."""

    def __init__(self, file: sqlite3.Connection) -> None:
        """Read from this connection; text that is no UTF-8 is still text."""
        self._file = file
        self._file.text_factory = partial(
            str, encoding="utf-8", errors="surrogateescape"
        )

    def batches(
        self, model: type[models.Model], columns: Sequence["models.Field[Any, Any]"]
    ) -> Iterator[Batch]:
        """Read the table's own pages, not an index; what is before a damaged one comes too."""
        table = model._meta.db_table
        names = ", ".join(f'"{column.column}"' for column in columns)
        readers = [sqlite_column(column) for column in columns]
        sql = f'SELECT {names} FROM "{table}" NOT INDEXED ORDER BY rowid'  # noqa: S608
        try:
            cells = self._file.execute(sql)
        except _DAMAGE as error:
            raise UnreadableTableError(f"{table}: {error}") from error
        is_more = True
        while is_more:
            found: list[tuple[Any, ...]] = []
            damage = None
            try:
                found.extend(islice(cells, AT_ONCE))
            except _DAMAGE as error:
                damage = error
            if found:
                yield _by_column(readers, found)
            if damage is not None:
                raise UnreadableTableError(f"{table}: {damage}") from damage
            is_more = len(found) == AT_ONCE

    def damage(self) -> Iterator[str]:
        """Yield the first things that SQLite's own check finds."""
        try:
            found = self._file.execute("PRAGMA integrity_check(3)").fetchall()
        except _DAMAGE as error:
            found = [(str(error),)]
        yield from (str(row[0]) for row in found if row[0] != "ok")


class ServerSnapshot(Snapshot):
    """One transaction of PostgreSQL."""

    def __init__(self, using: str) -> None:
        """Read through this connection, whose transaction is open."""
        self._connection = connections[using]

    def batches(
        self, model: type[models.Model], columns: Sequence["models.Field[Any, Any]"]
    ) -> Iterator[Batch]:
        """Read by key, a thousand rows at a time."""
        table, key = model._meta.db_table, model._meta.pk.column
        names = ", ".join(f'"{column.column}"' for column in columns)
        readers = [server_column(column) for column in columns]
        sql = f'SELECT {names} FROM "{table}" ORDER BY "{key}"'  # noqa: S608
        try:
            with self._connection.chunked_cursor() as cursor:
                cursor.execute(sql)
                while found := cursor.fetchmany(BATCH):
                    yield _by_column(readers, found)
        except DatabaseError as error:
            raise UnreadableTableError(f"{table}: {error}") from error

    def damage(self) -> Iterator[str]:
        """Yield nothing: PostgreSQL checks its pages itself where it is told to."""
        yield from ()


def _by_column(
    readers: Sequence[ColumnReader], rows: Sequence[tuple[Any, ...]]
) -> Batch:
    columns = zip(*rows, strict=True)
    return [read(cells) for read, cells in zip(readers, columns, strict=True)]


def columns_of(
    model: type[models.Model], names: Sequence[str]
) -> "list[models.Field[Any, Any]]":
    """Return the model's columns of these names, in this order."""
    by_name = {column.name: column for column in model._meta.concrete_fields}
    return [by_name[name] for name in names]


@contextmanager
def snapshot(using: str = "default") -> Iterator[Snapshot]:
    """Return the database as of this moment."""
    connection = connections[using]
    if connection.vendor == "postgresql":
        with transaction.atomic(using=using):
            yield ServerSnapshot(using)
        return
    connection.ensure_connection()
    with own_folder() as folder:
        path = folder / "moment.sqlite3"
        copy_sqlite(connection.connection, path)
        with file_snapshot(path) as found:
            yield found


@contextmanager
def file_snapshot(path: Path) -> Iterator[FileSnapshot]:
    """Return a SQLite file that nobody writes to, to be read only."""
    address = f"{path.resolve().as_uri()}?mode=ro&immutable=1"
    with closing(sqlite3.connect(address, uri=True)) as file:
        yield FileSnapshot(file)


class BusyDatabaseError(Exception):
    """Someone kept writing for as long as we may wait; nothing was copied."""


def copy_sqlite(source: sqlite3.Connection, target: Path) -> None:
    """Copy a live SQLite database in one step: all of one moment, or an error.

    Holds a reader's lock for the time of one copy and never the writer gate. Raises
    BusyDatabaseError. Inside a transaction of this very connection, which only tests
    do, the library refuses to copy, so its pages are written out.
    """
    if source.in_transaction:
        target.write_bytes(source.serialize())
        return
    tries = 0

    def give_up(_status: int, _remaining: int, _total: int) -> None:
        nonlocal tries
        tries += 1
        if tries > _TRIES:
            raise BusyDatabaseError(
                "The database was busy for 20 seconds. Nothing was copied. Try again."
            )

    with closing(sqlite3.connect(target)) as file:
        source.backup(file, pages=-1, progress=give_up, sleep=_PAUSE)
