"""The tables that the database derives: what is open, sums, and search keys.

Each is one SELECT, kept true by triggers in the transaction of every write, so that a
desk reads what is open and not all of history. The triggers are on the list of
``inventory/triggers.py``; a migration that writes to a table that is followed here calls
``fill`` at its end, because no trigger stands while it runs.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass

from django.db import DatabaseError
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.utils import CursorWrapper

from inventory.derived_shapes import OPEN_WORK, Derived, Follower
from inventory.rules.core.registry import Registry
from inventory.rules.deposits.postings import NEVER_NEGATIVE
from inventory.searched import search_differences, search_followers, search_tables


@dataclass(frozen=True)
class OpenKind:
    """One kind of open work: the rows ``r`` of a table that meet a condition.

    ``follows`` gives for each table whose writes may change it the keys concerned:
    SQL in which ``{row}`` is the row written.
    """

    table: str
    where: str
    follows: Mapping[str, str]


_LACKS = """
r.withdrawn_at IS NULL AND r.crate_return_id IS NULL AND NOT r.is_earlier AND (
  r.supplier_id IS NULL OR r.bol_number = '' OR r.bol_on IS NULL
  OR r.pieces_billed IS NULL OR r.billed_weight = ''
  OR r.delivery_terms = 'unknown' OR r.freight_payer = 'unknown'
  OR r.freight_charge_cents IS NULL
  OR NOT EXISTS (SELECT 1 FROM inventory_unit u WHERE u.shipment_id = r.id)
  OR EXISTS (
    SELECT 1 FROM inventory_unit u WHERE u.shipment_id = r.id
    AND (u.serial = '' OR u.invoice_cents IS NULL)
  )
)
"""

OWN_KINDS = {
    "truck": OpenKind(
        "inventory_delivery",
        "r.withdrawn_at IS NULL AND r.signed_at IS NULL",
        {"inventory_delivery": "{row}.id"},
    ),
    "paperwork": OpenKind(
        "inventory_shipment",
        _LACKS,
        {"inventory_shipment": "{row}.id", "inventory_unit": "{row}.shipment_id"},
    ),
    "closed-crate": OpenKind(
        "inventory_crate",
        "r.withdrawn_at IS NULL AND r.opened_at IS NULL AND NOT r.is_over "
        "AND r.look <> 'refused'",
        {"inventory_crate": "{row}.id"},
    ),
    "refused-crate": OpenKind(
        "inventory_crate",
        "r.withdrawn_at IS NULL AND r.look = 'refused' AND r.disposition = ''",
        {"inventory_crate": "{row}.id"},
    ),
    "pod": OpenKind(
        "inventory_handover",
        "r.withdrawn_at IS NULL AND r.carrier_image IN ('awaited', 'words-missing')",
        {"inventory_handover": "{row}.id"},
    ),
}

_SAME_BOOK = """
{row}.location_id = b.location_id AND {row}.supplier_id = b.supplier_id
AND {row}.currency = b.currency
"""
OWN_KINDS["statement"] = OpenKind(
    "inventory_balanceassertion",
    "NOT EXISTS (SELECT 1 FROM inventory_balanceassertion b WHERE "
    + _SAME_BOOK.format(row="r")
    + "AND (b.as_of, b.id) > (r.as_of, r.id))",  # a range of the index, not an OR
    {
        "inventory_balanceassertion": (
            f"SELECT b.id FROM inventory_balanceassertion b WHERE {_SAME_BOOK}"
        )
    },
)

OPEN_KINDS: Registry[str, OpenKind] = Registry("kinds of open work", OWN_KINDS)
"""Every kind of open work by its name; the floor above adds its own once."""

FOLLOWERS: Registry[str, Follower] = Registry("followers", {})
"""More triggers that keep a derived table, by name; the floor above adds its own once."""

RECOMPUTED: Registry[str, Callable[[], Iterator[str]]] = Registry(
    "recomputed tables", {}
)
"""By the name of a table that no SELECT can derive: what recomputes it and yields a
sentence for each difference."""


_MONTHS = {
    "sqlite": "strftime('%Y-%m-01', {day})",
    "postgresql": "date_trunc('month', {day})::date",
}
_KINDS = ", ".join(f"'{kind}'" for kind in NEVER_NEGATIVE)
_MOVED = "SELECT account_id FROM inventory_leg WHERE entry_id = NEW.id"
_SIDE = (
    "(SELECT COALESCE(SUM({sign}l.cents), 0) FROM inventory_leg l WHERE "
    "l.entry_id = NEW.id AND l.account_id = inventory_accountmonth.account_id{only})"
)


def derived_tables(vendor: str) -> list[Derived]:
    """Return every derived table with the SELECT that recomputes it."""
    return [*_sums(vendor), *map(_open_part, OPEN_KINDS), *search_tables(vendor)]


def _sums(vendor: str) -> list[Derived]:
    month = _MONTHS[vendor].format(day="e.effective_on")
    sums = Derived(
        "inventory_opensum",
        ("account_id", "deposit_id", "cents"),
        "SELECT l.account_id, l.deposit_id, SUM(l.cents) FROM inventory_leg l "
        "JOIN inventory_account a ON a.id = l.account_id "
        f"WHERE l.deposit_id IS NOT NULL AND a.kind IN ({_KINDS}) "
        "GROUP BY l.account_id, l.deposit_id HAVING SUM(l.cents) <> 0",
    )
    months = Derived(
        "inventory_accountmonth",
        ("account_id", "month", "debits", "credits", "closing"),
        "SELECT account_id, month, debits, credits, SUM(debits - credits) OVER "
        "(PARTITION BY account_id ORDER BY month) FROM ("
        f"SELECT l.account_id AS account_id, {month} AS month, "
        "SUM(CASE WHEN l.cents > 0 THEN l.cents ELSE 0 END) AS debits, "
        "SUM(CASE WHEN l.cents < 0 THEN -l.cents ELSE 0 END) AS credits "
        "FROM inventory_leg l JOIN inventory_entry e ON e.id = l.entry_id "
        f"GROUP BY l.account_id, {month}) AS moved",
    )
    return [sums, months]


def _open_part(what: str) -> Derived:
    kind = OPEN_KINDS[what]
    return Derived(
        OPEN_WORK,
        ("what", "key"),
        f"SELECT '{what}', r.id FROM {kind.table} r WHERE {kind.where.strip()}",
        f"what = '{what}'",
    )


def followers(vendor: str) -> Iterator[Follower]:
    """Yield every trigger that keeps a derived table."""
    yield _sums_of_an_entry(vendor)
    yield from search_followers(vendor)
    yield from FOLLOWERS.values()
    for what, kind in OPEN_KINDS.items():
        for table, keys in kind.follows.items():
            for act, rows in (
                ("insert", ("NEW",)),
                ("update", ("NEW", "OLD")),
                ("delete", ("OLD",)),
            ):
                name = f"open_{what.replace('-', '_')}_{table}_{act}"
                yield Follower(name, table, act, _again(what, kind, keys, rows))


def _again(
    what: str, kind: OpenKind, keys: str, rows: tuple[str, ...]
) -> tuple[str, ...]:
    """Return the statements that judge the rows concerned anew."""
    named = dict.fromkeys(keys.format(row=row) for row in rows)
    if keys == "{row}.id":  # a key never changes
        named = dict.fromkeys([keys.format(row=rows[0])])
    of_work = " OR ".join(f"key IN ({one})" for one in named)
    of_rows = " OR ".join(f"r.id IN ({one})" for one in named)
    return (
        f"DELETE FROM {OPEN_WORK} WHERE what = '{what}' AND ({of_work});",
        f"INSERT INTO {OPEN_WORK} (what, key) SELECT '{what}', r.id "
        f"FROM {kind.table} r WHERE ({of_rows}) AND ({kind.where.strip()});",
    )


def _sums_of_an_entry(vendor: str) -> Follower:
    """Return what adds a sealed entry to the sums; all its legs are there by then."""
    month = _MONTHS[vendor].format(day="NEW.effective_on")
    debits = _SIDE.format(sign="", only=" AND l.cents > 0")
    credits_ = _SIDE.format(sign="-", only=" AND l.cents < 0")
    both = _SIDE.format(sign="", only="")
    table = "inventory_accountmonth"
    return Follower(
        "sum_inventory_entry",
        "inventory_entry",
        "insert",
        (
            "INSERT INTO inventory_opensum (account_id, deposit_id, cents) "
            "SELECT l.account_id, l.deposit_id, SUM(l.cents) FROM inventory_leg l "
            "JOIN inventory_account a ON a.id = l.account_id "
            "WHERE l.entry_id = NEW.id AND l.deposit_id IS NOT NULL "
            f"AND a.kind IN ({_KINDS}) GROUP BY l.account_id, l.deposit_id "
            "ON CONFLICT (account_id, deposit_id) DO UPDATE "
            "SET cents = inventory_opensum.cents + excluded.cents;",
            "DELETE FROM inventory_opensum WHERE cents = 0 AND deposit_id IN "
            "(SELECT deposit_id FROM inventory_leg WHERE entry_id = NEW.id);",
            f"INSERT INTO {table} (account_id, month, debits, credits, closing) "
            f"SELECT moved.account_id, {month}, 0, 0, COALESCE((SELECT p.closing "
            f"FROM {table} p WHERE p.account_id = moved.account_id "
            f"AND p.month < {month} ORDER BY p.month DESC LIMIT 1), 0) "
            "FROM (SELECT DISTINCT account_id FROM inventory_leg "
            "WHERE entry_id = NEW.id) AS moved WHERE true "
            "ON CONFLICT (account_id, month) DO NOTHING;",
            f"UPDATE {table} SET debits = debits + {debits}, "
            f"credits = credits + {credits_} "
            f"WHERE month = {month} AND account_id IN ({_MOVED});",
            f"UPDATE {table} SET closing = closing + {both} "
            f"WHERE month >= {month} AND account_id IN ({_MOVED});",
        ),
    )


def fill(connection: BaseDatabaseWrapper, *whats: str) -> None:
    """Recompute these kinds of open work, one statement each; for migrations."""
    _fill(connection, map(_open_part, whats))


def fill_sums(connection: BaseDatabaseWrapper) -> None:
    """Recompute the sums of the ledger, one statement a table; for migrations."""
    _fill(connection, _sums(connection.vendor))


def _fill(connection: BaseDatabaseWrapper, tables: Iterable[Derived]) -> None:
    with connection.cursor() as cursor:
        for one in tables:
            where = f" WHERE {one.part}" if one.part else ""
            cursor.execute(f"DELETE FROM {one.table}{where}")
            names = ", ".join(one.columns)
            cursor.execute(f"INSERT INTO {one.table} ({names}) {one.select}")


def differences(connection: BaseDatabaseWrapper) -> Iterator[str]:
    """Yield a sentence for each derived row that is missing, or there by mistake."""
    try:
        yield from _differences(connection)
        yield from search_differences(connection)
        for recomputed in RECOMPUTED.values():
            yield from recomputed()
    except DatabaseError as error:
        yield f"The derived tables cannot be compared: {error}."


def _differences(connection: BaseDatabaseWrapper) -> Iterator[str]:
    with connection.cursor() as cursor:
        for one in derived_tables(connection.vendor):
            if _agrees(cursor, one):
                continue
            for words, left, right in (
                ("lacks", one.select, one.stored),
                ("has by mistake", one.stored, one.select),
            ):
                cursor.execute(
                    f"SELECT * FROM ({left}) AS a EXCEPT SELECT * FROM ({right}) AS b"
                )
                for row in cursor.fetchall():
                    told = ", ".join(
                        f"{name} {value}"
                        for name, value in zip(one.columns, row, strict=True)
                    )
                    yield f"The derived table {one.table} {words}: {told}."


def _agrees(cursor: CursorWrapper, one: Derived) -> bool:
    """Return whether each wanted row is stored, and no more rows are than wanted.

    The rows are computed once, and each is looked up by the table's own key. No row is
    wanted twice, so equal numbers leave no room for one that is there by mistake.
    """
    same = " AND ".join(
        f"b.{name} = w.{place}"
        for place, name in zip(one.places, one.columns, strict=True)
    )
    part = f" AND b.{one.part}" if one.part else ""
    cursor.execute(
        f"WITH w ({', '.join(one.places)}) AS ({one.select}) "
        f"SELECT COUNT(*), COUNT(CASE WHEN EXISTS (SELECT 1 FROM {one.table} b "
        f"WHERE {same}{part}) THEN 1 END) FROM w"
    )
    wanted, found = cursor.fetchone()
    cursor.execute(f"SELECT COUNT(*) FROM ({one.stored}) AS b")
    return bool(wanted == found == cursor.fetchone()[0])
