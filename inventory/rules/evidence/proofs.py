"""Proofs over the Merkle tree: that a leaf is in it, and that it only grew.

RFC 6962 sections 2.1.1 and 2.1.2 define both proofs; checking them follows RFC 9162
sections 2.1.3.2 and 2.1.4.2 (from memory), which describe the same trees.
"""

from collections.abc import Iterable, Sequence

from inventory.rules.evidence.chain import leaf_hash, node_hash


def audit_paths(
    leaves: Iterable[bytes], places: Sequence[int]
) -> dict[int, tuple[bytes, ...]]:
    """Return the audit path of each place (from 0) in the tree over all leaves.

    Works level by level: an odd node at a level's end is carried up unchanged, which
    is the same tree as splitting at the largest power of two. Raise IndexError for
    a place outside the tree.
    """
    level = [leaf_hash(data) for data in leaves]
    if any(not 0 <= place < len(level) for place in places):
        raise IndexError("There is no such leaf in the tree.")
    paths: dict[int, list[bytes]] = {place: [] for place in places}
    stands = {place: place for place in places}
    while len(level) > 1:
        for place, at in stands.items():
            beside = at ^ 1
            if beside < len(level):
                paths[place].append(level[beside])
            stands[place] = at // 2
        level = _level_above(level)
    return {place: tuple(path) for place, path in paths.items()}


def _level_above(level: Sequence[bytes]) -> list[bytes]:
    pairs = zip(level[::2], level[1::2], strict=False)
    above = [node_hash(left, right) for left, right in pairs]
    return [*above, level[-1]] if len(level) % 2 else above


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


def consistency_path(leaves: Sequence[bytes], earlier: int) -> tuple[bytes, ...]:
    """Return the proof that the tree over the first ``earlier`` leaves only grew.

    Raise IndexError unless 0 < earlier <= all leaves.
    """
    if not 0 < earlier <= len(leaves):
        raise IndexError("The earlier tree must have leaves, and no more than now.")
    return tuple(_subproof(leaves, earlier, is_whole=True))


def _subproof(leaves: Sequence[bytes], earlier: int, *, is_whole: bool) -> list[bytes]:
    if earlier == len(leaves):
        return [] if is_whole else [_subtree(leaves)]
    split = _split(len(leaves))
    if earlier <= split:
        inner = _subproof(leaves[:split], earlier, is_whole=is_whole)
        return [*inner, _subtree(leaves[split:])]
    inner = _subproof(leaves[split:], earlier - split, is_whole=False)
    return [*inner, _subtree(leaves[:split])]


def _split(size: int) -> int:
    return int(1 << ((size - 1).bit_length() - 1))


def _subtree(leaves: Sequence[bytes]) -> bytes:
    level = [leaf_hash(data) for data in leaves]
    while len(level) > 1:
        level = _level_above(level)
    return level[0]


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
