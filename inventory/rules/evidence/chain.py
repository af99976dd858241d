"""The hash chain over events and the Merkle tree above it.

Tree hashes follow RFC 6962 section 2.1: a leaf is hashed with the prefix 0x00,
a node with 0x01, and a tree of n leaves splits at the largest power of two
smaller than n.
"""

import hashlib
import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

TILE_HEIGHT = 8
TILE = 1 << TILE_HEIGHT
"""So many hashes are in a tile."""
MIDDLE = TILE_HEIGHT // 2
"""The height within a tile whose nodes are kept too."""

GENESIS = "0" * 64
"""The previous hash of the first event."""

type_names = (dict, list, str, int, bool, type(None))


def canonical_json(value: object) -> str:
    """Return the one text form of a JSON value: sorted keys, no spaces, UTF-8.

    Raise TypeError for anything JSON cannot hold, floats included: a float has
    no one text form.
    """
    _refuse_floats(value)
    return json.dumps(
        value,
        sort_keys=True,
        separators=(",", ":"),
        ensure_ascii=False,
        allow_nan=False,
    )


def _refuse_floats(value: object) -> None:
    if isinstance(value, dict):
        for key, inner in value.items():
            if not isinstance(key, str):
                raise TypeError("A key of a sealed record must be text.")
            _refuse_floats(inner)
    elif isinstance(value, list | tuple):
        for inner in value:
            _refuse_floats(inner)
    elif not isinstance(value, type_names):
        raise TypeError(f"A sealed record cannot hold a {type(value).__name__}.")


def link_hash(record: dict[str, object]) -> str:
    """Return the SHA-256, in hex, of one record in its canonical form."""
    return hash_of(canonical_json(record))


def hash_of(body: str) -> str:
    """Return the SHA-256, in hex, of a record's canonical form."""
    return hashlib.sha256(body.encode()).hexdigest()


def leaf_hash(data: bytes) -> bytes:
    """Hash one leaf (RFC 6962, 2.1)."""
    return hashlib.sha256(b"\x00" + data).digest()


def node_hash(left: bytes, right: bytes) -> bytes:
    """Hash two subtrees (RFC 6962, 2.1)."""
    return hashlib.sha256(b"\x01" + left + right).digest()


def leaf_data(sealed: str) -> bytes:
    """Return what a leaf is made of: the bytes of an event's hash as it is stored.

    A hash that was damaged is still a leaf, and gives another root.
    """
    try:
        return bytes.fromhex(sealed)
    except ValueError:
        return sealed.encode("utf-8", "surrogateescape")


def pairs_of(level: Sequence[bytes]) -> list[bytes]:
    """Return the nodes over each two of a level's nodes; an odd last one has none."""
    sha256 = hashlib.sha256
    pairs = zip(level[::2], level[1::2], strict=False)
    return [sha256(b"\x01" + left + right).digest() for left, right in pairs]


def rows_over(hashes: Sequence[bytes]) -> list[Sequence[bytes]]:
    """Return the nodes over these hashes, those first and the last one above at the end.

    Of a number that is no power of two, the nodes of full subtrees alone.
    """
    rows = [hashes]
    while len(rows[-1]) > 1:
        rows.append(pairs_of(rows[-1]))
    return rows


def root_over(level: Sequence[bytes]) -> bytes:
    """Return the root over the nodes of one level, of which the last may be smaller.

    An odd one at the end is carried up as it is, which is the same tree as splitting at
    the largest power of two (RFC 6962, 2.1).
    """
    while len(level) > 1:
        odd = level[-1:] if len(level) % 2 else []
        level = [*pairs_of(level), *odd]
    return level[0] if level else hashlib.sha256(b"").digest()


@dataclass(frozen=True)
class Tile:
    """The 256 hashes of a full tile, and the root over them.

    Tile ``place`` of ``level`` holds the roots of 256 full subtrees of 256**level
    leaves, as C2SP's tiled logs cut a tree (https://c2sp.org/tlog-tiles). ``middle`` are
    the 16 nodes half way up to the root.
    """

    level: int
    place: int
    hashes: bytes
    root: bytes
    middle: bytes


class GrowingTree:
    """A Merkle tree that takes leaf after leaf and can tell its root at any size.

    Keeps at most 255 nodes of each height of a tile, so that a million leaves need
    neither deep recursion nor the leaves themselves. ``keep`` is given each tile that is
    filled.
    """

    def __init__(self, keep: Callable[[Tile], None] | None = None) -> None:
        """Begin empty."""
        self.size = 0
        self._keep = keep
        self._levels: list[list[bytes]] = [[]]

    def add(self, data: bytes) -> None:
        """Take the next leaf's data."""
        leaves = self._levels[0]
        leaves.append(hashlib.sha256(b"\x00" + data).digest())
        self.size += 1
        if len(leaves) == TILE:
            self._fill(0)

    def _fill(self, level: int) -> None:
        full = self._levels[level]
        rows = rows_over(full)
        root = rows[-1][0]
        if self._keep is not None:
            place = self.size // TILE ** (level + 1) - 1
            middle = b"".join(rows[MIDDLE])
            self._keep(Tile(level, place, b"".join(full), root, middle))
        self._levels[level] = []
        if level + 1 == len(self._levels):
            self._levels.append([])
        self._levels[level + 1].append(root)
        if len(self._levels[level + 1]) == TILE:
            self._fill(level + 1)

    def root(self) -> bytes:
        """Return the root over the leaves so far (RFC 6962, 2.1)."""
        rest: list[bytes] = []
        for level in self._levels:
            nodes = [*level, *rest]
            rest = [root_over(nodes)] if nodes else []
        return rest[0] if rest else root_over([])


def tree_root(leaves: Iterable[bytes]) -> bytes:
    """Return the Merkle tree hash of the leaves' data (RFC 6962, 2.1)."""
    tree = GrowingTree()
    for data in leaves:
        tree.add(data)
    return tree.root()
