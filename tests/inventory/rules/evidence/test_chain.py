"""Merkle tree hashes against published vectors.

Source: RFC 6962 section 2.1 defines the hashes; the eight leaves and the roots are
the test vectors of the Certificate Transparency reference implementation
(merkle_tree_test), from memory; the empty root is SHA-256 of nothing, FIPS 180-4.
"""

import hashlib

import pytest

from inventory.rules.evidence.chain import (
    GrowingTree,
    canonical_json,
    leaf_hash,
    node_hash,
    tree_root,
)

LEAVES = [
    "",
    "00",
    "10",
    "2021",
    "3031",
    "40414243",
    "5051525354555657",
    "606162636465666768696a6b6c6d6e6f",
]
ROOTS = {
    0: "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
    1: "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
    2: "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
    3: "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
    4: "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
    5: "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
    6: "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
    7: "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
    8: "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
}


@pytest.mark.parametrize(("size", "root"), ROOTS.items())
def test_the_root_is_the_published_one(size, root):
    leaves = [bytes.fromhex(text) for text in LEAVES[:size]]

    assert tree_root(leaves).hex() == root


def recursive_root(leaves):
    """RFC 6962, 2.1, word for word."""
    if not leaves:
        return hashlib.sha256(b"").digest()
    if len(leaves) == 1:
        return leaf_hash(leaves[0])
    split = 1
    while split * 2 < len(leaves):
        split *= 2
    return node_hash(recursive_root(leaves[:split]), recursive_root(leaves[split:]))


@pytest.mark.parametrize("size", range(40))
def test_the_root_equals_the_definition(size):
    leaves = [str(number).encode() for number in range(size)]

    assert tree_root(leaves) == recursive_root(leaves)


def test_canonical_json_has_one_form():
    assert canonical_json({"b": [1, None], "a": "ü"}) == '{"a":"ü","b":[1,null]}'


@pytest.mark.parametrize("value", [0.5, {"a": [0.5]}, {1: 2}, b"x"])
def test_what_has_no_one_form_is_refused(value):
    with pytest.raises(TypeError):
        canonical_json(value)


@pytest.mark.slow
@pytest.mark.parametrize("size", [255, 256, 257, 511, 512, 65_535, 65_536, 65_793])
def test_the_tree_in_tiles_is_the_one_of_the_definition(size):
    leaves = [str(number).encode() for number in range(size)]
    tiles = []
    tree = GrowingTree(tiles.append)
    for leaf in leaves:
        tree.add(leaf)

    assert tree.root() == recursive_root(leaves)
    assert [(tile.level, tile.place) for tile in tiles if tile.level] == (
        [(1, 0)] if size >= 65_536 else []
    )
    assert [tile.place for tile in tiles if not tile.level] == list(range(size // 256))
    for tile in tiles:
        wide = 256 ** (tile.level + 1)
        own = leaves[tile.place * wide : (tile.place + 1) * wide]
        assert tile.root == recursive_root(own)
    if tiles:
        hashed = b"".join(leaf_hash(leaf) for leaf in leaves[:256])
        assert tiles[0].hashes == hashed
