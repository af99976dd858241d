"""Kept tiles give the same roots and proofs as hashing every event, and in their stead."""

from unittest.mock import patch

import pytest
from django.core.management import call_command
from django.db import transaction
from django.test import TestCase

from inventory.evidence.seal import tiles
from inventory.evidence.seal.register import (
    TreeState,
    grown_from,
    hashed_anew,
    paths_of,
    tree_state,
)
from inventory.evidence.seal.tiles import (
    BrokenTreeError,
    KeptNodes,
    fill_middles,
    fill_tiles,
)
from inventory.models import Event, TreeTile
from inventory.rules.evidence import chain
from inventory.rules.evidence.chain import tree_root
from inventory.rules.evidence.proofs import is_consistent, is_included, root_of
from tests.tampering.scene import verified
from tests.verifying import behind_the_back, record

pytestmark = pytest.mark.database

SIZE = 520
"""Two full tiles of events, and eight events more."""


def leaves(size=SIZE):
    found = Event.objects.order_by("sequence").values_list("hash", flat=True)[:size]
    return [bytes.fromhex(one) for one in found]


def kept():
    rows = TreeTile.objects.values_list("level", "place", "root", "hashes", "middle")
    return {(level, place): tuple(map(bytes, rest)) for level, place, *rest in rows}


class Tiles(TestCase):
    @classmethod
    def setUpTestData(cls):
        record(SIZE)

    def test_the_act_that_fills_a_tile_keeps_it(self):
        assert list(kept()) == [(0, 0), (0, 1)]

    def test_an_act_that_fails_keeps_none(self):
        record(3 * 256 - SIZE - 1)
        with pytest.raises(ZeroDivisionError), transaction.atomic():
            record(1)
            assert len(kept()) == 3
            raise ZeroDivisionError
        assert len(kept()) == 2

    def test_roots_and_proofs_are_those_of_all_events(self):
        for size in (1, 255, 256, 257, 511, 512, 513, SIZE):
            root = tree_root(leaves(size))
            state = tree_state(size)
            assert state == TreeState(size, root.hex())
            paths = paths_of(state, places := [1, size // 2 + 1, size])
            assert set(paths) == set(places)
            for sequence, path in paths.items():
                assert is_included(
                    leaves()[sequence - 1],
                    place=sequence - 1,
                    size=size,
                    path=[bytes.fromhex(step) for step in path],
                    root=root,
                )
            assert is_consistent(
                [bytes.fromhex(step) for step in grown_from(size, SIZE)],
                earlier=size,
                earlier_root=root,
                size=SIZE,
                root=tree_root(leaves()),
            )
        anew, roots = hashed_anew([0, 256])
        assert anew == tree_state()
        assert roots[256] == tree_state(256).root
        assert tree_state(9_999) == tree_state()

    def test_what_no_tile_holds_is_hashed_from_the_events(self):
        state, paths = tree_state(), paths_of(tree_state(), [1, 300, SIZE])
        for gone in ({"place": 0}, {"place": 1}, {}):
            TreeTile.objects.filter(**gone).delete()
            assert tree_state() == state
            assert paths_of(state, [1, 300, SIZE]) == paths

    def test_proofs_ask_no_more_for_more_exhibits(self):
        state = tree_state()
        with self.assertNumQueries(4):
            paths_of(state, [1, 300])
        with self.assertNumQueries(4):
            paths_of(state, range(1, 513))

    def test_a_proof_hashes_what_it_needs_of_a_tile_and_no_more(self):
        state, proofs = tree_state(), [1, 77, 256]
        whole = paths_of(state, proofs)
        counted = []
        for middle in (True, False):
            if not middle:
                TreeTile.objects.update(middle=None)
            with patch.object(chain, "pairs_of", wraps=chain.pairs_of) as hashed:
                assert paths_of(state, proofs) == whole
            counted.append(sum(len(one.args[0]) // 2 for one in hashed.mock_calls))
        assert counted[0] < 80
        assert counted[1] > 250

    def test_the_middle_of_earlier_tiles_is_filled_and_goes_on_after_a_kill(self):
        before = kept()
        TreeTile.objects.update(middle=None)
        rows = chain.rows_over([b"%032d" % number for number in range(256)])
        killed = patch.object(tiles, "rows_over", side_effect=[rows, ZeroDivisionError])
        with killed, pytest.raises(ZeroDivisionError):
            fill_middles(TreeTile, step=1)
        assert TreeTile.objects.filter(middle=None).count() == 1
        fill_middles(TreeTile)
        assert TreeTile.objects.filter(middle=None).count() == 0
        assert kept()[0, 1] == before[0, 1]

    def test_missing_tiles_are_made_again(self):
        before = kept()
        TreeTile.objects.all().delete()
        with pytest.raises(ZeroDivisionError):
            fill_tiles(tiles=KilledAtTheSecond, step=1)
        assert len(kept()) == 1
        fill_tiles()
        assert kept() == before
        fill_tiles()
        assert kept() == before

    def test_a_tile_without_all_its_events_is_not_kept(self):
        TreeTile.objects.all().delete()
        behind_the_back("DELETE FROM inventory_eventsubject WHERE event_id = 300")
        behind_the_back("DELETE FROM inventory_event WHERE sequence = 300")
        fill_tiles()
        assert list(kept()) == [(0, 0)]
        with pytest.raises(BrokenTreeError, match="Events are missing after event 256"):
            paths_of(tree_state(), [300])

    def test_no_proof_is_given_that_does_not_hold(self):
        for column in ("hashes", "root", "middle"):
            flip(column)
            with pytest.raises(BrokenTreeError, match="differ from its events"):
                paths_of(tree_state(), [2, 20])
            flip(column)
        assert paths_of(tree_state(), [2, 20])

    @pytest.mark.slow
    def test_verify_names_a_tile_that_differs_and_migrate_makes_it_again(self):
        assert verified().startswith("All well")
        for column in ("hashes", "root", "middle"):
            flip(column)
            assert "Tile 0 of level 0 of the tree differs from" in faulty()
            TreeTile.objects.get(level=0, place=0).delete()
            assert "Tile 0 of level 0 of the tree is missing" in faulty()
            call_command("migrate", verbosity=0)
            assert verified().startswith("All well")

    def test_verify_names_a_tile_without_events(self):
        TreeTile.objects.create(level=1, place=0, root=b"1", hashes=b"1")
        assert "Tile 0 of level 1 of the tree has no events" in faulty()


class KilledAtTheSecond:
    """The table of tiles to somebody who is killed when he has kept one."""

    def __new__(cls, **values):
        if values["place"]:
            raise ZeroDivisionError
        return TreeTile(**values)

    objects = TreeTile.objects
    _meta = TreeTile._meta


def flip(column):
    row = TreeTile.objects.get(level=0, place=0)
    data = bytearray(getattr(row, column))
    data[7] ^= 1
    setattr(row, column, bytes(data))
    row.save()


def faulty():
    from tests.tampering.test_ways import faults

    return faults()


class Levels(TestCase):
    """Three levels of tiles of four, where a house has tiles of 256."""

    def test_every_root_and_tile_is_that_of_the_definition(self):
        with pytest.MonkeyPatch.context() as patched:
            for module in (tiles, chain):
                patched.setattr(module, "TILE", 4)
                patched.setattr(module, "MIDDLE", 1)
            patched.setattr(tiles, "TILE_HEIGHT", 2)
            for size in range(1, 70):
                record(1)
                assert tree_state() == TreeState(size, tree_root(leaves(size)).hex())
            levels = [level for level, _ in kept()]
            assert [levels.count(level) for level in range(4)] == [17, 4, 1, 0]
            whole = kept()
            for gone in ((0, 3), (1, 1), (2, 0)):
                TreeTile.objects.filter(level=gone[0], place=gone[1]).delete()
                nodes = KeptNodes(69)
                assert root_of(69, nodes) == tree_root(leaves(69))
            fill_tiles()
            assert kept() == whole
