"""What lies in a column, exactly: one short form for each stored value.

SQLite keeps what it is given, so a damaged cell may still be read as a date or a
number by a friendly parser. Here each cell must be written precisely as the site
writes it; anything else is reported as a value that cannot be read.
"""

import json
from collections.abc import Callable
from datetime import UTC, date, datetime
from decimal import Decimal, InvalidOperation
from typing import Any
from uuid import UUID

from django.db import models

from inventory.rules.evidence.row_images import Scalar, scalar_of

Reader = Callable[[Any], Scalar]


def column_kind(column: "models.Field[Any, Any]") -> "models.Field[Any, Any]":
    """Return the field that says how the column is stored: a key's own target."""
    while column.is_relation:
        column = column.target_field  # type: ignore[attr-defined]
    return column


def full_json(value: object) -> str:
    """Return a JSON value as text, its keys sorted, however long."""
    return json.dumps(value, sort_keys=True, ensure_ascii=False, separators=(",", ":"))


def server_reader(column: "models.Field[Any, Any]") -> Reader:
    """Return how a value that PostgreSQL hands over becomes a scalar, unshortened."""
    if isinstance(column_kind(column), models.JSONField):
        return lambda raw: None if raw is None else full_json(json.loads(raw))
    if isinstance(column_kind(column), models.BinaryField):
        return lambda raw: None if raw is None else bytes(raw).hex()
    return _whole


def _whole(raw: object) -> Scalar:
    return raw if isinstance(raw, str) else scalar_of(raw)


def sqlite_reader(column: "models.Field[Any, Any]") -> Reader:
    """Return how a cell of SQLite becomes a scalar, unshortened and strictly read."""
    kind = column_kind(column)
    fitting = (one for family, one in _SQLITE.items() if isinstance(kind, family))
    reader = next(fitting, _text)
    if isinstance(kind, models.DecimalField):
        reader = _decimal(kind.decimal_places)

    def read(raw: object) -> Scalar:
        if raw is None:
            return None
        try:
            value = reader(raw)
        except (ValueError, TypeError, InvalidOperation, RecursionError):
            value = None
        return unreadable(raw) if value is None else value

    return read


def plain_type(column: "models.Field[Any, Any]") -> type | None:
    """Return the type of a cell of SQLite that is its own scalar, if there is one."""
    kind = column_kind(column)
    if isinstance(kind, models.DecimalField):
        return None
    fitting = (one for family, one in _SQLITE.items() if isinstance(kind, family))
    reader = next(fitting, _text)
    if reader is _text:
        return str
    return int if reader is _number else None


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
    found = datetime.fromisoformat(str(raw))
    return found.replace(tzinfo=UTC).isoformat() if str(found) == raw else None


def _day(raw: object) -> Scalar:
    found = date.fromisoformat(str(raw)).isoformat()
    return found if found == raw else None


def _uuid(raw: object) -> Scalar:
    found = UUID(hex=str(raw))
    return str(found) if found.hex == raw else None


def _json(raw: object) -> Scalar:
    value = json.loads(str(raw))
    return full_json(value) if json.dumps(value) == raw else None


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
