"""What holds the rows of a house: triggers, foreign keys, numbers and derived tables.

They are down in the other database while it is filled, and stand again before anybody
may work with it. PostgreSQL's foreign keys are kept as marks meanwhile.
"""

from collections.abc import Iterable
from typing import Any

from django.db import connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import Model

from config.moving_rows import SOURCE, TARGET, HouseMoveError, execute
from inventory.derived import OPEN_KINDS, fill, fill_sums
from inventory.move_marks import begin_marks, mark, marks, unmark
from inventory.searched import fill_search
from inventory.triggers import drop_triggers, make_triggers

MADE_BY_MIGRATIONS = ("auth_permission", "django_content_type")
"""The tables of which a new database has rows already."""

_FROM, _KEYS = "from", "foreign key "
_NUMBERED = frozenset({"AutoField", "BigAutoField"})

_FOREIGN_KEYS = """
SELECT conrelid::regclass::text, quote_ident(conname), pg_get_constraintdef(oid)
FROM pg_constraint
WHERE contype = 'f' AND connamespace = current_schema()::regnamespace
"""


def loosen(house: str) -> None:
    """Take triggers and foreign keys down; the first time, empty what migrations made.

    ``house`` is whose rows come: the same at every run. Raise HouseMoveError where
    those of another have begun to.
    """
    target = connections[TARGET]
    _wait_for_disk(target, "off")
    with transaction.atomic(using=TARGET):
        found = marks(target)
        if found and found[_FROM] != house:
            raise HouseMoveError(
                "The other database holds a part of another house. Nothing was copied. "
                "Name an empty database."
            )
        if not found:
            begin_marks(target, {_FROM: house})
        drop_triggers(target)
        _take_keys_down(target)
        if not found:
            for table in MADE_BY_MIGRATIONS:
                execute(target, f'DELETE FROM "{table}"')  # noqa: S608


def _wait_for_disk(target: BaseDatabaseWrapper, whether: str) -> None:
    """Say whether each commit waits for the disk.

    A batch that a power cut takes, its mark with it, is copied again; the commits at
    the end take all before them along.
    """
    if target.vendor == "postgresql":
        execute(target, f"SET synchronous_commit = {whether}")


def _take_keys_down(target: BaseDatabaseWrapper) -> None:
    if target.vendor != "postgresql":
        return
    with target.cursor() as cursor:
        cursor.execute(_FOREIGN_KEYS)
        for table, name, said in cursor.fetchall():
            whole = f"ALTER TABLE {table} ADD CONSTRAINT {name} {said}"
            mark(target, f"{_KEYS}{table} {name}", whole)
            cursor.execute(f"ALTER TABLE {table} DROP CONSTRAINT {name}")


def tighten(models: Iterable[type[Model]]) -> None:
    """Compute what is derived; set the numbers; let keys and triggers stand again."""
    target = connections[TARGET]
    _wait_for_disk(target, "on")
    with transaction.atomic(using=TARGET):
        fill(target, *OPEN_KINDS)
        fill_sums(target)
        fill_search(target)
    with transaction.atomic(using=TARGET):
        for item, whole in marks(target).items():
            if item.startswith(_KEYS):
                execute(target, whole)
                unmark(target, item)
        for model in models:
            _set_next_number(target, model)
        if target.vendor == "sqlite":
            target.check_constraints()
        make_triggers(target)


def _set_next_number(target: BaseDatabaseWrapper, model: type[Model]) -> None:
    """Let the other database count on from the last number given here, used or not."""
    key, table = model._meta.pk, model._meta.db_table
    if key.get_internal_type() not in _NUMBERED:
        return
    last = _last_number(connections[SOURCE], table, str(key.column))
    if not last:
        return
    if target.vendor == "postgresql":
        sequence = _sequence_of(target, table, str(key.column))
        execute(target, "SELECT setval(%s, %s)", sequence, last)
        return
    execute(target, "DELETE FROM sqlite_sequence WHERE name = %s", table)
    execute(target, "INSERT INTO sqlite_sequence VALUES (%s, %s)", table, last)


def _last_number(source: BaseDatabaseWrapper, table: str, column: str) -> int:
    words: list[Any] = []
    if source.vendor == "postgresql":
        sequence = _sequence_of(source, table, column)
        sql = f"SELECT last_value FROM {sequence} WHERE is_called"  # noqa: S608
    else:
        sql, words = "SELECT seq FROM sqlite_sequence WHERE name = %s", [table]
    with source.cursor() as cursor:
        cursor.execute(sql, words)
        found = cursor.fetchone()
    return int(found[0]) if found else 0


def _sequence_of(connection: BaseDatabaseWrapper, table: str, column: str) -> str:
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_get_serial_sequence(%s, %s)", [f'"{table}"', column])
        return str(cursor.fetchone()[0])
