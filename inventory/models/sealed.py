"""Rows whose every write is recorded in the chain.

A sealed row that is written in a transaction is noted; the event recorded there
holds its image afterwards. The note belongs to the transaction itself, so that what
is rolled back, to a savepoint too, is forgotten with it.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any, TypeVar

from django.db import DEFAULT_DB_ALIAS, connections, models, router, transaction

from inventory.models.keys import with_keys
from inventory.rules.evidence.row_images import (
    Image,
    Scalar,
    hash_alone,
    json_scalar,
    scalar_of,
    veil,
)

Row = TypeVar("Row", bound=models.Model)
Rows = dict[type[models.Model], dict[object, models.Model | None]]
"""Rows by their table and key."""


@dataclass(eq=False)
class Written:
    """One write of one row, waiting for its event."""

    model: type[models.Model]
    key: object

    def __call__(self) -> None:
        """Do nothing at commit: only the place in the transaction's list counts."""


@dataclass(eq=False)
class _Sealing:
    """The writes that an event of this transaction has covered."""

    told: set[int] = field(default_factory=set)

    def __call__(self) -> None:
        """Do nothing at commit."""


def note_written(
    model: type[models.Model], keys: Iterable[object], *, using: str | None = None
) -> None:
    """Note that these rows were written in the transaction that stands open."""
    using = using or DEFAULT_DB_ALIAS
    if not connections[using].in_atomic_block:
        return
    for key in keys:
        transaction.on_commit(Written(model, key), using=using)


def take_written(*, using: str | None = None) -> list[Written]:
    """Return the writes that no event covers yet; the caller's event covers them."""
    using = using or DEFAULT_DB_ALIAS
    waiting = [entry[1] for entry in connections[using].run_on_commit]
    told = set().union(*(one.told for one in waiting if isinstance(one, _Sealing)))
    found = [one for one in waiting if isinstance(one, Written) and id(one) not in told]
    if found:
        sealing = _Sealing({id(one) for one in found})
        transaction.on_commit(sealing, using=using)
    return found


class SealedQuerySet(models.QuerySet[Row]):
    """Note what is written for many rows at once."""

    def update(self, **changes: Any) -> int:  # noqa: ANN401 - Django's own signature
        """Note each row that the change reaches, then write."""
        if connections[self.db].in_atomic_block:
            keys = list(self.order_by().values_list("pk", flat=True))
            note_written(self.model, keys, using=self.db)
        return super().update(**with_keys(self.model, changes))

    def bulk_create(self, objs: Iterable[Row], *args: Any, **options: Any) -> list[Row]:  # noqa: ANN401
        """Write the rows, then note them by the keys they were given."""
        made = super().bulk_create(objs, *args, **options)
        note_written(self.model, [row.pk for row in made], using=self.db)
        return made

    def delete(self) -> tuple[int, dict[str, int]]:
        """Note each row that goes, then delete."""
        keys = list(self.order_by().values_list("pk", flat=True))
        note_written(self.model, keys, using=self.db)
        return super().delete()


class Sealed(models.Model):
    """A row of the trade: the chain holds an image of it after every act.

    ``UNSEALED`` names columns that no image holds, ``HIDDEN`` those of secrets, which
    an image holds by their SHA-256 alone and no window shows. ``VEILED`` rows have an
    image under one hash, because their events go out to others.
    """

    UNSEALED: tuple[str, ...] = ()
    HIDDEN: tuple[str, ...] = ()
    VEILED = False

    objects = SealedQuerySet.as_manager()

    class Meta:
        abstract = True

    def save_base(self, *args: Any, **options: Any) -> None:  # noqa: ANN401
        """Write the row, then note it."""
        super().save_base(*args, **options)
        using = options.get("using") or router.db_for_write(type(self), instance=self)
        note_written(type(self), [self.pk], using=using)

    def delete(self, *args: Any, **options: Any) -> tuple[int, dict[str, int]]:  # noqa: ANN401
        """Note the row, then delete it."""
        note_written(type(self), [self.pk], using=self._state.db)
        return super().delete(*args, **options)


def sealed_fields(model: type[models.Model]) -> "list[models.Field[Any, Any]]":
    """Return the columns that an image holds: all but the key and the unsealed."""
    unsealed = getattr(model, "UNSEALED", ())
    return [
        column
        for column in model._meta.concrete_fields
        if not column.primary_key and column.name not in unsealed
    ]


def is_hidden(column: "models.Field[Any, Any]") -> bool:
    """Return whether an image holds this column by its hash alone."""
    return column.name in getattr(column.model, "HIDDEN", ())


def image_of(row: models.Model) -> Image:
    """Return the image of a row as it was read from the database."""
    image: dict[str, Scalar] = {}
    for column in sealed_fields(type(row)):
        value = getattr(row, column.attname)
        if is_hidden(column):
            image[column.attname] = hash_alone(value)
            continue
        is_json = isinstance(column, models.JSONField) and value is not None
        image[column.attname] = json_scalar(value) if is_json else scalar_of(value)
    return veil(image, image) if getattr(row, "VEILED", False) else image


def rows_after(written: Iterable[Written]) -> Rows:
    """Return each written row as it is now, None where it is gone.

    Reads each table once.
    """
    keys: dict[type[models.Model], set[object]] = {}
    for one in written:
        keys.setdefault(one.model, set()).add(one.key)
    found: Rows = {}
    for model, wanted in keys.items():
        everything = model._base_manager  # noqa: SLF001 - what is withheld is sealed too
        rows = {row.pk: row for row in everything.filter(pk__in=wanted)}
        found[model] = {key: rows.get(key) for key in wanted}
    return found


def images_of(rows: Rows) -> list[list[object]]:
    """Return ``[noun, key, image]`` for each row; one that is gone has no image."""
    found: list[list[object]] = [
        [str(model._meta.model_name), str(key), image_of(row) if row else None]
        for model, by_key in rows.items()
        for key, row in by_key.items()
    ]
    return sorted(found, key=lambda one: (str(one[0]), str(one[1])))
