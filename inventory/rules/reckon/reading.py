"""Reading one strict JSON object: every key known, every value of its kind.

Numbers are read as decimals, never as binary fractions. What cannot be read
is refused with one line that names the key.
"""

import datetime as dt
import json
import re
from collections.abc import Callable, Iterable, Sequence
from decimal import Decimal
from typing import Any, TypeVar, cast

T = TypeVar("T")
Choice = TypeVar("Choice", bound=str)

FIRST_YEAR = 1900
LAST_YEAR = 2200

_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_NUMBER = re.compile(r"-?[0-9]{1,24}(\.[0-9]{1,24})?([eE][+-]?[0-9]{1,2})?")
_LARGEST_EXPONENT = 15
_SMALLEST_EXPONENT = -15
_LONGEST_TEXT = 2000


class ReckonError(ValueError):
    """The question cannot be answered; the message is one line."""


def named(key: str) -> str:
    """Return ``key`` quoted on one line, shortened, for a message."""
    shown = key if len(key) <= 60 else key[:57] + "..."
    return json.dumps(shown)


def parse_decimal(text: str, where: str = "the number") -> Decimal:
    """Return the decimal written in ``text`` (JSON's own grammar for numbers).

    Raise ReckonError for anything else, for more than 24 digits on a side and
    for a size beyond 10 to the 15th.
    """
    if not _NUMBER.fullmatch(text):
        raise ReckonError(f"{where} is not a plain decimal number.")
    value = Decimal(text)
    exponent = value.adjusted()
    if value and not _SMALLEST_EXPONENT <= exponent <= _LARGEST_EXPONENT:
        raise ReckonError(f"{where} is too large or too small to be real.")
    return value


def parse_date(text: str, where: str = "the date") -> dt.date:
    """Return the day written as YYYY-MM-DD, from 1900 to 2200."""
    if not _DATE.fullmatch(text):
        raise ReckonError(f"{where} is not a date written YYYY-MM-DD.")
    try:
        day = dt.date.fromisoformat(text)
    except ValueError:
        raise ReckonError(f"{where} is not a day of the calendar.") from None
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise ReckonError(f"{where} is not between {FIRST_YEAR} and {LAST_YEAR}.")
    return day


def parse_object(text: str) -> dict[str, Any]:
    """Return the one JSON object in ``text``; numbers as int or Decimal.

    Raise ReckonError for anything that is not one JSON object, for a repeated key,
    and for NaN or Infinity.
    """
    try:
        found = json.loads(
            text.removeprefix("\ufeff"),
            parse_float=lambda number: parse_decimal(number, f"The number {number!r}"),
            parse_int=lambda number: parse_decimal(number, f"The number {number!r}"),
            parse_constant=_refuse_constant,
            object_pairs_hook=_object_without_repeats,
        )
    except json.JSONDecodeError as error:
        raise ReckonError(
            f"This is not JSON: {error.msg} at line {error.lineno}, "
            f"column {error.colno}."
        ) from None
    except RecursionError:
        raise ReckonError("This is not readable JSON: nested too deeply.") from None
    if not isinstance(found, dict):
        raise ReckonError("Give one JSON object, in braces.")
    return found


def _refuse_constant(name: str) -> None:
    raise ReckonError(f"{name} is not a number.")


def _object_without_repeats(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise ReckonError(f"The key {named(key)} is given twice.")
        found[key] = value
    return found


class Reader:
    """Reads values of a stated kind from one JSON object.

    A key left out, or given as null, reads as None; ``need`` requires it. The
    object may hold only the ``keys`` named; others are refused by name.
    """

    def __init__(
        self,
        data: object,
        *,
        keys: Iterable[str],
        required: Iterable[str] = (),
        where: str = "",
    ) -> None:
        """Check the shape of ``data``; ``where`` is its path, for messages."""
        if not isinstance(data, dict):
            raise ReckonError(f"{named(where) if where else 'This'} is not an object.")
        self._data = cast("dict[str, Any]", data)
        self._where = where
        allowed = tuple(keys)
        for key in self._data:
            if key not in allowed:
                raise ReckonError(f"The key {self._named(key)} is not known.")
        for key in required:
            if self._data.get(key) is None:
                raise ReckonError(f"The key {self._named(key)} is missing.")

    def _path(self, key: str) -> str:
        return f"{self._where}.{key}" if self._where else key

    def _named(self, key: str) -> str:
        return named(self._path(key))

    def has(self, key: str) -> bool:
        """Return whether ``key`` was given and is not null."""
        return self._data.get(key) is not None

    def need(self, getter: Callable[[str], T | None], key: str) -> T:
        """Return ``getter(key)``; raise ReckonError where the key is missing."""
        value = getter(key)
        if value is None:
            raise ReckonError(f"The key {self._named(key)} is missing.")
        return value

    def text(self, key: str) -> str | None:
        """Return a text of at most 2,000 characters."""
        value = self._data.get(key)
        if value is None:
            return None
        if not isinstance(value, str):
            raise ReckonError(f"{self._named(key)} is not a text.")
        if len(value) > _LONGEST_TEXT:
            raise ReckonError(f"{self._named(key)} is longer than 2,000 characters.")
        return value

    def choice(self, key: str, choices: Sequence[str]) -> str | None:
        """Return one of ``choices``."""
        value = self.text(key)
        if value is not None and value not in choices:
            raise ReckonError(
                f"{self._named(key)} is {named(value)}; use one of {', '.join(choices)}."
            )
        return value

    def one_of(self, choices: Sequence[Choice]) -> Callable[[str], Choice | None]:
        """Return a getter that takes one of ``choices``, typed as they are."""

        def get(key: str) -> Choice | None:
            value = self.choice(key, choices)
            return next((each for each in choices if each == value), None)

        return get

    def flag(self, key: str) -> bool | None:
        """Return true or false."""
        value = self._data.get(key)
        if value is not None and not isinstance(value, bool):
            raise ReckonError(f"{self._named(key)} is not true or false.")
        return value

    def day(self, key: str) -> dt.date | None:
        """Return a day written YYYY-MM-DD, from 1900 to 2200."""
        value = self._data.get(key)
        if value is None:
            return None
        if not isinstance(value, str):
            raise ReckonError(f"{self._named(key)} is not a date written YYYY-MM-DD.")
        return parse_date(value, self._named(key))

    def decimal(self, key: str) -> Decimal | None:
        """Return a number given as a JSON number or as a decimal text."""
        value = self._data.get(key)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, str | int | Decimal):
            raise ReckonError(f"{self._named(key)} is not a number.")
        return parse_decimal(str(value), self._named(key))

    def whole(self, key: str, least: int = 0, most: int = 10**9) -> int | None:
        """Return a whole number from ``least`` to ``most``."""
        value = self.decimal(key)
        if value is None:
            return None
        if value != value.to_integral_value() or not least <= value <= most:
            raise ReckonError(
                f"{self._named(key)} is not a whole number from {least} to {most}."
            )
        return int(value)

    def items(self, key: str) -> list[Any] | None:
        """Return a list, its items unread."""
        value = self._data.get(key)
        if value is not None and not isinstance(value, list):
            raise ReckonError(f"{self._named(key)} is not a list.")
        return value

    def days(self, key: str) -> tuple[dt.date, ...]:
        """Return a list of days; an absent key is an empty one."""
        found = []
        for number, value in enumerate(self.items(key) or [], start=1):
            where = f"{self._named(key)} item {number}"
            if not isinstance(value, str):
                raise ReckonError(f"{where} is not a date written YYYY-MM-DD.")
            found.append(parse_date(value, where))
        return tuple(found)

    def decimals(self, key: str) -> list[Decimal]:
        """Return a list of numbers, read like one; an absent key is an empty one."""
        found = []
        for place, value in enumerate(self.items(key) or [], start=1):
            where = f"{self._named(key)} item {place}"
            if isinstance(value, bool) or not isinstance(value, str | int | Decimal):
                raise ReckonError(f"{where} is not a number.")
            found.append(parse_decimal(str(value), where))
        return found

    def raw(self, key: str) -> object:
        """Return the value as it was parsed, to be read by another reader."""
        return self._data.get(key)

    def inner(
        self, key: str, *, keys: Iterable[str], required: Iterable[str] = ()
    ) -> "Reader | None":
        """Return a reader of the object under ``key``, or None when absent."""
        if not self.has(key):
            return None
        return Reader(
            self._data[key], keys=keys, required=required, where=self._path(key)
        )

    def inner_list(
        self, key: str, *, keys: Iterable[str], required: Iterable[str] = ()
    ) -> "list[Reader]":
        """Return one reader per object of the list under ``key``."""
        allowed, needed = tuple(keys), tuple(required)
        return [
            Reader(item, keys=allowed, required=needed, where=f"{self._path(key)}[{n}]")
            for n, item in enumerate(self.items(key) or [], start=1)
        ]
