"""The hash chain over events and the Merkle tree above it.

Tree hashes follow RFC 6962 section 2.1: a leaf is hashed with the prefix 0x00,
a node with 0x01, and a tree of n leaves splits at the largest power of two
smaller than n.
"""

import hashlib
import json
from collections.abc import Iterable

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
    return hashlib.sha256(canonical_json(record).encode()).hexdigest()


def leaf_hash(data: bytes) -> bytes:
    """Hash one leaf (RFC 6962, 2.1)."""
    return hashlib.sha256(b"\x00" + data).digest()


def node_hash(left: bytes, right: bytes) -> bytes:
    """Hash two subtrees (RFC 6962, 2.1)."""
    return hashlib.sha256(b"\x01" + left + right).digest()


class GrowingTree:
    """A Merkle tree that takes leaf after leaf and can tell its root at any size.

    Keeps only the roots of perfect subtrees, so that a million leaves need neither
    deep recursion nor the leaves themselves.
    """

    def __init__(self) -> None:
        """Begin empty."""
        self.size = 0
        self._stack: list[tuple[int, bytes]] = []

    def add(self, data: bytes) -> None:
        """Take the next leaf's data."""
        height, digest = 0, leaf_hash(data)
        while self._stack and self._stack[-1][0] == height:
            digest = node_hash(self._stack.pop()[1], digest)
            height += 1
        self._stack.append((height, digest))
        self.size += 1

    def root(self) -> bytes:
        """Return the root over the leaves so far (RFC 6962, 2.1)."""
        if not self._stack:
            return hashlib.sha256(b"").digest()
        *lower, (_, root) = self._stack
        for _, left in reversed(lower):
            root = node_hash(left, root)
        return root


def tree_root(leaves: Iterable[bytes]) -> bytes:
    """Return the Merkle tree hash of the leaves' data (RFC 6962, 2.1)."""
    tree = GrowingTree()
    for data in leaves:
        tree.add(data)
    return tree.root()
