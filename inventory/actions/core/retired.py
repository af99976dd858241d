"""Refusing an act whose form named a row that was retired since it was checked.

An import that is undone retires rows that nothing names yet. Whoever chose one of
them a moment before is told, instead of naming it for good. Both sides ask while
they hold the chain, so one of them always sees what the other did.
"""

from collections.abc import Iterator
from functools import cache
from typing import Any

from django.db.models import ForeignKey, Model

from inventory.actions.core.versions import RefusedError
from inventory.models import (
    Carrier,
    CrateTerms,
    CrateType,
    RetiredTerms,
    Supplier,
    User,
)
from inventory.models.sealed import Rows

RETIRED_UNUSED = (Carrier, CrateTerms, CrateType, Supplier, User)
"""The tables whose rows are retired only while no row names them."""


def refuse_retired(written: Rows, actor: User | None) -> None:
    """Raise RefusedError where one of the written rows names a retired one.

    Asks nothing about ``actor``, who signed in: such a person is never retired.
    """
    named: dict[type[Model], set[object]] = {}
    for model, by_key in written.items():
        for name, table in _namers_in(model):
            keys = {getattr(row, name) for row in by_key.values() if row}
            named.setdefault(table, set()).update(keys)
    if actor is not None:
        named.get(User, set()).discard(actor.pk)
    for table, keys in named.items():
        if gone := _retired(table, keys - {None}):
            raise RefusedError(retired_words(gone))


def retired_words(name: str = "What you chose") -> str:
    """Return the sentence for whoever chose a row that was retired meanwhile."""
    return (
        f"{name} was retired after you opened this page, because the list it came from "
        "was undone. Nothing was saved. Open the page again and choose another."
    )


def _retired(table: type[Model], keys: set[object]) -> str:
    """Return the name of one of these rows that is retired, or ""."""
    if not keys:
        return ""
    rows: Any = table
    standing = set(rows.objects.filter(pk__in=keys).values_list("pk", flat=True))
    gone = rows.everything.filter(pk__in=keys - standing) if keys - standing else []
    return next((str(row) for row in gone), "")


@cache
def _namers_in(model: type[Model]) -> tuple[tuple[str, type[Model]], ...]:
    """Return the columns of a table that name such a row, and whose row it is."""
    return tuple(_columns(model))


def _columns(model: type[Model]) -> Iterator[tuple[str, type[Model]]]:
    if model is RetiredTerms:
        return  # it is what retires them
    for column in model._meta.concrete_fields:
        table = column.related_model
        if isinstance(column, ForeignKey) and table in RETIRED_UNUSED:
            yield column.attname, table
