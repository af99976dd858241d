"""Whether the kept tiles are those of the events."""

import hashlib
from collections.abc import Iterator

from inventory.evidence.seal.snapshots import Snapshot, columns_of
from inventory.models import TreeTile
from inventory.rules.evidence.chain import Tile
from inventory.rules.evidence.row_images import Scalar

_REPAIR = (
    "No event is touched by that. To make it again, delete its row from "
    "inventory_treetile and run manage.py migrate."
)


class TileCheck:
    """The kept tiles by their digests, and how those that the events give differ."""

    def __init__(self) -> None:
        """Begin with none."""
        self._kept: dict[tuple[Scalar, ...], bytes] = {}
        self._faults: list[str] = []

    def read(self, snapshot: Snapshot) -> Iterator[str]:
        """Read every tile; yield a sentence for each that stands twice."""
        columns = columns_of(TreeTile, ("level", "place", "root", "hashes", "middle"))
        for level, place, *hashes in snapshot.rows(TreeTile, columns):
            key = (str(level), str(place))
            if key in self._kept:
                yield f"Tile {place} of level {level} of the tree stands twice."
            self._kept[key] = _digest(*hashes)

    def compare(self, tile: Tile) -> None:
        """Compare the next full tile that the events give with the kept one."""
        kept = self._kept.pop((str(tile.level), str(tile.place)), None)
        if kept == _digest(tile.root.hex(), tile.hashes.hex(), tile.middle.hex()):
            return
        how = "is missing" if kept is None else "differs from its events"
        self._faults.append(
            f"Tile {tile.place} of level {tile.level} of the tree {how}. {_REPAIR}"
        )

    def faults(self) -> Iterator[str]:
        """Yield a sentence for each that differs, is missing, or has no events."""
        yield from self._faults
        for level, place in self._kept:
            yield f"Tile {place} of level {level} of the tree has no events. {_REPAIR}"


def _digest(*hashes: Scalar) -> bytes:
    return hashlib.sha256(" ".join(map(str, hashes)).encode()).digest()
