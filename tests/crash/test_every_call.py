"""Stop, or be refused, at every single step of one upload, then cut the power.

The steps are the store's system calls and the database's writing statements. After
each one every combination of unsynced effects is dropped, and what is left must be
one of: nothing, a temporary file, an orphan, or a row with its whole file. Then the
phone sends again, as it would.
"""

import errno
import random

import pytest

from inventory.evidence.store import calls
from inventory.evidence.store import originals as store
from inventory.evidence.store.originals import Stored
from inventory.models import Evidence
from tests.crash.bench import SCENES
from tests.crash.effects import Fault
from tests.crash.uploads import ROOT, LossError
from tests.sizes import SEED, cases

pytestmark = [pytest.mark.database, pytest.mark.django_db]

WAYS = ("whole", "arriving")
"""A small file is stored whole; a large one is written while its form is read."""

REFUSALS = (errno.EIO, errno.ENOSPC, errno.EFBIG)


def faults_for(steps):
    """Yield each way in which each of an upload's steps can go wrong."""
    for step, name in enumerate(steps):
        yield Fault(step, "stop")
        yield Fault(step, "stop after")
        if name == "write":
            yield Fault(step, "stop within")
        for number in REFUSALS if not name.startswith("sql") else REFUSALS[:1]:
            yield Fault(step, number)
        if not name.startswith("sql"):
            yield Fault(step, errno.EIO, and_did_happen=True)
            yield Fault(step, errno.ENOSPC, all_later_ones=True)


def some_faults_for(steps):
    """Return them all, or in the small form a few drawn by chance, always the same."""
    faults = list(faults_for(steps))
    return random.Random(SEED).sample(faults, cases(4, len(faults)))


def way_of(bench, way):
    return {"whole": None, "arriving": bench.sender.upload_arriving}[way]


def steps_of(bench, scene, way):
    sent, disk = bench.prepared(scene)
    assert bench.send(sent, disk, way_of(bench, way)) == "acknowledged"
    assert bench.look(sent, disk) == {"acknowledged"}
    return disk.steps


@pytest.mark.slow
@pytest.mark.parametrize("scene", SCENES)
@pytest.mark.parametrize("way", WAYS)
def test_every_stop_and_refusal_leaves_an_allowed_state(bench, way, scene):
    seen = set()
    for fault in faults_for(steps_of(bench, scene, way)):
        sent, disk = bench.prepared(scene, fault)
        answer = bench.send(sent, disk, way_of(bench, way))
        words = bench.look(sent, disk)
        seen |= words
        if answer == "acknowledged":
            assert words == {"acknowledged"}, fault
        if answer.startswith("refused"):
            assert "acknowledged" not in words, fault
    # The walk has met every kind of end, so it went through the whole upload.
    ends = {"orphan", "acknowledged"}
    if scene != "same bytes twice":
        ends |= {"nothing", "temporary only"}
    if way == "arriving":
        ends.add("row and file")  # its draft goes after the row, and may be the last
    assert seen == ends


@pytest.mark.slow
@pytest.mark.parametrize("scene", SCENES)
@pytest.mark.parametrize("way", WAYS)
def test_the_phone_sends_again_after_a_kill_and_it_is_kept(bench, way, scene):
    """The second program finds what the first left, synced or not."""
    for fault in some_faults_for(steps_of(bench, scene, way)):
        sent, disk = bench.prepared(scene, fault)
        bench.send(sent, disk, way_of(bench, way))
        disk.begin()
        assert bench.send(sent, disk, way_of(bench, way)) == "acknowledged", fault
        assert bench.look(sent, disk) == {"acknowledged"}, fault
        assert Evidence.objects.filter(client_id=sent.number).count() == 1


@pytest.mark.slow
@pytest.mark.parametrize("scene", SCENES)
@pytest.mark.parametrize("way", WAYS)
def test_the_phone_sends_again_after_a_power_cut_and_it_is_kept(bench, way, scene):
    for fault in some_faults_for(steps_of(bench, scene, way)):
        sent, disk = bench.prepared(scene, fault)
        bench.send(sent, disk, way_of(bench, way))
        disk = disk.after_a_power_cut()
        assert bench.send(sent, disk, way_of(bench, way)) == "acknowledged", fault
        assert bench.look(sent, disk) == {"acknowledged"}, fault


def test_a_write_that_takes_half_is_gone_on_with(bench):
    sent, disk = bench.prepared("new folder")
    whole = disk.write
    disk.write = lambda descriptor, data: whole(descriptor, data[:40_000])

    assert bench.send(sent, disk) == "acknowledged"
    assert disk.steps.count("write") > 2
    assert bench.look(sent, disk) == {"acknowledged"}


# -- that the harness can fail: orders of work that lose what they acknowledged ------


@pytest.mark.parametrize("forgotten", ["sync", "sync_folder"])
@pytest.mark.parametrize("way", WAYS)
def test_an_upload_that_forgets_to_sync_is_found_out(bench, way, forgotten):
    sent, disk = bench.prepared("new folder")
    disk.forgets = frozenset({forgotten})

    with pytest.raises(LossError):
        bench.send(sent, disk, way_of(bench, way))


def test_an_upload_that_writes_its_row_first_is_found_out(bench, monkeypatch):
    sent, disk = bench.prepared("new folder", Fault(0, "stop"))

    def row_first(one):
        stored = Stored(one.sha256, len(one.data))
        with monkeypatch.context() as patch:
            patch.setattr(store, "store_original", lambda *_, **__: stored)
            patch.setattr(store, "may_be_named", lambda _: True)
            bench.sender.upload(one)
        bench.sender.upload(one)

    with pytest.raises(LossError, match="before its file is safe"):
        bench.send(sent, disk, row_first)


def test_an_upload_that_links_before_it_syncs_is_found_out(bench):
    sent, disk = bench.prepared("folder is there", Fault(3, "stop"))
    top = disk.top

    def link_first(one):
        descriptor = calls.open_new(top / ROOT / ".incoming" / "one")
        calls.write(descriptor, one.data)
        calls.link(top / ROOT / ".incoming" / "one", top / one.path)
        calls.sync(descriptor)

    assert bench.send(sent, disk, link_first) == "stopped"
    with pytest.raises(LossError, match="torn"):
        bench.look(sent, disk)


def test_a_sync_that_failed_is_believed_the_second_time_and_found_out(bench):
    sent, disk = bench.prepared("folder is there", Fault(2, errno.EIO))
    top = disk.top

    def try_again(one):
        descriptor = calls.open_new(top / ROOT / ".incoming" / "one")
        calls.write(descriptor, one.data)
        try:
            calls.sync(descriptor)
        except OSError:
            calls.sync(descriptor)

    with pytest.raises(AssertionError, match="tried again"):
        bench.send(sent, disk, try_again)
