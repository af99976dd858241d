"""The pictures that stand beside trucks and crates in lists."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from uuid import UUID

from django.db.models import QuerySet

from inventory.models import Evidence

_OF_CRATE = ("damage", "look", "face", "label", "inside")
"""The kinds that show a crate best, the best first."""


@dataclass
class Thumb:
    """One picture that stands for several: its key, and how many there are."""

    pk: UUID
    count: int
    rank: int


def thumbs_of_crates(delivery_id: int) -> tuple[dict[int, Thumb], Thumb | None]:
    """Return the picture of each crate on this truck, and that of its load. One query."""
    rows: Iterable[tuple[UUID, int | None, str]] = _pictures([delivery_id]).values_list(
        "pk", "crate_id", "kind"
    )
    crates: dict[int, Thumb] = {}
    load: Thumb | None = None
    for pk, crate_id, kind in rows:
        if crate_id:
            crates[crate_id] = _better(crates.get(crate_id), pk, kind, _OF_CRATE)
        elif kind == "load":
            load = _better(load, pk, kind, ("load",))
    return crates, load


def thumbs_of_trucks(
    delivery_ids: Iterable[int], kinds: Sequence[str]
) -> dict[int, Thumb]:
    """Return for each truck its picture of the first of these kinds. One query."""
    rows = _pictures(delivery_ids).filter(kind__in=kinds)
    return _best(rows.values_list("pk", "delivery_id", "kind"), kinds)


def thumbs_of_rows(crate_ids: Iterable[int], kinds: Sequence[str]) -> dict[int, Thumb]:
    """Return for each crate its picture of the first of these kinds. One query."""
    rows = _all_pictures().filter(crate__in=list(crate_ids), kind__in=kinds)
    return _best(rows.values_list("pk", "crate_id", "kind"), kinds)


def thumbs_of_bills(
    shipment_ids: Iterable[int], kinds: Sequence[str]
) -> dict[int, Thumb]:
    """Return for each bill its picture of the first of these kinds. One query."""
    rows = _all_pictures().filter(shipment__in=list(shipment_ids), kind__in=kinds)
    return _best(rows.values_list("pk", "shipment_id", "kind"), kinds)


def _best(
    rows: Iterable[tuple[UUID, int | None, str]], kinds: Sequence[str]
) -> dict[int, Thumb]:
    found: dict[int, Thumb] = {}
    for pk, owner, kind in rows:
        if owner is not None:
            found[owner] = _better(found.get(owner), pk, kind, kinds)
    return found


def _pictures(delivery_ids: Iterable[int]) -> QuerySet[Evidence]:
    return _all_pictures().filter(delivery__in=list(delivery_ids))


def _all_pictures() -> QuerySet[Evidence]:
    rows = Evidence.objects.filter(original__media_type__startswith="image/")
    return rows.order_by("received_at", "pk")


def _better(thumb: Thumb | None, pk: UUID, kind: str, kinds: Sequence[str]) -> Thumb:
    """Return the picture of the better kind, counting one more."""
    rank = kinds.index(kind) if kind in kinds else len(kinds)
    if thumb is None:
        return Thumb(pk, 1, rank)
    thumb.count += 1
    if rank < thumb.rank:
        thumb.pk, thumb.rank = pk, rank
    return thumb
