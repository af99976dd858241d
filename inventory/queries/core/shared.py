"""Parents that many rows have in common, read once each and given to their rows.

A join repeats every column of a bill, a carrier and a location in each of the bill's
rows. Django's own way to read them apart names all keys in one expression, of which
SQLite takes no more than a thousand.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import TypeVar

from django.db.models import ForeignKey, Model

Row = TypeVar("Row", bound=Model)


def share(rows: Iterable[Row], *paths: str) -> list[Row]:
    """Return the rows with these parents joined, as ``select_related`` would.

    A path goes from one key to the next: ``share(crates, "shipment__carrier")``. Each step
    is one query, or none where no row has that parent.
    """
    found = list(rows)
    _share(found, paths)
    return found


def _share(rows: Sequence[Model], paths: Iterable[str]) -> None:
    if not rows:
        return
    beyond: dict[str, list[str]] = defaultdict(list)
    for path in paths:
        name, _, rest = path.partition("__")
        beyond[name] += [rest] if rest else []
    for name, more in beyond.items():
        field = rows[0]._meta.get_field(name)
        if not isinstance(field, ForeignKey):
            raise TypeError(f"{name} of {type(rows[0]).__name__} is no parent.")
        keys = {getattr(row, field.attname) for row in rows} - {None}
        # As a join does: whatever stands there, taken back or retired too.
        every = field.related_model._base_manager  # noqa: SLF001 - Django names it so
        parents = every.in_bulk(list(keys))
        for row in rows:
            key = getattr(row, field.attname)
            field.set_cached_value(row, None if key is None else parents[key])
        _share(list(parents.values()), more)
