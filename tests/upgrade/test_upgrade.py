"""A house of an earlier state is brought forward, and all of it still holds.

``demo_before_row_images.sql.gz`` is the demo story as the migrations of 0001 (ground
floor) and 0005 (upper floor) kept it, before events held images of rows, and before
crates had a life and money.
"""

import gzip
import sqlite3
from pathlib import Path

import pytest
from django.conf import settings

from tests.prepared import environment
from tests.sites import Site

pytestmark = [
    pytest.mark.processes,
    pytest.mark.skipif(
        settings.DATABASES["default"]["ENGINE"] != "config.sqlite",
        reason="The earlier state is kept as a SQLite file.",
    ),
]

EARLIER = Path(__file__).with_name("demo_before_row_images.sql.gz")


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    folder = tmp_path_factory.mktemp("upgraded")
    with sqlite3.connect(folder / "db.sqlite3") as file:
        file.executescript(gzip.decompress(EARLIER.read_bytes()).decode())
    file.close()
    found = Site(folder, environment(folder))
    found.manage("migrate", "--verbosity", "0")
    return found


def read(site, sql):
    with sqlite3.connect(site.folder / "db.sqlite3") as file:
        found = file.execute(sql).fetchall()
    file.close()
    return found


def test_the_chain_went_on_and_every_row_is_sealed(site):
    before = gzip.decompress(EARLIER.read_bytes()).decode()
    events = before.count('INSERT INTO "inventory_event" VALUES')

    done = site.manage("verify", "--rows-only")

    assert "All well" in done.stdout
    assert "older than sealing" not in done.stdout
    kinds = read(site, "SELECT kind FROM inventory_event ORDER BY sequence")
    assert len(kinds) > events > 200
    assert {kind for (kind,) in kinds[events:]} <= {"rows.sealed", "claim.carried-over"}


def test_the_guards_stand_on_the_old_tables_and_the_new(site):
    with pytest.raises(sqlite3.IntegrityError, match="append-only"):
        read(site, "UPDATE inventory_event SET kind = 'x'")
    with pytest.raises(sqlite3.IntegrityError, match="append-only"):
        read(site, "DELETE FROM claims_packet")
    assert site.manage("check", check=False).returncode == 0


def test_migrating_again_seals_nothing_twice(site):
    count = "SELECT count(*) FROM inventory_event"
    before = read(site, count)

    site.manage("migrate", "--verbosity", "0")

    assert read(site, count) == before


def test_a_row_changed_after_it_came_over_is_named(site):
    changed = (
        "UPDATE inventory_delivery SET driver_name = driver_name || '.' WHERE id = 1"
    )
    read(site, changed)

    done = site.manage("verify", "--rows-only", check=False)

    assert done.returncode == 1
    assert done.stdout.startswith("delivery 1: driver_name is ")
    read(site, "UPDATE inventory_delivery SET driver_name = rtrim(driver_name, '.')")


def test_packets_frozen_before_are_read_as_they_were(site):
    code = (
        "from claims.models import Packet\n"
        "from claims.rules.packet.handed_over import handed_over\n"
        "for packet in Packet.objects.all():\n"
        "    content = handed_over(packet.content)\n"
        "    print(content.version, content.manifest)\n"
    )
    told, failed = site.python(code).communicate()

    assert failed == ""
    assert told.splitlines() == ["1 None"] * len(told.splitlines())
    assert told
