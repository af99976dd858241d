"""Backups while the house is written to, each laid back and verified."""

import os
import re
import time

import pytest

from tests.backups.places import empty_place
from tests.backups.writers import BACK_UP, WRITE_ON
from tests.sizes import cases

pytestmark = [pytest.mark.database, pytest.mark.processes]

BACKUPS = int(os.environ.get("BACKUPS") or cases(2, 10))


@pytest.mark.slow
def test_every_backup_under_load_is_one_whole_moment(site, tmp_path):
    told, stop = tmp_path / "told", tmp_path / "stop"
    told.write_text("")
    writer = site.python(WRITE_ON, str(told), str(stop))
    while not told.read_text() and writer.poll() is None:
        time.sleep(0.05)
    (tmp_path / "copies").mkdir()
    backer = site.python(BACK_UP, str(told), str(tmp_path / "copies"), str(BACKUPS))
    said, failed = backer.communicate()
    stop.touch()
    written, trouble = writer.communicate()

    assert (backer.returncode, failed) == (0, "")
    assert (writer.returncode, trouble) == (0, "")
    acknowledged = [int(line) for line in said.split()]
    assert len(acknowledged) == BACKUPS
    assert int(written) > acknowledged[-1] >= 2 * BACKUPS
    for number, before in enumerate(acknowledged):
        with empty_place(site, tmp_path / f"place-{number}") as place:
            found = place.manage("restore", str(tmp_path / "copies" / str(number)))
            assert "All well" in found.stdout
            kept = re.search(r"(\d+) originals match their hash", found.stdout)
            assert int(kept.group(1)) >= before
