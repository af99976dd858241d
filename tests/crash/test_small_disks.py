"""Full and read-only disks: told in words, reading goes on, nothing half is kept."""

import pytest

from tests.crash.machine import needs_mounts, run_program
from tests.crash.table import put
from tests.crash.writers import Tally

pytestmark = [pytest.mark.crash, pytest.mark.database, pytest.mark.processes]


def played(site, scene):
    needs_mounts()
    result = run_program(site, "tests.crash.small", scene, alone=True)
    tally, told = Tally(**result["tally"]), result["told"]
    put(f"disk: {scene}", tally, ends=told)
    assert (tally.lost, tally.torn) == (0, 0), tally.notes
    return told


def test_a_full_disk_under_the_originals_is_told(site):
    told = played(site, "file side")

    assert set(told) == {"kept", "BadUploadError 507", "again: kept"}
    assert told["kept"] > 5
    assert told["BadUploadError 507"] > 5


def test_a_full_disk_under_the_database_is_told_and_pages_are_read(site):
    told = played(site, "database side")

    assert set(told) == {"kept", "OperationalError", "page 200", "again: kept"}
    assert told["OperationalError"] == 20


def test_a_disk_that_may_only_be_read_is_told_and_pages_are_read(site):
    told = played(site, "read only")

    assert told["page 200"] == 1
    assert told["again: kept"] == 1
    photos = {word for word in told if word.startswith("photo")}
    assert photos <= {"photo 503 told", "photo 507 told"}
    assert told["form 503 told"] == 1
    assert told["kept"] == 2


def test_a_full_spool_is_told_before_the_view(site):
    told = played(site, "spool")

    assert told == {"photo 503 told": 1, "page 200": 1, "kept": 1}
