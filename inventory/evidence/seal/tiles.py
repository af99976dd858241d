"""The kept tiles of the tree over events: written as they fill, read for proofs, filled.

A root or a proof asks for some twenty nodes; each is found in a tile of 256 hashes, so
that a million events are not hashed for it. What no tile holds is hashed from the events
themselves: the last ones, and any tile that is missing.
"""

from collections.abc import Iterable, Iterator

from django.db import transaction

from inventory.models import Event, TreeTile
from inventory.rules.evidence.chain import (
    TILE,
    TILE_HEIGHT,
    leaf_data,
    leaf_hash,
    pairs_of,
    root_over,
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
        self._read: dict[tuple[int, int], list[list[bytes]]] = {}

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
        for place, hashes in rows.values_list("place", "hashes"):
            self._read[0, place] = _rows_over(_split(bytes(hashes)))

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

    def _rows(self, level: int, place: int) -> list[list[bytes]]:
        """Return the nodes of a tile, its hashes first and its root last."""
        if (level, place) not in self._read:
            blob = self._kept(level, place)
            hashes = self.hashes(level, place) if blob is None else _split(blob)
            self._read[level, place] = _rows_over(hashes)
        return self._read[level, place]

    def _kept(self, level: int, place: int) -> bytes | None:
        if (place + 1) * TILE ** (level + 1) > self._size:
            return None  # the tree has no such full tile
        row = self._tiles.objects.filter(level=level, place=place)
        blob = row.values_list("hashes", flat=True).first()
        return None if blob is None else bytes(blob)

    def _node(self, level: int, place: int, up: int, at: int) -> bytes:
        try:
            return self._rows(level, place)[up][at]
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
    row = tiles(
        level=level, place=place, root=root_over(hashes), hashes=b"".join(hashes)
    )
    tiles.objects.bulk_create(
        [row],
        update_conflicts=True,
        unique_fields=["level", "place"],
        update_fields=["root", "hashes"],
    )


def _rows_over(hashes: list[bytes]) -> list[list[bytes]]:
    rows = [hashes]
    while len(rows[-1]) > 1:
        rows.append(pairs_of(rows[-1]))
    return rows


def _split(blob: bytes) -> list[bytes]:
    return [blob[at : at + _HASH] for at in range(0, len(blob), _HASH)]
