"""Proofs over the Merkle tree: that a leaf is in it, and that it only grew.

RFC 6962 sections 2.1.1 and 2.1.2 define both proofs; checking them follows RFC 9162
sections 2.1.3.2 and 2.1.4.2 (from memory), which describe the same trees.
"""

from collections.abc import Callable, Sequence

from inventory.rules.evidence.chain import leaf_hash, node_hash, root_over

Node = Callable[[int, int], bytes]
"""Gives the hash of a full subtree: of 2**height leaves, the place-th from the left."""


def root_of(size: int, node: Node) -> bytes:
    """Return the root over the first ``size`` leaves; asks for at most 64 nodes."""
    return _over(0, size, node)


def audit_path(place: int, size: int, node: Node) -> tuple[bytes, ...]:
    """Return the audit path of the leaf at ``place`` (from 0) of the first ``size``.

    Raise IndexError for a place outside the tree.
    """
    if not 0 <= place < size:
        raise IndexError("There is no such leaf in the tree.")
    path, height = [], 0
    while 1 << height < size:
        beside = place >> height ^ 1
        first, end = beside << height, beside + 1 << height
        if end <= size:
            path.append(node(height, beside))
        elif first < size:
            path.append(_over(first, size - first, node))
        height += 1
    return tuple(path)


def _over(start: int, count: int, node: Node) -> bytes:
    """Return the root over leaves from ``start``, where a subtree of the tree begins."""
    full = []
    for height in reversed(range(count.bit_length())):
        if count >> height & 1:
            full.append(node(height, start >> height))
            start += 1 << height
    if not full:
        return root_over([])
    digest = full.pop()
    while full:
        digest = node_hash(full.pop(), digest)
    return digest


def root_from_path(
    data: bytes, place: int, size: int, path: Sequence[bytes]
) -> bytes | None:
    """Return the root that the leaf's path leads to, or None where it cannot fit.

    ``place`` counts from 0 in a tree of ``size`` leaves.
    """
    if not 0 <= place < size:
        return None
    digest, at, last = leaf_hash(data), place, size - 1
    for beside in path:
        if last == 0:
            return None
        if at % 2 or at == last:
            digest = node_hash(beside, digest)
            while at % 2 == 0 and at:
                at, last = at // 2, last // 2
        else:
            digest = node_hash(digest, beside)
        at, last = at // 2, last // 2
    return digest if last == 0 else None


def is_included(
    data: bytes, *, place: int, size: int, path: Sequence[bytes], root: bytes
) -> bool:
    """Return whether the leaf is at this place of the tree with this root."""
    return root_from_path(data, place, size, path) == root


def consistency_path(earlier: int, size: int, node: Node) -> tuple[bytes, ...]:
    """Return the proof that the tree over the first ``earlier`` leaves only grew.

    Raise IndexError unless 0 < earlier <= size.
    """
    if not 0 < earlier <= size:
        raise IndexError("The earlier tree must have leaves, and no more than now.")
    path, start, count, left = [], 0, size, earlier
    while left < count:
        split = _split(count)
        if left <= split:
            path.append(_over(start + split, count - split, node))
            count = split
        else:
            path.append(_over(start, split, node))
            start, count, left = start + split, count - split, left - split
    if start:
        path.append(_over(start, count, node))
    return tuple(reversed(path))


def _split(size: int) -> int:
    return int(1 << ((size - 1).bit_length() - 1))


def is_consistent(
    path: Sequence[bytes], *, earlier: int, earlier_root: bytes, size: int, root: bytes
) -> bool:
    """Return whether the later tree begins with every leaf of the earlier one."""
    if not 0 < earlier <= size:
        return False
    if earlier == size:
        return not path and earlier_root == root
    steps = list(path)
    if earlier & (earlier - 1) == 0:
        steps.insert(0, earlier_root)
    if not steps:
        return False
    return _climb(earlier, size, steps) == (earlier_root, root)


def _climb(
    earlier: int, size: int, steps: Sequence[bytes]
) -> tuple[bytes, bytes] | None:
    """Return both roots that the steps lead to; None where they cannot fit."""
    at, last = earlier - 1, size - 1
    while at % 2:
        at, last = at // 2, last // 2
    old = new = steps[0]
    for step in steps[1:]:
        if last == 0:
            return None
        if at % 2 or at == last:
            old, new = node_hash(step, old), node_hash(step, new)
            while at % 2 == 0 and at:
                at, last = at // 2, last // 2
        else:
            new = node_hash(new, step)
        at, last = at // 2, last // 2
    return (old, new) if last == 0 else None
