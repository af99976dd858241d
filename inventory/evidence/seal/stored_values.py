"""What lies in a column, exactly: one short form for each stored value.

SQLite keeps what it is given, so a damaged cell may still be read as a date or a
number by a friendly parser. Here each cell must be written precisely as the site
writes it; anything else is reported as a value that cannot be read.
"""

import json
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime
from decimal import Decimal, InvalidOperation
from typing import Any
from uuid import UUID

from django.db import models

from inventory.rules.evidence.row_images import Scalar, scalar_of

Reader = Callable[[Any], Scalar]
ColumnReader = Callable[[Sequence[Any]], Sequence[Scalar]]
"""Reads the cells of one column of many rows."""

_EMPTY = type(None)
_SHORT = 40
_KEPT = 1000


# Made once: json.dumps with options makes an encoder at each call.
_as_written = json.JSONEncoder().encode
_in_order = json.JSONEncoder(
    sort_keys=True, ensure_ascii=False, separators=(",", ":")
).encode


def column_kind(column: "models.Field[Any, Any]") -> "models.Field[Any, Any]":
    """Return the field that says how the column is stored: a key's own target."""
    while column.is_relation:
        column = column.target_field  # type: ignore[attr-defined]
    return column


def full_json(value: object) -> str:
    """Return a JSON value as text, its keys sorted, however long."""
    return _in_order(value)


def server_column(column: "models.Field[Any, Any]") -> ColumnReader:
    """Return how the cells that PostgreSQL hands over become scalars, unshortened."""
    if isinstance(column_kind(column), models.JSONField):
        return _each(lambda raw: full_json(json.loads(raw)), frozenset({_EMPTY}))
    if isinstance(column_kind(column), models.BinaryField):
        return _each(lambda raw: bytes(raw).hex(), frozenset({_EMPTY}))
    return _each(_whole, frozenset({str, int, bool, _EMPTY}))


def _each(read: Reader, as_they_are: frozenset[type]) -> ColumnReader:
    """Return what reads each cell; cells of these types are their own scalars."""

    def read_all(cells: Sequence[Any]) -> Sequence[Scalar]:
        if as_they_are.issuperset(map(type, cells)):
            return cells
        return [None if cell is None else read(cell) for cell in cells]

    return read_all


def _whole(raw: object) -> Scalar:
    return raw if isinstance(raw, str) else scalar_of(raw)


def sqlite_column(column: "models.Field[Any, Any]") -> ColumnReader:
    """Return how cells of SQLite become scalars, unshortened and strictly read."""
    kind = column_kind(column)
    fitting = (one for family, one in _SQLITE.items() if isinstance(kind, family))
    reader = next(fitting, _text)
    if isinstance(kind, models.DecimalField):
        reader = _decimal(kind.decimal_places)

    def read(raw: object) -> Scalar:
        try:
            value = reader(raw)
        except (ValueError, TypeError, InvalidOperation, RecursionError):
            value = None
        return unreadable(raw) if value is None else value

    if reader is _truth:
        return _truths(_each(read, frozenset({_EMPTY})))
    own = {str} if reader is _text else {int} if reader is _number else set()
    is_often_the_same = reader in {_json, _day}
    return _each(
        _remembering(read) if is_often_the_same else read, frozenset({_EMPTY, *own})
    )


def _truths(read_all: ColumnReader) -> ColumnReader:
    """Return what reads whole numbers that are all 0 or 1 at once."""

    def truths(cells: Sequence[Any]) -> Sequence[Scalar]:
        if set(map(type, cells)) == {int} and {0, 1}.issuperset(cells):
            return list(map(bool, cells))
        return read_all(cells)

    return truths


def _remembering(read: Reader) -> Reader:
    """Return the same for texts, of which many are short and the same."""
    found: dict[str, Scalar] = {}

    def remembered(raw: object) -> Scalar:
        if type(raw) is not str or len(raw) > _SHORT:
            return read(raw)
        value = found.get(raw)
        if value is None:
            value = read(raw)
            if len(found) < _KEPT:
                found[raw] = value
        return value

    return remembered


def unreadable(raw: object) -> Scalar:
    """Return what stands for a cell that the site never wrote so."""
    return {"unreadable": ascii(raw)[:80]}


def _text(raw: object) -> Scalar:
    return raw if isinstance(raw, str) else None


def _number(raw: object) -> Scalar:
    return raw if type(raw) is int else None


def _bytes(raw: object) -> Scalar:
    return raw.hex() if isinstance(raw, bytes) else None


def _truth(raw: object) -> Scalar:
    return bool(raw) if type(raw) is int and raw in {0, 1} else None


def _moment(raw: object) -> Scalar:
    text = str(raw)
    found = datetime.fromisoformat(text)
    if str(found) != raw:
        return None
    if found.tzinfo is not None:
        return found.replace(tzinfo=UTC).isoformat()
    return f"{text[:10]}T{text[11:]}+00:00"


def _day(raw: object) -> Scalar:
    found = date.fromisoformat(str(raw)).isoformat()
    return found if found == raw else None


def _uuid(raw: object) -> Scalar:
    found = UUID(hex=str(raw))
    return str(found) if found.hex == raw else None


def _json(raw: object) -> Scalar:
    value = json.loads(str(raw))
    return full_json(value) if _as_written(value) == raw else None


def _decimal(places: int) -> Reader:
    def read(raw: object) -> Scalar:
        found = Decimal(str(raw)).quantize(Decimal(1).scaleb(-places))
        is_number = type(raw) in {int, float}
        return str(found) if is_number and float(found) == raw else None

    return read


_SQLITE: dict[type["models.Field[Any, Any]"], Reader] = {
    models.BooleanField: _truth,
    models.IntegerField: _number,
    models.DateTimeField: _moment,
    models.DateField: _day,
    models.UUIDField: _uuid,
    models.JSONField: _json,
    models.BinaryField: _bytes,
}
"""In this order: a moment is a day to Django, so moments come first."""
