"""Freezing a tree of dataclasses as canonical JSON, and reading it back strictly.

Supports text, whole numbers, true and false, None, days, literals, tuples and frozen
dataclasses: what a document's content is made of. Nothing is guessed on the way
back: an extra or missing key, or a value of another kind, is refused.
"""

import dataclasses
import json
import types
import typing
from datetime import date
from typing import Any, TypeVar

from inventory.rules.core.pictures import PdfPage, Picture

T = TypeVar("T")


class FrozenError(ValueError):
    """Content cannot be frozen or read back; the message is one line."""


def to_json(content: object) -> str:
    """Return canonical JSON: keys sorted, no spaces, non-ASCII letters unescaped.

    Raise FrozenError for a picture with an absolute path and for a lone surrogate,
    which UTF-8 cannot hold.
    """
    text = json.dumps(
        _plain(content), sort_keys=True, ensure_ascii=False, separators=(",", ":")
    )
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        raise FrozenError("The text holds half a character.") from None
    return text


def from_json(kind: type[T], text: str) -> T:
    """Return the ``kind`` that ``to_json`` wrote; raise FrozenError otherwise."""
    try:
        data = json.loads(text)
    except (ValueError, RecursionError):
        raise FrozenError("This is not JSON.") from None
    return typing.cast("T", _thaw(kind, data, kind.__name__))


def _plain(value: object) -> object:
    if isinstance(value, Picture | PdfPage) and value.path.startswith("/"):
        raise FrozenError(f"The picture's path is absolute: {value.path}")
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        names = (each.name for each in dataclasses.fields(value))
        return {name: _plain(getattr(value, name)) for name in names}
    if isinstance(value, tuple):
        return [_plain(each) for each in value]
    if value is None or isinstance(value, str | int):
        return value
    if type(value) is date:
        return value.isoformat()
    raise FrozenError(f"A {type(value).__name__} cannot be frozen.")


def _thaw(kind: Any, data: object, where: str) -> object:  # noqa: ANN401 - any hint
    origin = typing.get_origin(kind)
    if dataclasses.is_dataclass(kind):
        return _thaw_fields(kind, data, where)
    if origin is tuple:
        if not isinstance(data, list):
            raise FrozenError(f"{where} is not a list.")
        inner = typing.get_args(kind)[0]
        return tuple(_thaw(inner, each, where) for each in data)
    if origin is types.UnionType:
        return _thaw_optional(kind, data, where)
    return _plain_value(kind, data, where)


def _thaw_fields(kind: Any, data: object, where: str) -> object:  # noqa: ANN401
    hints = typing.get_type_hints(kind)
    if not isinstance(data, dict) or data.keys() != hints.keys():
        raise FrozenError(f"{where} does not have the expected keys.")
    return kind(**{name: _thaw(hint, data[name], name) for name, hint in hints.items()})


def _thaw_optional(kind: Any, data: object, where: str) -> object:  # noqa: ANN401
    if data is None:
        return None
    (inner,) = (each for each in typing.get_args(kind) if each is not types.NoneType)
    return _thaw(inner, data, where)


def _plain_value(kind: Any, data: object, where: str) -> object:  # noqa: ANN401
    if kind is date:
        return _day(data, where)
    if typing.get_origin(kind) is typing.Literal:
        fits = data in typing.get_args(kind)
    else:
        fits = type(data) is kind
    if not fits:
        raise FrozenError(f"{where} has the wrong type.")
    return data


def _day(data: object, where: str) -> date:
    try:
        return date.fromisoformat(data if isinstance(data, str) else "")
    except ValueError:
        raise FrozenError(f"{where} is no day.") from None
