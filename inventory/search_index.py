"""What finds a part of a text: FTS5 on SQLite, pg_trgm on PostgreSQL; or what lacks."""

from django.db import DatabaseError, transaction
from django.db.backends.base.base import BaseDatabaseWrapper

from inventory.searched import KEYS, OWN_SEARCH_KINDS, PARTS

_NO_FTS = (
    "This SQLite cannot search parts of a number: it is built without FTS5 and its "
    "trigrams. Install SQLite 3.34 or later with FTS5, and start again."
)
_NO_TRGM = (
    "This PostgreSQL database cannot search parts of a number: the extension pg_trgm is "
    "missing. Let an administrator of the database execute CREATE EXTENSION pg_trgm in "
    "it, and run manage.py migrate again."
)
_TRIGRAMS = "fts5(text, content='{keys}', content_rowid='id', tokenize='trigram case_sensitive 1')"


class NoPartsError(RuntimeError):
    """The database cannot search parts; the message says what to do."""


def missing_parts(connection: BaseDatabaseWrapper) -> list[str]:
    """Return the sentence that names what this database lacks, or nothing."""
    if connection.vendor == "postgresql":
        return [] if _has_trgm(connection) else [_NO_TRGM]
    return [] if _has_fts(connection) else [_NO_FTS]


def _has_trgm(connection: BaseDatabaseWrapper) -> bool:
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1 FROM pg_extension WHERE extname = 'pg_trgm'")
        return cursor.fetchone() is not None


def _has_fts(connection: BaseDatabaseWrapper) -> bool:
    with connection.cursor() as cursor:
        cursor.execute("SELECT sqlite_compileoption_used('ENABLE_FTS5')")
        has_module = bool(cursor.fetchone()[0])
        cursor.execute("SELECT sqlite_version()")
        version = tuple(int(part) for part in cursor.fetchone()[0].split("."))
    return has_module and version >= (3, 34)


def make_parts(connection: BaseDatabaseWrapper) -> None:
    """Make what finds parts of the keys' texts. Raise NoPartsError where it cannot be.

    On PostgreSQL the texts are compared by their code points, so that a beginning is a
    range of the index in every language of the database.
    """
    if connection.vendor == "postgresql":
        _make_extension(connection)
    elif missing_parts(connection):
        raise NoPartsError(_NO_FTS)
    with connection.cursor() as cursor:
        for sql in part_statements(connection.vendor):
            cursor.execute(sql)


def part_statements(vendor: str) -> tuple[str, ...]:
    """Return the SQL that makes, beside the table of keys, what finds a part."""
    if vendor == "postgresql":
        return (
            f'ALTER TABLE {KEYS} ALTER COLUMN text TYPE text COLLATE "C"',
            *kinds_parts(),
        )
    return (f"CREATE VIRTUAL TABLE {PARTS} USING {_TRIGRAMS.format(keys=KEYS)}",)


def kinds_parts() -> list[str]:
    """Return the SQL that makes PostgreSQL's trigrams, of each kind apart.

    In one index, a part that one kind's numbers have in common would be read for every
    kind. Those of the floor above, numbered behind ours, share one.
    """
    last = max(kind.number for kind in OWN_SEARCH_KINDS.values())
    which = {str(number): f"kind = {number}" for number in range(1, last + 1)}
    which["above"] = f"kind > {last}"
    return [
        f"CREATE INDEX search_parts_{name} ON {KEYS} USING gin (text gin_trgm_ops) "
        f"WHERE {where}"
        for name, where in which.items()
    ]


def _make_extension(connection: BaseDatabaseWrapper) -> None:
    if _has_trgm(connection):
        return
    try:
        with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
            cursor.execute("CREATE EXTENSION pg_trgm")
    except DatabaseError as error:
        raise NoPartsError(_NO_TRGM) from error
