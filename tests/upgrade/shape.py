"""The tables of a house as a list of sentences, so that two houses can be compared.

The order of columns is left out, for a column that was added later stands last, and so
are the names that a database makes up itself.
"""

import json
import re
import sys

LEFT_BEHIND = "axes_"
"""Tables of a library that was let go: they stay in a house that had it."""

SQLITE = """
SELECT type || ' ' || tbl_name, name, sql FROM sqlite_master
WHERE name NOT LIKE 'sqlite_%'
"""

POSTGRES = """
SELECT 'column ' || table_name, column_name, concat_ws(' ', udt_name,
       character_maximum_length, numeric_precision, numeric_scale, is_nullable,
       is_identity, column_default)
FROM information_schema.columns WHERE table_schema = 'public'
UNION ALL
SELECT 'constraint ' || conrelid::regclass, conname, pg_get_constraintdef(oid)
FROM pg_constraint WHERE conrelid <> 0 AND connamespace = 'public'::regnamespace
UNION ALL
SELECT 'index ' || tablename, indexname, indexdef FROM pg_indexes
WHERE schemaname = 'public'
UNION ALL
SELECT 'trigger ' || tgrelid::regclass, tgname, pg_get_triggerdef(oid)
FROM pg_trigger WHERE NOT tgisinternal
"""


def shape_of(connection):
    """Return what the database says of its tables, in order."""
    is_sqlite = connection.vendor == "sqlite"
    named = _names_in_models()
    told = set()
    with connection.cursor() as cursor:
        cursor.execute(SQLITE if is_sqlite else POSTGRES)
        for what, name, text in cursor.fetchall():
            if what.split()[-1].startswith(LEFT_BEHIND):
                continue
            if is_sqlite and what.startswith("table"):
                told |= {f"{what}: {piece}" for piece in _pieces(text)}
            elif what.startswith(("column", "trigger")) or name in named:
                told.add(f"{what} {name}: {text}")
            else:
                told.add(f"{what}: {(text or '').replace(name, '…')}")
    return sorted(told)


def _names_in_models():
    from django.apps import apps

    return {
        one.name
        for model in apps.get_models()
        for one in (*model._meta.constraints, *model._meta.indexes)
    }


def _pieces(sql):
    """Return what a CREATE TABLE lists: its columns and constraints, each whole."""
    inside = sql[sql.index("(") + 1 : sql.rindex(")")]
    depth, piece, quoted = 0, "", ""
    for character in inside:
        if quoted:
            quoted = "" if character == quoted else quoted
        elif character in "'\"":
            quoted = character
        elif character == "," and depth == 0:
            yield piece.strip()
            piece = ""
            continue
        depth += (not quoted) * ((character == "(") - (character == ")"))
        piece += character
    yield re.sub(r"\s+", " ", piece.strip())


if __name__ == "__main__":
    import django

    django.setup()
    from django.db import connection

    json.dump(shape_of(connection), sys.stdout)
