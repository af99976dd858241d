"""Cut the power while two writers keep photos, on an ext4 of their own.

A program run in a site's environment and in a mount namespace of its own. The disk is
a file mounted by loop. A power cut: the writers are stopped, the file is copied as it
lies (what ext4 still holds in memory is not in it), the copy is mounted, which
replays its journal, and compared with all that was acknowledged until then.
"""

import json
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from contextlib import contextmanager
from dataclasses import asdict
from pathlib import Path

from tests.crash.writers import Crew, Tally, count, preload

SIZE = 768 * 1024 * 1024


@contextmanager
def mounted(image, place):
    """Mount an image by loop; unmount it at the end."""
    place.mkdir(exist_ok=True)
    _run("mount", "-o", "loop", image, place)
    try:
        yield place
    finally:
        _run("umount", place)


def cut(crew, image, scratch, tally):
    """Cut the power once and add what was found to the tally."""
    crew.signal_all(signal.SIGSTOP)
    for pid in crew.pids.values():
        os.waitpid(pid, os.WUNTRACED)
    crew.hear()
    copy = scratch / "copy"
    _run("cp", "--sparse=always", image, copy)
    crew.signal_all(signal.SIGCONT)
    with mounted(copy, scratch / "after") as after:
        found, _ = count(after, crew.acknowledged)
    copy.unlink()
    tally.stops += 1
    tally.lost += found.lost
    tally.torn += found.torn
    tally.notes += found.notes[:5]
    tally.acknowledged, tally.rows = found.acknowledged, found.rows
    tally.not_yet_acknowledged += found.not_yet_acknowledged
    tally.orphans += found.orphans
    tally.temporary += found.temporary


def cut_at_random(cuts, seed, scratch, folder):
    """Cut the power ``cuts`` times while two writers work; return the tally."""
    draw, crew, tally = random.Random(seed), Crew(), Tally()
    try:
        crew.start()
        for _ in range(cuts):
            time.sleep(draw.uniform(0.3, 1.2))
            cut(crew, scratch / "disk", scratch, tally)
    finally:
        crew.end()
    last, _ = count(folder, crew.acknowledged)
    assert (last.lost, last.torn) == (0, 0), "without a cut nothing may be missing"
    return tally


def forget_to_sync():
    """Take the syncs out of the store, to see that the cuts find it."""
    from inventory.evidence.store import calls

    calls.sync = lambda descriptor: None
    calls.sync_folder = lambda path: None


def main(cuts, seed, how=""):
    """Cut and print the tally as JSON. ``how`` "forgetful" leaves out the syncs."""
    scratch = Path(
        tempfile.mkdtemp(prefix="power-", dir=Path(os.environ["DOCK_DATA_DIR"]).parent)
    )
    try:
        with (scratch / "disk").open("wb") as image:
            image.truncate(SIZE)
        _run("mkfs.ext4", "-q", scratch / "disk")
        with mounted(scratch / "disk", scratch / "now") as folder:
            shutil.copytree(os.environ["DOCK_DATA_DIR"], folder, dirs_exist_ok=True)
            os.environ["DOCK_DATA_DIR"] = str(folder)
            _run("sync", "--file-system", folder)
            preload()
            if how == "forgetful":
                forget_to_sync()
            tally = cut_at_random(int(cuts), int(seed), scratch, folder)
        sys.stdout.write(json.dumps(asdict(tally)) + "\n")
    finally:
        shutil.rmtree(scratch, ignore_errors=True)


def _run(*words):
    subprocess.run(list(map(str, words)), check=True, capture_output=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
