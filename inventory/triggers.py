"""What the database does by itself, in triggers: refusals, and what it derives.

SQLite drops triggers when a table is rebuilt, and a trigger that stands during a
migration can break it. So every trigger is dropped before a migration and made
again after it, on both databases, from this one list. The floor above adds its own
tables to it once, through ``inventory/upper_floor.py``.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import Model

from inventory import derived, ledger_triggers
from inventory.derived_shapes import Follower
from inventory.management.after_migration import is_last_step
from inventory.rules.core.registry import Registry

_OWN = (
    "inventory_event",
    "inventory_eventsubject",
    "inventory_original",
    "inventory_evidence",
    "inventory_withholding",
    "inventory_photomarkup",
    "inventory_reading",
    "inventory_expectedcrate",
    "inventory_sentdocument",
    "inventory_receiptnote",
    "inventory_carrierbankruptcy",
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
    "inventory_exchangerate",
    "inventory_balanceassertion",
    "inventory_importedrow",
    "inventory_retiredterms",
)

APPEND_ONLY: Registry[str, None] = Registry("append-only tables", dict.fromkeys(_OWN))
"""The names of every table whose rows are never changed or deleted."""


def fixed_columns(
    fields: Mapping[type[Model], tuple[str, ...]],
) -> dict[str, tuple[str, ...]]:
    """Return the entries of these models' fields for ``FIXED``."""
    return {
        model._meta.db_table: tuple(
            str(model._meta.get_field(name).column)  # type: ignore[union-attr]
            for name in names
        )
        for model, names in fields.items()
    }


def tables_of(models: Iterable[type[Model]]) -> dict[str, None]:
    """Return the entries of these models for ``APPEND_ONLY``."""
    return dict.fromkeys(model._meta.db_table for model in models)


COMPLETED_ONCE = {"inventory_once": "page"}
"""Append-only tables whose rows may be completed while this column is empty."""

_OWN_FIXED = {
    "inventory_carriedcheck": (
        "location_id",
        "month",
        "check_key",
        "label",
        "open_rows",
        "reason",
        "carried_at",
        "carried_by_id",
    ),
    "inventory_legalhold": ("matter", "reason", "placed_at", "placed_by_id"),
    "inventory_listimport": (
        "kind",
        "location_id",
        "original_id",
        "file_name",
        "new_rows",
        "rows_there",
        "rows_refused",
        "made_at",
        "made_by_id",
    ),
}

FIXED: Registry[str, tuple[str, ...]] = Registry(
    "tables with fixed columns", _OWN_FIXED
)
"""Tables of which only the other columns may change; no row is deleted."""

_ACTS = ("UPDATE", "DELETE")
_DIFFERS = {"sqlite": "IS NOT", "postgresql": "IS DISTINCT FROM"}

REFUSE = """
CREATE OR REPLACE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN RAISE EXCEPTION '% is append-only', TG_TABLE_NAME
USING ERRCODE = 'integrity_constraint_violation'; END $$
"""


@dataclass(frozen=True)
class Trigger:
    """One trigger: its name, the table it stands on, and the SQL that makes it."""

    name: str
    table: str
    sql: str
    writes: str = ""


def wanted_triggers(vendor: str) -> list[Trigger]:
    """Return every trigger that should stand on a database of this vendor."""
    if vendor == "postgresql":
        kept = [one for table in kept_tables() for one in _keep_on_postgresql(table)]
        sealing = ledger_triggers.POSTGRESQL
    else:
        kept = [one for table in kept_tables() for one in _keep_on_sqlite(table)]
        sealing = ledger_triggers.SQLITE
    tables = ledger_triggers.TABLES
    seals = [Trigger(name, tables[name], sealing[name]) for name in tables]
    following = [_follow(one, vendor) for one in derived.followers(vendor)]
    return [*kept, *seals, *following]


def _follow(one: Follower, vendor: str) -> Trigger:
    """Return the trigger that keeps a derived table after an act on another."""
    changed = " OR ".join(
        f'OLD."{column}" {_DIFFERS[vendor]} NEW."{column}"' for column in one.watched
    )
    head = f"CREATE TRIGGER {one.name} AFTER {one.act.upper()} ON {one.table}"
    head += " FOR EACH ROW" + (f" WHEN ({changed})" if changed else "")
    body = "\n".join(one.statements)
    if vendor == "postgresql":
        sql = (
            f"CREATE OR REPLACE FUNCTION {one.name}() RETURNS trigger "
            f"LANGUAGE plpgsql AS $$ BEGIN\n{body}\nRETURN NULL; END $$; "
            f"{head} EXECUTE FUNCTION {one.name}()"
        )
    else:
        sql = f"{head} BEGIN\n{body}\nEND"
    return Trigger(one.name, one.table, sql, one.writes)


def kept_tables() -> list[str]:
    """Return every table whose rows the database keeps as they are."""
    return [*APPEND_ONLY, *COMPLETED_ONCE, *FIXED]


def _when(table: str, act: str, vendor: str) -> str:
    """Return the condition under which a row's change is refused."""
    if act != "UPDATE":
        return ""
    column, fixed = COMPLETED_ONCE.get(table), FIXED.get(table)
    if fixed:
        differs = _DIFFERS[vendor]
        pairs = " OR ".join(f"OLD.{one} {differs} NEW.{one}" for one in fixed)
        return f"WHEN ({pairs}) "
    return f"WHEN (OLD.{column} <> '') " if column else ""


def _keep_on_sqlite(table: str) -> Iterator[Trigger]:
    for act in _ACTS:
        name = f"keep_{table}_{act.lower()}"
        refusal = f"SELECT RAISE(ABORT, '{table} is append-only');"
        yield Trigger(
            name,
            table,
            f"CREATE TRIGGER {name} BEFORE {act} ON {table} "
            f"{_when(table, act, 'sqlite')}BEGIN {refusal} END",
        )


def _keep_on_postgresql(table: str) -> Iterator[Trigger]:
    for act in (*_ACTS, "TRUNCATE"):
        name = f"keep_{table}_{act.lower()}"
        each = "STATEMENT" if act == "TRUNCATE" else "ROW"
        yield Trigger(
            name,
            table,
            f"CREATE TRIGGER {name} BEFORE {act} ON {table} "
            f"FOR EACH {each} {_when(table, act, 'postgresql')}"
            f"EXECUTE FUNCTION refuse_change()",
        )


def _present(connection: BaseDatabaseWrapper) -> set[str]:
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SELECT tgname FROM pg_trigger WHERE NOT tgisinternal")
        else:
            cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        return {row[0] for row in cursor.fetchall()}


def _missing(connection: BaseDatabaseWrapper) -> list[Trigger]:
    present = _present(connection)
    tables = set(connection.introspection.table_names())
    return [
        one
        for one in wanted_triggers(connection.vendor)
        if one.table in tables
        and one.name not in present
        and (not one.writes or one.writes in tables)
    ]


def missing_triggers(connection: BaseDatabaseWrapper) -> list[str]:
    """Return the names of the triggers that should stand and do not."""
    return [one.name for one in _missing(connection)]


def drop_triggers(connection: BaseDatabaseWrapper) -> None:
    """Take every trigger of the list away, so that a table can be rebuilt."""
    present = _present(connection)
    with connection.cursor() as cursor:
        for one in wanted_triggers(connection.vendor):
            if one.name in present:
                tail = f" ON {one.table}" if connection.vendor == "postgresql" else ""
                cursor.execute(f"DROP TRIGGER {one.name}{tail}")


def make_triggers(connection: BaseDatabaseWrapper) -> None:
    """Make every trigger of the list whose table exists."""
    missing = _missing(connection)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            for function in (REFUSE, *ledger_triggers.POSTGRESQL_FUNCTIONS):
                cursor.execute(function)
        for one in missing:
            cursor.execute(one.sql)


def drop_before_migrate(*, using: str, **_: Any) -> None:
    """Receive ``pre_migrate``."""
    drop_triggers(connections[using])


def make_after_migrate(*, sender: Any, using: str, **_: Any) -> None:
    """Receive ``post_migrate``, once: after the last app that has models.

    Where migrations still wait, a trigger may name a column that is not there yet; the
    last of them makes all triggers, and nothing is served before.
    """
    if is_last_step(sender, using):
        make_triggers(connections[using])
