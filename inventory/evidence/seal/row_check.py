"""Every row compared with its last event's image."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.db import models

from inventory.evidence.seal.image_index import ImageIndex, LastImage, packed
from inventory.evidence.seal.snapshots import Snapshot
from inventory.models.sealed import is_hidden, sealed_fields
from inventory.rules.evidence.row_images import (
    LONGEST,
    Image,
    Scalar,
    difference,
    hash_alone,
)

_DELETED = packed(None)


@dataclass
class Counted:
    """How many rows were compared, and how many are from before images."""

    rows: int = 0
    old: int = 0


def row_faults(
    snapshot: Snapshot,
    model: type[models.Model],
    index: ImageIndex,
    counted: Counted,
    *,
    has_old_rows: bool,
) -> Iterator[str]:
    """Yield a sentence for each row of one table that is not as its event left it.

    ``has_old_rows``: rows that no image is known of are from before images and only
    counted. Otherwise no event knows them, and that is a fault.
    """
    noun = str(model._meta.model_name)
    columns = sorted(sealed_fields(model), key=lambda column: column.attname)
    names = [column.attname for column in columns]
    hidden = [is_hidden(column) for column in columns]
    for keys, *cells in snapshot.batches(model, [model._meta.pk, *columns]):
        shortened = [
            _shortened(some, is_hidden=hide)
            for hide, some in zip(hidden, cells, strict=True)
        ]
        every = zip(*shortened, strict=True)
        lasts = index.take(noun, list(map(str, keys)))
        counted.rows += len(lasts)
        for key, last, values in zip(keys, lasts, every, strict=True):
            if last is None and has_old_rows:
                counted.old += 1
                continue
            found = dict(zip(names, values, strict=True))
            if last is None or packed(found) != last.data:
                differs = _differs(last, found)
                if differs:
                    yield f"{noun} {_name(key)}{differs}."
    for left, event in index.left_over(noun):
        yield f"{noun} {left}, written by event {event}, is gone."


def _differs(last: LastImage | None, found: Image) -> str:
    """Return how a row differs from its last image, as the rest of a sentence."""
    if last is None:
        return " is known to no event"
    if last.data == _DELETED:
        return f" exists, but event {last.event} deleted it"
    differs = difference(last.image or {}, found)
    return f": {differs} by event {last.event}" if differs else ""


def _shortened(cells: Sequence[Scalar], *, is_hidden: bool) -> Sequence[Scalar]:
    """Return a column's texts as an image holds them: the long and the hidden by hash."""
    if not is_hidden and not any(
        type(one) is str and len(one) > LONGEST for one in cells
    ):
        return cells
    return [
        hash_alone(one)
        if type(one) is str and (is_hidden or len(one) > LONGEST)
        else one
        for one in cells
    ]


def _name(key: Scalar) -> str:
    name = key.get("unreadable", "") if isinstance(key, dict) else str(key)
    return name.encode("utf-8", "backslashreplace").decode()
