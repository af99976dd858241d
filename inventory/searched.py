"""The search keys that the database derives: any part of a number finds its row.

A key is one number of one row: its kind, the row's key, its location and the text as
``inventory/rules/codes/search_keys.py`` has it. ``id`` is made of them, so that the keys
of one kind at one location lie together, the newest row last. SQLite finds parts of a
text by an FTS5 table of trigrams beside it, PostgreSQL by an index of pg_trgm.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from django.db import DatabaseError, transaction
from django.db.backends.base.base import BaseDatabaseWrapper

from inventory.derived_shapes import Derived, Follower
from inventory.rules.codes.search_keys import SEPARATORS
from inventory.rules.core.registry import Registry

KEYS = "inventory_searchkey"
PARTS = "inventory_searchtext"
"""SQLite's table of trigrams. Its content is the text of the keys."""

SLOTS = 10
ROWS = 10**11
PLACES = 10**5
"""How many numbers a row may have, rows a table, and locations a house; their product
times the number of kinds is below 2**63."""

_COLUMNS = ("id", "kind", "location_id", "key", "text")
_STEP = 20_000
_LAYER = 15
"""How many replacements nest at once: SQLite's parser is a hundred deep."""


@dataclass(frozen=True)
class SearchKind:
    """The numbers by which the rows ``r`` of a table are found.

    ``number`` is the kind's own for good, at most 90. ``where`` leaves rows out, and reads
    only ``where_reads``. ``through`` is the column of the freight bill that says where a
    row is; empty for a table with a location of its own. ``act`` is the right to see it.
    """

    number: int
    table: str
    columns: tuple[str, ...]
    where: str = "true"
    where_reads: tuple[str, ...] = ()
    through: str = ""
    act: str = "see"

    def first(self, place: int) -> int:
        """Return the least id of the kind at this location."""
        return (self.number * PLACES + place) * ROWS * SLOTS


_STANDS = ("r.withdrawn_at IS NULL", ("withdrawn_at",))

OWN_SEARCH_KINDS = {
    "shipment": SearchKind(
        1,
        "inventory_shipment",
        ("pro_number", "bol_number"),
        "r.withdrawn_at IS NULL AND r.crate_return_id IS NULL",
        ("withdrawn_at", "crate_return_id"),
    ),
    "machine": SearchKind(
        2,
        "inventory_unit",
        ("serial_key", "engine_serial"),
        *_STANDS,
        through="shipment_id",
    ),
    "crate": SearchKind(
        3,
        "inventory_crate",
        ("mark_key", "supplier_code", "grai", "sscc"),
        *_STANDS,
        through="shipment_id",
    ),
    "truck": SearchKind(
        4, "inventory_delivery", ("trailer_number", "seal_number"), *_STANDS
    ),
    "return": SearchKind(5, "inventory_cratereturn", ("number", "authorization")),
    "memo": SearchKind(6, "inventory_creditmemo", ("number",), act="see-deposits"),
    "deposit": SearchKind(
        7,
        "inventory_deposit",
        ("mark", "invoice_number"),
        "NOT r.is_withdrawn",
        ("is_withdrawn",),
        act="see-deposits",
    ),
}

SEARCH_KINDS: Registry[str, SearchKind] = Registry("kinds of number", OWN_SEARCH_KINDS)
"""Every kind of row found by its numbers; the floor above adds its own once."""


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"


def _rows(
    kind: SearchKind, vendor: str, column: str, which: str, *, is_plain: bool = False
) -> str:
    """Return the SELECT of key, location and folded text of one column.

    Of rows whose text ``is_plain`` it need only be in capitals.
    """
    place, joined = "r.location_id", ""
    if kind.through:
        place = "s.location_id"
        joined = f" JOIN inventory_shipment s ON s.id = r.{kind.through}"
    text = f'r."{column}"'
    if vendor == "postgresql":
        made = f"translate(upper({text} COLLATE \"C\"), {_quoted(SEPARATORS)}, '')"
        layers = [made]
    else:
        layers = [f"upper({text})"]
        for at in () if is_plain else range(0, len(SEPARATORS), _LAYER):
            made = layers[-1] if at == 0 else "n.text"
            for one in SEPARATORS[at : at + _LAYER]:
                made = f"replace({made}, {_quoted(one)}, '')"
            layers = [*layers[:-1], made] if at == 0 else [*layers, made]
    where = f"({which}) AND r.\"{column}\" <> '' AND ({kind.where})"
    sql = (
        f"SELECT r.id AS key, {place} AS place, {layers[0]} AS text "
        f"FROM {kind.table} r{joined} WHERE {where}"
    )
    for made in layers[1:]:
        sql = f"SELECT n.key AS key, n.place AS place, {made} AS text FROM ({sql}) AS n"
    return sql


def _select(kind: SearchKind, vendor: str, which: str = "true") -> str:
    """Return the SELECT of every key of the rows concerned."""
    return " UNION ALL ".join(
        _keys(kind, slot, _rows(kind, vendor, column, which))
        for slot, column in enumerate(kind.columns)
    )


def _select_all(kind: SearchKind, vendor: str) -> str:
    """Return the same of all rows; SQLite is spared sixty replacements of plain texts."""
    if vendor != "sqlite":
        return _select(kind, vendor)
    parts = []
    for slot, column in enumerate(kind.columns):
        other = f"r.\"{column}\" GLOB '*[^A-Za-z0-9]*'"
        plain = _rows(kind, vendor, column, f"NOT {other}", is_plain=True)
        parts += [_keys(kind, slot, plain)]
        parts += [_keys(kind, slot, _rows(kind, vendor, column, other))]
    return " UNION ALL ".join(parts)


def _keys(kind: SearchKind, slot: int, rows: str) -> str:
    return (
        f"SELECT (({kind.number} * CAST({PLACES} AS bigint) + p.place) * {ROWS} + p.key) "
        f"* {SLOTS} + {slot}, {kind.number}, p.place, p.key, p.text "
        f"FROM ({rows}) AS p WHERE p.text <> ''"
    )


def _insert(kind: SearchKind, vendor: str, which: str) -> str:
    return f"INSERT INTO {KEYS} ({', '.join(_COLUMNS)}) {_select(kind, vendor, which)};"


def search_tables(vendor: str) -> list[Derived]:
    """Return the keys of each kind with the SELECT that recomputes them."""
    return [
        Derived(KEYS, _COLUMNS, _select_all(kind, vendor), f"kind = {kind.number}")
        for kind in SEARCH_KINDS.values()
    ]


def search_followers(vendor: str) -> Iterator[Follower]:
    """Yield every trigger that keeps the keys, and SQLite's that keep the trigrams."""
    for name, kind in SEARCH_KINDS.items():
        yield from _of_rows(name, kind, vendor)
        if kind.through:
            yield _of_moved_bills(name, kind, vendor)
    if vendor == "sqlite":
        out = f"INSERT INTO {PARTS} ({PARTS}, rowid, text) VALUES ('delete', OLD.id, OLD.text);"
        put = f"INSERT INTO {PARTS} (rowid, text) VALUES (NEW.id, NEW.text);"
        for act, said in (
            ("insert", (put,)),
            ("update", (out, put)),
            ("delete", (out,)),
        ):
            yield Follower(f"search_parts_{act}", KEYS, act, said, writes=PARTS)


def _of_rows(name: str, kind: SearchKind, vendor: str) -> Iterator[Follower]:
    out = f"DELETE FROM {KEYS} WHERE kind = {kind.number} AND key = {{row}}.id;"
    put = _insert(kind, vendor, "r.id = NEW.id")
    place = kind.through or "location_id"
    watched = (*kind.columns, place, *kind.where_reads)
    for act, said, seen in (
        ("insert", (put,), ()),
        ("update", (out.format(row="NEW"), put), watched),
        ("delete", (out.format(row="OLD"),), ()),
    ):
        follows = f"search_{name}_{act}"
        yield Follower(follows, kind.table, act, said, seen, writes=KEYS)


def _of_moved_bills(name: str, kind: SearchKind, vendor: str) -> Follower:
    """Return what moves a bill's rows to another location with it."""
    rows = f"SELECT id FROM {kind.table} WHERE {kind.through} = NEW.id"
    return Follower(
        f"search_{name}_moved",
        "inventory_shipment",
        "update",
        (
            f"DELETE FROM {KEYS} WHERE kind = {kind.number} AND key IN ({rows});",
            _insert(kind, vendor, f"r.{kind.through} = NEW.id"),
        ),
        watched=("location_id",),
        writes=KEYS,
    )


def fill_search(connection: BaseDatabaseWrapper) -> None:
    """Recompute every key, one statement a kind, and what finds their parts."""
    with connection.cursor() as cursor:
        cursor.execute(f"DELETE FROM {KEYS}")
        for kind in SEARCH_KINDS.values():
            cursor.execute(_insert(kind, connection.vendor, "true"))
        if connection.vendor == "sqlite":
            cursor.execute(f"INSERT INTO {PARTS} ({PARTS}) VALUES ('rebuild')")


def fill_in_steps(
    connection: BaseDatabaseWrapper, *kinds: SearchKind, step: int = _STEP
) -> None:
    """Add the keys that are missing, some rows a transaction; for migrations.

    Killed, it goes on behind the last row that has a key. No trigger stands meanwhile.
    """
    for kind in kinds:
        had = f"SELECT MAX(key) FROM {KEYS} WHERE kind = {kind.number}"
        first = _one(connection, f"SELECT MIN(id) FROM {kind.table}")
        done = max(_one(connection, had), first - 1)
        last = _one(connection, f"SELECT MAX(id) FROM {kind.table}")
        while done < last:
            with transaction.atomic(using=connection.alias):
                _fill_step(connection, kind, done, done + step)
            done += step


def _one(connection: BaseDatabaseWrapper, sql: str) -> int:
    with connection.cursor() as cursor:
        cursor.execute(sql)
        return int(cursor.fetchone()[0] or 0)


def _fill_step(
    connection: BaseDatabaseWrapper, kind: SearchKind, after: int, until: int
) -> None:
    with connection.cursor() as cursor:
        which = f"r.id > {after} AND r.id <= {until}"
        cursor.execute(_insert(kind, connection.vendor, which))
        if connection.vendor == "sqlite":
            cursor.execute(
                f"INSERT INTO {PARTS} (rowid, text) SELECT id, text FROM {KEYS} "
                f"WHERE kind = {kind.number} AND key > {after} AND key <= {until}"
            )


def search_differences(connection: BaseDatabaseWrapper) -> Iterator[str]:
    """Yield a sentence where SQLite's trigrams are not those of the keys."""
    if connection.vendor != "sqlite":
        return
    check = f"INSERT INTO {PARTS} ({PARTS}, rank) VALUES ('integrity-check', 1)"
    try:
        with connection.cursor() as cursor:
            cursor.execute(check)
    except DatabaseError as error:
        yield (
            f"The search index {PARTS} differs from {KEYS}: {error}. To make it again, "
            f"execute INSERT INTO {PARTS} ({PARTS}) VALUES ('rebuild') in the database."
        )
