"""Copying the rows of a house into another database, and comparing each.

A table is copied in the order of its keys, each batch one transaction that also marks
how far it came. Afterwards both databases are read to their ends: the number of rows
and the sum of their hashes must be the same.
"""

import hashlib
import json
from collections.abc import Callable, Iterable, Iterator
from typing import Any

from django.apps import apps
from django.db import DatabaseError, connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import JSONField, Model, QuerySet

from inventory.derived import derived_tables
from inventory.evidence.seal.stored_values import column_kind, full_json
from inventory.move_marks import mark, marks, unmark

SOURCE, TARGET = "default", "moved"
"""The names of the two connections."""

BATCH = 2000
_TELL_EVERY = 100_000
_DONE = "done"

Told = Callable[[str], None]


class HouseMoveError(Exception):
    """The house was not moved; the message says why, and what to do."""


def all_models() -> Iterator[type[Model]]:
    """Yield the model of every table that Django knows."""
    for model in apps.get_models(include_auto_created=True):
        if not model._meta.proxy and model._meta.managed:
            yield model


def copied_models() -> Iterator[type[Model]]:
    """Yield every model whose rows are copied: what is derived is computed there."""
    computed = {one.table for one in derived_tables(connections[SOURCE].vendor)}
    for model in all_models():
        if model._meta.db_table not in computed:
            yield model


def copy_all(models: Iterable[type[Model]], told: Told) -> int:
    """Copy what is missing there; return how many rows there are, each compared.

    Raise HouseMoveError.
    """
    total = 0
    for model in models:
        count = _copy_and_compare(model)
        if total // _TELL_EVERY < (total + count) // _TELL_EVERY:
            told(f"{total + count} rows ...")
        total += count
    return total


def _copy_and_compare(model: type[Model]) -> int:
    _copy(model)
    here = _sum_of(model, SOURCE)
    if here == _sum_of(model, TARGET):
        return here[0]
    _clear(model)  # it was written to between two runs: what came first is not so now
    _copy(model)
    if here == _sum_of(model, TARGET):
        return here[0]
    raise HouseMoveError(
        f"{model._meta.db_table} did not arrive as it was sent. The move is not "
        "finished. Run verify here, and begin anew with an empty database."
    )


def _copy(model: type[Model]) -> None:
    """Copy the rows behind the last one that is there, some a transaction."""
    table, target = model._meta.db_table, connections[TARGET]
    reached = marks(target).get(table, "")
    last = json.loads(reached) if reached not in {"", _DONE} else None
    is_done = reached == _DONE
    while not is_done and (batch := _next_rows(model, last)):
        last, is_done = str(batch[-1][0]), len(batch) < BATCH
        try:
            with transaction.atomic(using=TARGET):
                _insert(model, batch)
                mark(target, table, _DONE if is_done else json.dumps(last))
        except DatabaseError as error:
            raise HouseMoveError(
                f"A row of {table} between {batch[0][0]} and {last} cannot be kept "
                f"there: {str(error).strip()} The move is not finished."
            ) from error


def _clear(model: type[Model]) -> None:
    table, target = model._meta.db_table, connections[TARGET]
    with transaction.atomic(using=TARGET):
        execute(target, f'DELETE FROM "{table}"')  # noqa: S608
        unmark(target, table)


def _columns(model: type[Model]) -> list[Any]:
    """Return the model's columns, the key first."""
    key = model._meta.pk
    return [key, *(one for one in model._meta.concrete_fields if one is not key)]


def _rows(model: type[Model], using: str) -> "QuerySet[Any, Any]":
    names = [column.attname for column in _columns(model)]
    return QuerySet(model, using=using).order_by().values_list(*names)


def _next_rows(model: type[Model], last: str | None) -> list[tuple[Any, ...]]:
    rows = _rows(model, SOURCE).order_by("pk")
    return list((rows if last is None else rows.filter(pk__gt=last))[:BATCH])


def _insert(model: type[Model], batch: list[tuple[Any, ...]]) -> None:
    columns, target = _columns(model), connections[TARGET]
    names = ", ".join(f'"{column.column}"' for column in columns)
    places = ", ".join(["%s"] * len(columns))
    values = [
        [
            column.get_db_prep_save(value, connection=target)
            for column, value in zip(columns, row, strict=True)
        ]
        for row in batch
    ]
    with target.cursor() as cursor:
        cursor.executemany(
            f'INSERT INTO "{model._meta.db_table}" ({names}) VALUES ({places})',  # noqa: S608
            values,
        )


def _sum_of(model: type[Model], using: str) -> tuple[int, int]:
    """Return the number of rows, and the sum of their hashes: the order is left out."""
    kinds = [
        full_json if isinstance(column_kind(one), JSONField) else _plain
        for one in _columns(model)
    ]
    count = total = 0
    with transaction.atomic(using=using):
        for row in _rows(model, using).iterator(BATCH):
            said = repr([read(cell) for read, cell in zip(kinds, row, strict=True)])
            digest = hashlib.sha256(said.encode("utf-8", "surrogateescape")).digest()
            count, total = count + 1, total + int.from_bytes(digest)
    return count, total


def _plain(value: object) -> object:
    return bytes(value) if isinstance(value, memoryview) else value


def execute(connection: BaseDatabaseWrapper, sql: str, *words: str | int) -> None:
    """Run one statement."""
    with connection.cursor() as cursor:
        cursor.execute(sql, words or None)
