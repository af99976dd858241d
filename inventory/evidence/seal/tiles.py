"""The kept tiles of the tree over events: written as they fill, read for proofs, filled.

A root or a proof asks for some twenty nodes; each is found in a tile of 256 hashes, so
that a million events are not hashed for it. What no tile holds is hashed from the events
themselves: the last ones, and any tile that is missing.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any

from django.db import transaction

from inventory.models import Event, TreeTile
from inventory.rules.evidence.chain import (
    MIDDLE,
    TILE,
    TILE_HEIGHT,
    leaf_data,
    leaf_hash,
    rows_over,
)

_HASH = 32
STEP = 16
"""Tiles that are filled in one transaction: 4,096 events."""


class BrokenTreeError(Exception):
    """The tree cannot be proven from what is stored; the message says why."""


class KeptNodes:
    """The nodes of the tree over the first ``size`` events, by height and place."""

    def __init__(
        self,
        size: int,
        *,
        events: type[Event] = Event,
        tiles: type[TreeTile] = TreeTile,
    ) -> None:
        """Begin with no tile read. Migrations give their own ``events`` and ``tiles``."""
        self._size, self._events, self._tiles = size, events, tiles
        self._read: dict[tuple[int, int], _Nodes] = {}

    def __call__(self, height: int, place: int) -> bytes:
        """Return a node. Raise BrokenTreeError where its events are missing."""
        level, up = divmod(height, TILE_HEIGHT)
        tile, at = divmod(place, TILE >> up)
        return self._node(level, tile, up, at)

    def read_ahead(self, leaves: Iterable[int]) -> None:
        """Read the tiles of these leaves (from 0) at once."""
        rows = self._tiles.objects.filter(
            level=0, place__in={leaf // TILE for leaf in leaves}
        )
        for row in rows.values(*_columns(self._tiles)):
            self._read[0, row["place"]] = _nodes_of(row)

    def hashes(self, level: int, place: int) -> list[bytes]:
        """Return the hashes of a tile as far as the tree reaches, kept or not."""
        first = place * TILE
        count = min(TILE, self._size // TILE**level - first)
        if level == 0:
            return self._leaves(first, count)
        below = self._tiles.objects.filter(
            level=level - 1, place__gte=first, place__lt=first + count
        )
        found = dict(below.values_list("place", "root"))
        return [
            bytes(found[one])
            if one in found
            else self._node(level - 1, one, TILE_HEIGHT, 0)
            for one in range(first, first + count)
        ]

    def _nodes(self, level: int, place: int) -> "_Nodes":
        """Return what gives the nodes of a tile, its hashes at height 0."""
        if (level, place) not in self._read:
            kept = self._kept(level, place)
            found = _nodes_of(kept) if kept else _hashed(self.hashes(level, place))
            self._read[level, place] = found
        return self._read[level, place]

    def _kept(self, level: int, place: int) -> dict[str, Any] | None:
        if (place + 1) * TILE ** (level + 1) > self._size:
            return None  # the tree has no such full tile
        rows = self._tiles.objects.filter(level=level, place=place)
        found: dict[str, Any] | None = rows.values(*_columns(self._tiles)).first()
        return found

    def _node(self, level: int, place: int, up: int, at: int) -> bytes:
        try:
            return self._nodes(level, place)(up, at)
        except IndexError:
            raise BrokenTreeError(
                f"Events are missing after event {place * TILE ** (level + 1)}, so "
                "nothing can be proven. Nothing was saved. Run manage.py verify."
            ) from None

    def _leaves(self, first: int, count: int) -> list[bytes]:
        sealed = self._events.objects.filter(
            sequence__gt=first, sequence__lte=first + count
        ).order_by("sequence")
        return [
            leaf_hash(leaf_data(text)) for text in sealed.values_list("hash", flat=True)
        ]


def keep_filled(size: int) -> None:
    """Keep the tiles that event number ``size`` fills; in the event's transaction.

    The chain's lock is held, so nobody else fills them.
    """
    if size % TILE:
        return
    nodes, level = KeptNodes(size), 0
    while size % TILE ** (level + 1) == 0:
        _keep(nodes, level, size // TILE ** (level + 1) - 1, TreeTile)
        level += 1


def fill_tiles(
    events: type[Event] = Event, tiles: type[TreeTile] = TreeTile, step: int = STEP
) -> None:
    """Keep every full tile that is not kept, ``step`` of them a transaction.

    Killed, it goes on with those that are still missing.
    """
    last = events.objects.order_by("-sequence").values_list("sequence", flat=True)
    size = last.first() or 0
    missing = list(_missing(size, tiles))
    for start in range(0, len(missing), step):
        nodes = KeptNodes(size, events=events, tiles=tiles)
        with transaction.atomic():
            for level, place in missing[start : start + step]:
                _keep(nodes, level, place, tiles)


def _missing(size: int, tiles: type[TreeTile]) -> Iterator[tuple[int, int]]:
    there = set(tiles.objects.values_list("level", "place"))
    level = 0
    while full := size // TILE ** (level + 1):
        for place in range(full):
            if (level, place) not in there:
                yield level, place
        level += 1


def _keep(nodes: KeptNodes, level: int, place: int, tiles: type[TreeTile]) -> None:
    try:
        hashes = nodes.hashes(level, place)
    except BrokenTreeError:
        return
    if len(hashes) < TILE:
        return  # an event is missing, which verify tells
    rows = rows_over(hashes)
    kept = {"root": rows[-1][0], "hashes": b"".join(hashes)}
    if "middle" in _columns(tiles):
        kept["middle"] = b"".join(rows[MIDDLE])
    tiles.objects.bulk_create(
        [tiles(level=level, place=place, **kept)],
        update_conflicts=True,
        unique_fields=["level", "place"],
        update_fields=list(kept),
    )


def fill_middles(tiles: type[TreeTile], step: int = TILE) -> None:
    """Keep the middle of every tile that has none, ``step`` of them a transaction."""
    waiting = tiles.objects.filter(middle=None).order_by("pk")
    while rows := list(waiting.values_list("pk", "hashes")[:step]):
        with transaction.atomic():
            for key, hashes in rows:
                middle = rows_over(_split(bytes(hashes)))[MIDDLE]
                tiles.objects.filter(pk=key).update(middle=b"".join(middle))


_Nodes = Callable[[int, int], bytes]
"""Gives the nodes of one tile by height and place; raises IndexError for none."""


def _hashed(hashes: Sequence[bytes]) -> _Nodes:
    rows = rows_over(hashes)
    return lambda up, at: rows[up][at]


def _columns(tiles: type[TreeTile]) -> list[str]:
    """Return the columns of tiles but their root; those of an earlier migration too."""
    there = {field.name for field in tiles._meta.concrete_fields}
    return [name for name in ("place", "hashes", "middle") if name in there]


def _nodes_of(row: Mapping[str, Any]) -> _Nodes:
    """Return the nodes of a kept tile; with its middle, only what is asked is hashed."""
    leaves, middle = bytes(row["hashes"]), row.get("middle")
    if middle is None:
        return _hashed(_split(leaves))
    above = _hashed(_split(bytes(middle)))
    parts: dict[int, _Nodes] = {}
    count = 1 << MIDDLE

    def node(up: int, at: int) -> bytes:
        if up >= MIDDLE:
            return above(up - MIDDLE, at)
        part, beside = divmod(at, count >> up)
        if part not in parts:
            first, length = part * count * _HASH, count * _HASH
            parts[part] = _hashed(_split(leaves[first : first + length]))
        return parts[part](up, beside)

    return node


def _split(blob: bytes) -> list[bytes]:
    return [blob[at : at + _HASH] for at in range(0, len(blob), _HASH)]
