"""The shape of the database: its tables, indexes, triggers, as it should be and as it is.

Whoever holds the file can take a check off a table, or leave a trigger its name and
empty it; the rows alone do not show that. What should be there is made anew beside it,
in memory on SQLite, in a schema that is rolled back on PostgreSQL, so that both are
told in the words of the same server, whatever its version.
"""

import re
import sqlite3
from collections import defaultdict
from collections.abc import Iterable, Iterator
from contextlib import closing
from typing import Any

from django.apps import apps
from django.db import ProgrammingError, transaction
from django.db.backends.base.base import BaseDatabaseWrapper

from inventory import ledger_triggers
from inventory.search_index import part_statements
from inventory.triggers import REFUSE, wanted_triggers

Piece = tuple[str, str]
"""What it belongs to, and the words of the database: a column, a check, a trigger."""

SCRATCH = "tarefold_shape"
OURS = ("inventory_", "claims_")
_MOST_SHOWN = 300

_SQLITE = """
SELECT type, tbl_name, name, sql FROM sqlite_master WHERE name NOT LIKE 'sqlite_%'
"""

_POSTGRESQL = """
SELECT 'table', table_name, column_name, concat_ws(' ', column_name, udt_name,
       character_maximum_length, numeric_precision, numeric_scale, is_nullable,
       is_identity, column_default)
FROM information_schema.columns WHERE table_schema = %(schema)s
UNION ALL
SELECT 'constraint', conrelid::regclass::text, conname, pg_get_constraintdef(oid)
FROM pg_constraint WHERE conrelid <> 0
     AND connamespace = %(schema)s::regnamespace
UNION ALL
SELECT 'index', tablename, indexname, indexdef FROM pg_indexes
WHERE schemaname = %(schema)s
UNION ALL
SELECT 'rule', tablename, rulename, definition FROM pg_rules
WHERE schemaname = %(schema)s
UNION ALL
SELECT 'trigger', tgrelid::regclass::text, tgname,
       concat_ws(' ', pg_get_triggerdef(pg_trigger.oid), 'state', tgenabled,
                 'does', prosrc)
FROM pg_trigger JOIN pg_proc ON pg_proc.oid = tgfoid
     JOIN pg_class ON pg_class.oid = tgrelid
WHERE NOT tgisinternal AND relnamespace = %(schema)s::regnamespace
"""


class NotComparedError(Exception):
    """The shape cannot be compared as this user of the database."""


def shape_faults(connection: BaseDatabaseWrapper) -> Iterator[str]:
    """Yield a sentence for each table, index or trigger that is not the program's own.

    Raise NotComparedError where this user may not make a schema to compare with.
    """
    should, stands = _shape_wanted(connection), ours(pieces_of(connection))
    lacking, beyond = _by_owner(should - stands), _by_owner(stands - should)
    for owner in sorted({*lacking, *beyond}):
        yield _sentence(owner, lacking.get(owner, []), beyond.get(owner, []))


def pieces_of(connection: BaseDatabaseWrapper) -> set[Piece]:
    """Return every piece of the database as it stands."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute(_SQLITE)
            return set(_told_on_sqlite(cursor.fetchall()))
        cursor.execute("SELECT current_schema()")
        return _told_on_postgresql(cursor, cursor.fetchone()[0])


def ours(pieces: Iterable[Piece]) -> set[Piece]:
    """Leave out the tables of other packages."""
    return {one for one in pieces if one[0].rpartition(" ")[2].startswith(OURS)}


def _shape_wanted(connection: BaseDatabaseWrapper) -> set[Piece]:
    vendor = connection.vendor
    statements = [*_tables(connection), *part_statements(vendor), *_triggers(vendor)]
    if connection.vendor == "sqlite":
        with closing(sqlite3.connect(":memory:")) as scratch:
            for one in statements:
                scratch.execute(one)
            return ours(_told_on_sqlite(scratch.execute(_SQLITE).fetchall()))
    with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
        try:
            cursor.execute(f"CREATE SCHEMA {SCRATCH}")
        except ProgrammingError as error:
            raise NotComparedError(str(error)) from error
        cursor.execute("SELECT current_schema()")
        usual = cursor.fetchone()[0]
        cursor.execute(f"SET LOCAL search_path TO {SCRATCH}, {usual}")
        for one in statements:
            cursor.execute(one)
        made = ours(_told_on_postgresql(cursor, SCRATCH))
        transaction.set_rollback(True, using=connection.alias)
    return made


def _tables(connection: BaseDatabaseWrapper) -> list[str]:
    """Return the SQL that makes every table of the models. Nothing is executed."""
    editor = connection.schema_editor(collect_sql=True, atomic=False)
    editor.deferred_sql = []
    for model in apps.get_models():
        editor.create_model(model)
    return [str(one) for one in (*editor.collected_sql, *editor.deferred_sql)]


def _triggers(vendor: str) -> Iterator[str]:
    if vendor == "postgresql":
        yield from (REFUSE, *ledger_triggers.POSTGRESQL_FUNCTIONS)
    yield from (one.sql for one in wanted_triggers(vendor))


def _told_on_sqlite(rows: Iterable[tuple[str, str, str, str]]) -> Iterator[Piece]:
    for kind, table, name, sql in rows:
        if kind == "table":
            yield from ((f"table {table}", piece) for piece in _listed(sql))
        else:
            yield f"{kind} {name} on {table}", _plain(sql)


def _told_on_postgresql(cursor: Any, schema: str) -> set[Piece]:  # noqa: ANN401
    cursor.execute(_POSTGRESQL, {"schema": schema})
    named = _names_in_models()
    told = set()
    for kind, table, name, text in cursor.fetchall():
        said = _uncast(_plain(text.replace(f"{schema}.", "").replace(f" {schema}", "")))
        if kind == "table":
            told.add((f"table {table}", said))
        elif kind in ("trigger", "rule") or name in named:
            told.add((f"{kind} {name} on {table}", said))
        else:  # a name that the database, or Django, makes up
            told.add((f"{kind} on {table}", said.replace(name, "…")))
    return told


def _names_in_models() -> set[str]:
    return {
        one.name
        for model in apps.get_models()
        for one in (*model._meta.constraints, *model._meta.indexes)
    }


def _plain(sql: str) -> str:
    return re.sub(r"\s+", " ", sql).strip()


def _uncast(sql: str) -> str:
    """Leave out casts: a database that was restored from a copy writes them elsewhere."""
    bare = re.sub(r"::(character varying|text)(\[\])?", "", sql)
    bare = re.sub(r"\(('[^']*')\)", r"\1", bare)
    return re.sub(r"\(\((ARRAY\[[^\]]*\])\)\)", r"(\1)", bare)


def _listed(sql: str) -> Iterator[str]:
    """Yield what a CREATE TABLE lists: its columns and constraints, each whole.

    Their order is left out: a column that was added later stands last.
    """
    inside = sql[sql.index("(") + 1 : sql.rindex(")")]
    depth, piece, quoted = 0, "", ""
    for character in inside:
        if quoted:
            quoted = "" if character == quoted else quoted
        elif character in "'\"":
            quoted = character
        elif character == "," and depth == 0:
            yield _plain(piece)
            piece = ""
            continue
        depth += (not quoted) * ((character == "(") - (character == ")"))
        piece += character
    yield _plain(piece)


def _by_owner(pieces: Iterable[Piece]) -> dict[str, list[str]]:
    found = defaultdict(list)
    for owner, text in sorted(pieces):
        found[owner].append(text)
    return found


def _sentence(owner: str, lacking: list[str], beyond: list[str]) -> str:
    what = f"{owner[0].upper()}{owner[1:]}"
    if lacking and beyond:
        return (
            f"{what} was changed. It should say: {_cut(lacking)}. It says: "
            f"{_cut(beyond)}."
        )
    if lacking and not owner.startswith("table "):
        return f"{what} is missing. Run manage.py migrate."
    if lacking:
        return f"{what} lacks: {_cut(lacking)}."
    return f"{what} is not the program's own: {_cut(beyond)}."


def _cut(pieces: list[str]) -> str:
    said = "; ".join(pieces)
    return said if len(said) <= _MOST_SHOWN else f"{said[:_MOST_SHOWN]}…"
