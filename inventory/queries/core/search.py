"""Finding rows by any part of a number: those that begin with it first, then newest.

Reads the search keys (``inventory/searched.py``) of one kind at one location at a time,
each as far as the page goes: neither what else is found nor what lies at the locations
of others is read.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache

from django.db import connection
from django.db.models import Q, QuerySet

from inventory.access import locations_of
from inventory.models import Location, SearchKey, User
from inventory.rules.codes.search_keys import LEAST_PART, asked_keys, folded
from inventory.searched import KEYS, PARTS, ROWS, SEARCH_KINDS, SLOTS, SearchKind

_LAST = "\U0010ffff"
_AT_ONCE = 100
"""For how many numbers one statement looks."""

_MOST_STATEMENTS = 400
"""How many are asked at once: SQLite joins at most 500 SELECTs."""

Statement = tuple[str, list[str | int]]
"""SQL with its parameters; no SQL where there is nothing to ask."""


@dataclass(frozen=True, order=True)
class Place:
    """Where a row stands in the order: beginnings by their text, then parts; newest first.

    ``older`` is the row's key with its sign turned.
    """

    is_part: bool
    text: str
    older: int

    def __str__(self) -> str:
        return f"{'p' if self.is_part else 'b'}{-self.older}.{self.text}"


@dataclass(frozen=True)
class Found:
    """The keys found of one kind, in order; ``after`` where more follow."""

    keys: list[int] = field(default_factory=list)
    after: Place | None = None


@dataclass(frozen=True)
class Scope:
    """One text asked for among one kind at one location, behind a place."""

    kind: SearchKind
    location: int
    asked: str
    after: Place | None
    most: int


def place_of(told: str) -> Place | None:
    """Return the place that an address names, or None for what names none."""
    head, _, text = told.partition(".")
    digits = head[1:]
    if (
        head[:1] not in {"b", "p"}
        or not (digits.isascii() and digits.isdigit())
        or len(digits) > 11
    ):
        return None
    return Place(head[0] == "p", text, -int(digits))


def find(
    person: User,
    typed: str,
    kinds: Sequence[str],
    *,
    most: int,
    after: Place | None = None,
) -> dict[str, Found]:
    """Return what the person may see of each kind, at most so many keys of each.

    One or two characters find whole numbers and beginnings alone.
    """
    found: dict[str, dict[int, Place]] = {name: {} for name in kinds}
    at = {act: _locations(person, act) for act in {SEARCH_KINDS[n].act for n in kinds}}
    names = {SEARCH_KINDS[name].number: name for name in kinds}
    is_anywhere = cache(_has_part)
    for ask in (_beginnings, _parts):
        scopes = [
            Scope(SEARCH_KINDS[name], location, asked, after, most)
            for name in kinds
            if len(found[name]) <= most  # a page of beginnings needs no parts
            for location in at[SEARCH_KINDS[name].act]
            for asked in asked_keys(typed, is_pro=name == "shipment")
            if ask is _beginnings or is_anywhere(asked)
        ]
        statements = [ask(scope) for scope in scopes]
        for is_part, text, number, key in _read(statements, most):
            place = Place(bool(is_part), text, -key)
            there = found[names[number]]
            there[key] = min(place, there.get(key, place))
    return {name: _page(there, most) for name, there in found.items()}


def _has_part(asked: str) -> bool:
    """Return whether any number has it: one look, before each place is searched.

    PostgreSQL finds nothing as quickly at each place.
    """
    if len(asked) < LEAST_PART or connection.vendor != "sqlite":
        return len(asked) >= LEAST_PART
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT 1 FROM {PARTS} WHERE text MATCH %s LIMIT 1", [f'"{asked}"']
        )
        return cursor.fetchone() is not None


def _locations(person: User, act: str) -> list[int]:
    return list(locations_of(person, act).order_by().values_list("pk", flat=True))


def _page(there: dict[int, Place], most: int) -> Found:
    keys = sorted(there, key=lambda key: there[key])
    after = there[keys[most - 1]] if len(keys) > most else None
    return Found(keys[:most], after)


def _read(
    statements: Iterable[Statement], most: int
) -> Iterator[tuple[int, str, int, int]]:
    """Yield what the statements find, each at most a page and one."""
    asked = [statement for statement in statements if statement[0]]
    for first in range(0, len(asked), _MOST_STATEMENTS):
        some = asked[first : first + _MOST_STATEMENTS]
        sql = " UNION ALL ".join(
            f"SELECT * FROM ({one} LIMIT {most + 1}) AS found" for one, _ in some
        )
        with connection.cursor() as cursor:
            cursor.execute(sql, [value for _, values in some for value in values])
            yield from cursor.fetchall()


_ROW = f"k.id / {SLOTS} * {SLOTS}"
_SAME_ROW = f"SELECT 1 FROM {KEYS} o WHERE o.id "
_BETWEEN = f"BETWEEN {_ROW} AND {_ROW} + {SLOTS} - 1"

# Of a range, PostgreSQL believes that it holds a two-hundredth of the table, and reads
# the whole of it. With a limit it goes down the index once for a row's numbers.
_NUMBERS = {
    "sqlite": f"{_SAME_ROW} {_BETWEEN}",
    "postgresql": f"""SELECT 1 FROM (
  SELECT o.id, o.text FROM {KEYS} o WHERE o.id {_BETWEEN} ORDER BY o.id LIMIT {SLOTS}
) AS o WHERE true""",
}

_BEGINNINGS = f"""
SELECT 0, k.text, k.kind, k.key FROM {KEYS} k
WHERE k.kind = %s AND k.location_id = %s AND k.text >= %s AND k.text < %s{{behind}}
AND NOT EXISTS ({{numbers}} AND o.text >= %s AND o.text < %s
  AND (o.text < k.text OR o.text = k.text AND o.id > k.id))
ORDER BY k.text, k.id DESC
"""

_PARTS_ON_SQLITE = f"""
SELECT 1, '', k.kind, k.key FROM {PARTS} f CROSS JOIN {KEYS} k ON k.id = f.rowid
WHERE f.text MATCH %s AND f.rowid BETWEEN %s AND %s
AND NOT EXISTS ({_SAME_ROW} {_BETWEEN} AND (o.text >= %s AND o.text < %s
  OR o.id > k.id AND instr(o.text, %s) > 0))
ORDER BY f.rowid DESC
"""

_NEWEST = 500
"""How many of a kind at a location PostgreSQL reads before it asks the trigrams."""

_ONCE = f"""
NOT EXISTS ({_SAME_ROW} {{same}} AND (
  o.text >= %s AND o.text < %s OR o.id > k.id AND strpos(o.text, %s) > 0))
"""

# An index of trigrams gives all that has the part and in no order: what much has is found
# among the newest, and only what little has by the trigrams, those of its kind alone.
# The steps are apart because the planner cannot know how much that is.
_PARTS_ON_POSTGRESQL = f"""
SELECT 1, '', k.kind, k.key FROM (
  WITH newest AS MATERIALIZED (
    SELECT * FROM {KEYS} WHERE id BETWEEN {{first}} AND {{last}}
    ORDER BY id DESC LIMIT {_NEWEST}
  ), there AS MATERIALIZED (
    SELECT * FROM newest k WHERE strpos(k.text, %s) > 0 AND {_ONCE}
    ORDER BY k.id DESC LIMIT {{most}}
  ), parts AS MATERIALIZED (
    SELECT * FROM {KEYS} k WHERE k.kind = {{kind}} AND k.location_id = {{location}}
    AND k.text LIKE %s AND (SELECT count(*) FROM there) < {{most}}
  )
  SELECT id, kind, key FROM there WHERE (SELECT count(*) FROM there) = {{most}}
  UNION ALL SELECT id, kind, key FROM parts k
  WHERE k.id BETWEEN {{first}} AND {{last}} AND {_ONCE}
) AS k
ORDER BY k.id DESC
"""


def _beginnings(scope: Scope) -> Statement:
    """Return the statement of the numbers that begin so."""
    asked, after = scope.asked, scope.after
    if after is not None and after.is_part:
        return "", []
    behind = ""
    values: list[str | int] = [scope.kind.number, scope.location]
    values += [asked, asked + _LAST]
    if after is not None:
        behind = " AND k.text >= %s AND (k.text > %s OR k.key < %s)"
        values += [after.text, after.text, -after.older]
    sql = _BEGINNINGS.format(behind=behind, numbers=_NUMBERS[connection.vendor])
    return sql, [*values, asked, asked + _LAST]


def _same_row(kind: SearchKind) -> str:
    """Return what ``o.id`` of a number of the same row is, each key by itself."""
    slots = ", ".join(f"{_ROW} + {slot}" for slot in range(len(kind.columns)))
    return f"IN ({slots})"


def _parts(scope: Scope) -> Statement:
    """Return the statement of the rows that have it elsewhere."""
    kind, asked, after = scope.kind, scope.asked, scope.after
    first = kind.first(scope.location)
    last = first + ROWS * SLOTS - 1
    if after is not None and after.is_part:
        last = first - after.older * SLOTS - 1
    once = [asked, asked + _LAST, asked]
    if connection.vendor == "sqlite":
        return _PARTS_ON_SQLITE, [f'"{asked}"', first, last, *once]
    sql = _PARTS_ON_POSTGRESQL.format(
        first=first,
        last=last,
        kind=kind.number,
        location=scope.location,
        most=scope.most + 1,
        same=_same_row(kind),
    )
    return sql, [asked, *once, f"%{asked}%", *once]


def rows_numbered(name: str, text: str, *, begins: bool = False) -> QuerySet[SearchKey]:
    """Return the keys of the rows, anywhere, that have or begin with this number.

    Other separators count as the same: whoever asks compares once more.
    """
    asked = folded(text)
    exact = Q(text__gte=asked, text__lt=asked + _LAST) if begins else Q(text=asked)
    return _anywhere(name).filter(exact)


def keys_numbered(name: str, texts: Iterable[str]) -> set[int]:
    """Return the keys of the rows, anywhere, that have one of these numbers."""
    asked = sorted({key for text in texts for key in asked_keys(text)})
    found: set[int] = set()
    for some in _some_of(asked):
        rows = _anywhere(name).filter(text__in=some)
        found |= set(rows.values_list("key", flat=True))
    return found


def keys_with_part(
    name: str, texts: Iterable[str], *, most: int | None = None
) -> list[int]:
    """Return the keys of the rows, anywhere, that have one of these parts."""
    asked = sorted({folded(text) for text in texts})
    found = [
        key
        for some in _some_of([key for key in asked if len(key) >= LEAST_PART])
        for key in _with_part(SEARCH_KINDS[name], some, most)
    ]
    return found[:most]


def _anywhere(name: str) -> QuerySet[SearchKey]:
    places = Location.objects.order_by().values("pk")
    kind = SEARCH_KINDS[name].number
    return SearchKey.objects.filter(kind=kind, location__in=places).order_by()


def _some_of(asked: list[str]) -> Iterator[list[str]]:
    for first in range(0, len(asked), _AT_ONCE):
        yield asked[first : first + _AT_ONCE]


def _with_part(kind: SearchKind, asked: list[str], most: int | None) -> list[int]:
    if connection.vendor == "sqlite":
        rows = f"{PARTS} f CROSS JOIN {KEYS} k ON k.id = f.rowid WHERE f.text MATCH %s"
        parts = [" OR ".join(f'"{one}"' for one in asked)]
    else:
        either = " OR ".join(["k.text LIKE %s"] * len(asked))
        rows, parts = f"{KEYS} k WHERE ({either})", [f"%{one}%" for one in asked]
    limit = "" if most is None else f" LIMIT {most}"
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT k.key FROM {rows} AND k.kind = {kind.number}{limit}", parts
        )
        return [key for (key,) in cursor.fetchall()]
