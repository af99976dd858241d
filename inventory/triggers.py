"""The database's own refusals: append-only tables, kept by triggers.

SQLite drops triggers when a table is rebuilt, and a trigger that stands during a
migration can break it. So every trigger is dropped before a migration and made
again after it, on both databases, from this one list.
"""

from typing import Any

from django.apps import apps
from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper

APPEND_ONLY = [
    "inventory_event",
    "inventory_eventsubject",
    "inventory_original",
    "inventory_evidence",
    "inventory_withholding",
    "inventory_receiptnote",
    "inventory_crateterms",
    "inventory_termsstep",
    "inventory_depositrate",
    "inventory_partdeduction",
    "inventory_cratecheck",
    "inventory_cratecheckline",
    "inventory_account",
    "inventory_entry",
    "inventory_leg",
    "inventory_periodlock",
    "inventory_balanceassertion",
    "claims_packet",
    "claims_findingphoto",
    "claims_deadlineoverride",
    "claims_paperdecision",
]

_ACTS = ("UPDATE", "DELETE")


def _names(table: str, vendor: str) -> list[str]:
    names = [f"keep_{table}_{act.lower()}" for act in _ACTS]
    if vendor == "postgresql":
        names.append(f"keep_{table}_truncate")
    return names


def _sqlite_sql(table: str) -> list[str]:
    return [
        (
            f"CREATE TRIGGER keep_{table}_{act.lower()} BEFORE {act} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END"
        )
        for act in _ACTS
    ]


def _postgresql_sql(table: str) -> list[str]:
    rows = [
        (
            f"CREATE TRIGGER keep_{table}_{act.lower()} BEFORE {act} ON {table} "
            "FOR EACH ROW EXECUTE FUNCTION refuse_change()"
        )
        for act in _ACTS
    ]
    return [
        *rows,
        (
            f"CREATE TRIGGER keep_{table}_truncate BEFORE TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION refuse_change()"
        ),
    ]


_REFUSE = """
CREATE OR REPLACE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN RAISE EXCEPTION '% is append-only', TG_TABLE_NAME
USING ERRCODE = 'integrity_constraint_violation'; END $$
"""


def _present(connection: BaseDatabaseWrapper) -> set[str]:
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SELECT tgname FROM pg_trigger WHERE NOT tgisinternal")
        else:
            cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        return {row[0] for row in cursor.fetchall()}


def missing_triggers(connection: BaseDatabaseWrapper) -> list[str]:
    """Return the names of the triggers that should stand and do not."""
    present = _present(connection)
    tables = set(connection.introspection.table_names())
    return [
        name
        for table in APPEND_ONLY
        if table in tables
        for name in _names(table, connection.vendor)
        if name not in present
    ]


def drop_triggers(connection: BaseDatabaseWrapper) -> None:
    """Take every trigger of the list away, so that a table can be rebuilt."""
    present = _present(connection)
    with connection.cursor() as cursor:
        for table in APPEND_ONLY:
            for name in _names(table, connection.vendor):
                if name not in present:
                    continue
                tail = f" ON {table}" if connection.vendor == "postgresql" else ""
                cursor.execute(f"DROP TRIGGER {name}{tail}")


def make_triggers(connection: BaseDatabaseWrapper) -> None:
    """Make every trigger of the list whose table exists."""
    missing = set(missing_triggers(connection))
    postgresql = connection.vendor == "postgresql"
    with connection.cursor() as cursor:
        if postgresql:
            cursor.execute(_REFUSE)
        for table in APPEND_ONLY:
            statements = _postgresql_sql(table) if postgresql else _sqlite_sql(table)
            for name, sql in zip(
                _names(table, connection.vendor), statements, strict=True
            ):
                if name in missing:
                    cursor.execute(sql)


def drop_before_migrate(*, using: str, **_: Any) -> None:
    """Receive ``pre_migrate``."""
    drop_triggers(connections[using])


def make_after_migrate(*, sender: Any, using: str, **_: Any) -> None:
    """Receive ``post_migrate``, once: after the last app that has models."""
    last = [config for config in apps.get_app_configs() if config.models_module][-1]
    if sender.label == last.label:
        make_triggers(connections[using])
