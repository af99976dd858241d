"""A house moved to another database and back is the same house, cell by cell."""

import fcntl
import os
import re
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.backups.writers import MAKE_HOUSE
from tests.moving import places

pytestmark = [pytest.mark.database, pytest.mark.processes]

FEW = ("mark 30", "make_triggers 1", "end_marks 1")
MORE = (
    *("begin_marks 1", "_take_keys_down 1", "mark 1", "mark 30", "mark 60"),
    *("tighten 1", "fill_sums 1", "make_triggers 1", "_verify 1", "end_marks 1"),
)
KILLS = MORE if os.environ.get("KILLS") else FEW
"""In which call, by its number within a run, each run is killed before it is made."""

KILLED_AT = """
import os, signal, sys
from django.core.management import call_command
from config import moving, moving_keys, moving_rows

moving_rows.BATCH = 300
name, last = sys.argv[2].split()
taken = 0

def stop(*words, **more):
    global taken
    taken += 1
    if taken == int(last):
        os.kill(os.getpid(), signal.SIGKILL)
    return act(*words, **more)

# Within a transaction, or between two. The marks of keys are of another kind.
(where,) = [one for one in (moving_rows, moving_keys, moving)
            if name in vars(one) and (name, one) != ("mark", moving_keys)
            and (name, one) != ("tighten", moving_keys)
            and (name, one) != ("begin_marks", moving)]
act = getattr(where, name)
setattr(where, name, stop)
call_command("move_house", sys.argv[1], "--rows-only")
"""

WRITTEN_BETWEEN = (
    MAKE_HOUSE.replace("RIV", "ZED").replace("rosa", "zelda") + "\nmake_house()\n"
)
SERVED = "from config.checks import refuse_to_serve_unsound as ask\nask()\n"
WRITING = """
import sys, time
from django.db import connection, transaction
with transaction.atomic(), connection.cursor() as cursor:
    cursor.execute("UPDATE inventory_location SET name = name")
    print("now", flush=True)
    time.sleep(60)
"""
IMPATIENT = """
import sys
from django.core.management import call_command
from django.db import connection
connection.settings_dict["OPTIONS"]["timeout"] = 0.2
call_command("move_house", sys.argv[1])
"""


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    return places.lay_house(tmp_path_factory.mktemp("moving") / "house")


@pytest.fixture
def source(house, tmp_path):
    shutil.copytree(house.folder, tmp_path / "house")
    return places.at(type(house)(tmp_path / "house"), "")


@pytest.fixture
def other(tmp_path):
    with places.other_database(tmp_path) as url:
        yield url


def asked_to_serve(site):
    """Return the exit code of what a server asks at its start, and what it says."""
    process = site.python(SERVED)
    said = process.communicate()[1]
    return process.returncode, said


def refused(site, url):
    done = site.manage("move_house", url, check=False)
    assert done.returncode == 1, done.stdout
    assert "Nothing was copied" in done.stderr or "run this again" in done.stderr
    return done.stderr


def roots(said):
    return re.findall(r"(?:Here|There|All well): .*root (\w{64})", said)


def test_there_and_back_every_cell_and_the_root_are_the_same(source, other, tmp_path):
    here = source.folder / "db.sqlite3"
    before, given = places.cells(here), places.numbers(here)
    back = tmp_path / "back.sqlite3"
    address = places.empty_file(back)

    there = source.manage("move_house", other, "--rows-only").stdout
    again = places.at(source, other).manage("move_house", address).stdout

    assert len(set(roots(there) + roots(again))) == 1
    assert len(roots(there)) == len(roots(again)) == 3
    assert sum(map(len, before.values())) > 5000
    assert places.cells(back) == before
    assert places.numbers(back) == given
    for former in (source, places.at(source, other)):
        assert "UnsoundError: This house was moved to" in asked_to_serve(former)[1]
    home = places.at(source, address)
    assert asked_to_serve(home)[0] == 0
    told, failed = home.python(WRITTEN_BETWEEN).communicate()
    assert failed == "", told  # the next numbers are free
    assert "All well" in home.manage("verify", "--rows-only").stdout
    assert "This house was moved to" in refused(source, address)


def test_killed_at_any_step_it_goes_on_and_nobody_works_with_a_half(
    source, other, tmp_path
):
    there = places.at(source, other)
    for call in KILLS:
        killed = source.python(KILLED_AT, other, call)
        told = killed.communicate()
        assert killed.returncode == -9, told
        if call == "mark 30":
            sentence = "A move of a house into this database is not finished"
            assert sentence in asked_to_serve(there)[1]
            for command in ("work", "migrate"):
                done = there.manage(command, check=False)
                assert (done.returncode, sentence in done.stderr) == (1, True)
            told, failed = source.python(WRITTEN_BETWEEN).communicate()
            assert failed == "", told

    said = source.manage("move_house", other).stdout

    assert len(set(roots(said))) == 1
    assert asked_to_serve(there)[0] == 0
    moved = tmp_path / "other.sqlite3"
    if not moved.exists():
        there.manage("move_house", places.empty_file(moved), "--rows-only")
    assert places.cells(moved) == places.cells(source.folder / "db.sqlite3")


def test_a_database_with_anything_in_it_is_never_moved_into(source, tmp_path):
    taken = tmp_path / "taken.sqlite3"
    shutil.copyfile(source.folder / "db.sqlite3", taken)
    assert "There is a house in" in refused(source, f"sqlite:///{taken}")
    assert places.cells(taken) == places.cells(source.folder / "db.sqlite3")

    letters = tmp_path / "letters.sqlite3"
    with closing(sqlite3.connect(letters)) as file:
        file.execute("CREATE TABLE letters (words text)")
    assert "tables of another program" in refused(source, f"sqlite:///{letters}")

    own = f"sqlite:///{source.folder / 'db.sqlite3'}"
    assert "there already" in refused(source, own)
    assert "must begin with postgres" in refused(source, "mysql://root@host/name")
    assert "does not answer" in refused(source, "sqlite:////no/such/folder/file")


def test_it_is_refused_while_the_site_runs_or_somebody_writes(source, other, tmp_path):
    lock = source.python(
        "from inventory.evidence.pictures.decoder import _lock_path\nprint(_lock_path())"
    ).communicate()[0]
    with Path(lock.strip()).open("w") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        assert "is running" in refused(source, other)
    writer = source.python(WRITING)
    assert writer.stdout.readline() == "now\n"
    done = source.python(IMPATIENT, other)
    assert "Somebody is writing to this database" in done.communicate()[1]
    writer.kill()
    writer.communicate()
    said = source.manage("move_house", other, "--rows-only", "--copy-only").stdout
    assert "All well" in said
    assert asked_to_serve(source)[0] == 0
