"""Inclusion and consistency proofs, against the published path and by definition.

Source of the eight leaves, the roots and the audit path of leaf 5 of 8: the test
vectors of the Certificate Transparency reference implementation (Apache-2.0);
RFC 6962 sections 2.1.1 and 2.1.2 define the proofs.
"""

import pytest

from inventory.rules.evidence.chain import leaf_hash, node_hash, tree_root
from inventory.rules.evidence.proofs import (
    audit_paths,
    consistency_path,
    is_consistent,
    is_included,
    root_from_path,
)
from tests.inventory.rules.evidence.test_chain import LEAVES, ROOTS

DATA = [bytes.fromhex(text) for text in LEAVES]
LEAF_5_OF_8 = (
    "bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b",
    "ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0",
    "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
)


def test_the_path_of_the_sixth_leaf_is_the_published_one():
    path = audit_paths(DATA, [5])[5]

    assert tuple(step.hex() for step in path) == LEAF_5_OF_8
    assert is_included(
        DATA[5], place=5, size=8, path=path, root=bytes.fromhex(ROOTS[8])
    )


def path_by_definition(place, leaves):
    """RFC 6962, 2.1.1, word for word."""
    if len(leaves) == 1:
        return []
    split = 1
    while split * 2 < len(leaves):
        split *= 2
    if place < split:
        return [*path_by_definition(place, leaves[:split]), tree_root(leaves[split:])]
    return [
        *path_by_definition(place - split, leaves[split:]),
        tree_root(leaves[:split]),
    ]


@pytest.mark.parametrize("size", range(1, 34))
def test_every_path_equals_the_definition_and_leads_to_the_root(size):
    leaves = [str(number).encode() for number in range(size)]
    paths = audit_paths(leaves, range(size))
    root = tree_root(leaves)

    for place, path in paths.items():
        assert list(path) == path_by_definition(place, leaves)
        assert root_from_path(leaves[place], place, size, path) == root


@pytest.mark.parametrize("size", [2, 7, 8, 21])
def test_no_path_proves_another_leaf_place_size_or_root(size):
    leaves = [str(number).encode() for number in range(size)]
    root = tree_root(leaves)
    for place, path in audit_paths(leaves, range(size)).items():
        assert not is_included(b"another", place=place, size=size, path=path, root=root)
        assert not is_included(
            leaves[place], place=place, size=size, path=path[:-1], root=root
        )
        assert not is_included(
            leaves[place], place=place, size=size, path=(*path, root), root=root
        )
        assert not is_included(
            leaves[place], place=size, size=size, path=path, root=root
        )
        assert not is_included(
            leaves[place], place=place, size=size, path=path, root=leaf_hash(b"x")
        )
        for other in range(size):
            if other != place:
                assert not is_included(
                    leaves[place], place=other, size=size, path=path, root=root
                )


def test_a_place_outside_the_tree_has_no_path():
    with pytest.raises(IndexError):
        audit_paths(DATA, [8])


def test_the_example_of_the_definition_is_met():
    """RFC 6962, 2.1.3: PROOF(3, D[7]) = [c, d, g, l] and PROOF(6, D[7]) = [i, j, k]."""
    a, b, c, d, e, f, j = [leaf_hash(data) for data in DATA[:7]]
    g, h, i = node_hash(a, b), node_hash(c, d), node_hash(e, f)
    k, upper = node_hash(g, h), node_hash(i, j)

    assert consistency_path(DATA[:7], 3) == (c, d, g, upper)
    assert consistency_path(DATA[:7], 4) == (upper,)
    assert consistency_path(DATA[:7], 6) == (i, j, k)


@pytest.mark.parametrize("size", range(1, 20))
def test_a_tree_that_grew_is_consistent_with_every_earlier_one(size):
    leaves = [str(number).encode() for number in range(size)]
    root = tree_root(leaves)
    for earlier in range(1, size + 1):
        path = consistency_path(leaves, earlier)
        before = tree_root(leaves[:earlier])
        assert is_consistent(
            path, earlier=earlier, earlier_root=before, size=size, root=root
        )
        forged = tree_root([b"forged", *leaves[1:earlier]])
        assert not is_consistent(
            path, earlier=earlier, earlier_root=forged, size=size, root=root
        )
        assert not is_consistent(
            path, earlier=earlier, earlier_root=before, size=size, root=leaf_hash(b"x")
        )
        assert not is_consistent(
            (*path, root), earlier=earlier, earlier_root=before, size=size, root=root
        )


def test_a_tree_that_lost_its_tail_is_not_consistent():
    root = bytes.fromhex(ROOTS[8])

    assert not is_consistent(
        (), earlier=8, earlier_root=root, size=6, root=bytes.fromhex(ROOTS[6])
    )
    assert not is_consistent((), earlier=0, earlier_root=root, size=8, root=root)
    assert not is_consistent(
        (), earlier=3, earlier_root=bytes.fromhex(ROOTS[3]), size=8, root=root
    )
