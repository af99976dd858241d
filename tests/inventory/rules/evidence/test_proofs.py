"""Inclusion and consistency proofs, against the published path and by definition.

Source of the eight leaves, the roots and the audit path of leaf 5 of 8: the test
vectors of the Certificate Transparency reference implementation (Apache-2.0);
RFC 6962 sections 2.1.1 and 2.1.2 define the proofs.
"""

import pytest

from inventory.rules.evidence.chain import leaf_hash, node_hash, tree_root
from inventory.rules.evidence.proofs import (
    audit_path,
    consistency_path,
    is_consistent,
    is_included,
    root_from_path,
    root_of,
)
from tests.inventory.rules.evidence.test_chain import LEAVES, ROOTS


def nodes_of(leaves):
    """Every full subtree's hash by its definition."""

    def node(height, place):
        first = place << height
        assert first + (1 << height) <= len(leaves)
        return tree_root(leaves[first : first + (1 << height)])

    return node


DATA = [bytes.fromhex(text) for text in LEAVES]
LEAF_5_OF_8 = (
    "bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b",
    "ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0",
    "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
)


def test_the_path_of_the_sixth_leaf_is_the_published_one():
    path = audit_path(5, 8, nodes_of(DATA))

    assert tuple(step.hex() for step in path) == LEAF_5_OF_8
    assert is_included(
        DATA[5], place=5, size=8, path=path, root=bytes.fromhex(ROOTS[8])
    )


PATHS = {
    (0, 8): (
        "96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7",
        "5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e",
        "6b47aaf29ee3c2af9af889bc1fb9254dabd31177f16232dd6aab035ca39bf6e4",
    ),
    (2, 3): (ROOTS[2],),
    (1, 5): (
        ROOTS[1],
        "5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e",
        LEAF_5_OF_8[0],
    ),
}
GROWN = {
    (1, 1): (),
    (1, 8): PATHS[0, 8],
    (6, 8): (
        "0ebc5d3437fbe2db158b9f126a1d118e308181031d0a949f8dededebc558ef6a",
        *LEAF_5_OF_8[1:],
    ),
    (2, 5): PATHS[1, 5][1:],
}
"""Of the same vectors (from memory): audit paths by place and size, consistency proofs
by both sizes."""


@pytest.mark.parametrize(("asked", "path"), PATHS.items())
def test_an_audit_path_is_the_published_one(asked, path):
    found = audit_path(*asked, nodes_of(DATA))

    assert tuple(step.hex() for step in found) == path


@pytest.mark.parametrize(("asked", "path"), GROWN.items())
def test_a_consistency_proof_is_the_published_one(asked, path):
    found = consistency_path(*asked, nodes_of(DATA))

    assert tuple(step.hex() for step in found) == path
    assert is_consistent(
        found,
        earlier=asked[0],
        earlier_root=bytes.fromhex(ROOTS[asked[0]]),
        size=asked[1],
        root=bytes.fromhex(ROOTS[asked[1]]),
    )


@pytest.mark.parametrize(("size", "root"), ROOTS.items())
def test_the_root_of_kept_nodes_is_the_published_one(size, root):
    assert root_of(size, nodes_of(DATA)).hex() == root


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
    root = tree_root(leaves)

    for place in range(size):
        path = audit_path(place, size, nodes_of(leaves))
        assert list(path) == path_by_definition(place, leaves)
        assert root_from_path(leaves[place], place, size, path) == root


@pytest.mark.parametrize("size", [2, 7, 8, 21])
def test_no_path_proves_another_leaf_place_size_or_root(size):
    leaves = [str(number).encode() for number in range(size)]
    root = tree_root(leaves)
    for place in range(size):
        path = audit_path(place, size, nodes_of(leaves))
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
        audit_path(8, 8, nodes_of(DATA))


def test_the_example_of_the_definition_is_met():
    """RFC 6962, 2.1.3: PROOF(3, D[7]) = [c, d, g, l] and PROOF(6, D[7]) = [i, j, k]."""
    a, b, c, d, e, f, j = [leaf_hash(data) for data in DATA[:7]]
    g, h, i = node_hash(a, b), node_hash(c, d), node_hash(e, f)
    k, upper = node_hash(g, h), node_hash(i, j)

    assert consistency_path(3, 7, nodes_of(DATA)) == (c, d, g, upper)
    assert consistency_path(4, 7, nodes_of(DATA)) == (upper,)
    assert consistency_path(6, 7, nodes_of(DATA)) == (i, j, k)


@pytest.mark.parametrize("size", range(1, 20))
def test_a_tree_that_grew_is_consistent_with_every_earlier_one(size):
    leaves = [str(number).encode() for number in range(size)]
    root = tree_root(leaves)
    for earlier in range(1, size + 1):
        path = consistency_path(earlier, size, nodes_of(leaves))
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
