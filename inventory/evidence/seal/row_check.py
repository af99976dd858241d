"""Every row compared with its last event's image."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.db import models

from inventory.evidence.seal.image_index import ImageIndex, packed
from inventory.evidence.seal.snapshots import Snapshot
from inventory.models.sealed import is_hidden, sealed_fields
from inventory.rules.evidence.row_images import (
    LONGEST,
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
    columns = sealed_fields(model)
    names = [column.attname for column in columns]
    in_order = sorted(range(len(names)), key=names.__getitem__)
    names = [names[at] for at in in_order]
    hidden = [is_hidden(columns[at]) for at in in_order]
    for key, *values in snapshot.rows(model, [model._meta.pk, *columns]):
        last = index.take(noun, str(key))
        counted.rows += 1
        if last is None and has_old_rows:
            counted.old += 1
        elif last is None:
            yield f"{noun} {_name(key)} is known to no event."
        elif last.data == _DELETED:
            yield f"{noun} {_name(key)} exists, but event {last.event} deleted it."
        else:
            found = {
                name: value
                if type(value) is not str or (len(value) <= LONGEST and not hide)
                else hash_alone(value)
                for name, hide, value in zip(
                    names, hidden, map(values.__getitem__, in_order), strict=True
                )
            }
            if packed(found) == last.data:
                continue
            differs = difference(last.image or {}, found)
            if differs:
                yield f"{noun} {_name(key)}: {differs} by event {last.event}."
    for left, event in index.left_over(noun):
        yield f"{noun} {left}, written by event {event}, is gone."


def _name(key: Scalar) -> str:
    return key.get("unreadable", "") if isinstance(key, dict) else str(key)
