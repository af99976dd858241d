"""The drill: a house is backed up, restored into an empty place, and is the same house.

With ``DRILL=1``, as ``make test-restore`` sets it, it is the last version's house with
records of every kind, brought forward; without, a small one. On PostgreSQL where
DATABASE_URL names a server.
"""

import json
import os
import re
import shutil
import time
from contextlib import contextmanager

import pytest

from tests.backups.places import empty_place
from tests.backups.test_locked_backups import new_key
from tests.moving import places
from tests.sites import copied_site

pytestmark = [pytest.mark.database, pytest.mark.processes]

EVERY_ROW = """
import json
from django.db import connection
from tests.upgrade.rows import columns_now, rows_of
tables = columns_now(connection)
del tables["inventory_upkeeprun"]  # every command notes its run there
print(json.dumps({name: rows_of(connection, name, tables[name]) for name in tables}))
"""


@contextmanager
def peopled(folder):
    """Give the last version's house, brought forward, on the tests' own database."""
    site = places.lay_house(folder)
    if not os.environ.get("DATABASE_URL"):
        yield site
        return
    with places.other_database(folder) as url:
        site.manage("move_house", url, "--rows-only")
        yield places.at(site, url)


@pytest.fixture
def house(request, tmp_path):
    if os.environ.get("DRILL"):
        with peopled(tmp_path / "site") as site:
            yield site
        return
    with copied_site(request.getfixturevalue("full_house"), tmp_path / "site") as site:
        yield site


def every_row(site):
    told, failed = site.python(EVERY_ROW).communicate()
    assert failed == ""
    return json.loads(told)


def root_of(said):
    return re.search(r"All well: .* root (\w{64})", said).group(1)


def test_what_is_restored_is_the_house_row_by_row_and_its_root(house, tmp_path):
    folder, words = str(tmp_path / "copy"), []
    if shutil.which("age"):
        key = tmp_path / "key.txt"
        house.env |= {"BACKUP_KEY": new_key(key)}
        words = ["--key", str(key)]
    before, root = every_row(house), root_of(house.manage("verify").stdout)
    began = time.monotonic()

    house.manage("backup", folder)
    backed_up = time.monotonic()
    with empty_place(house, tmp_path / "new") as place:
        restored = place.manage("restore", folder, *words).stdout
        ended = time.monotonic()
        assert root_of(restored) == root
        book = str(tmp_path / "copy" / "roots.txt")
        assert root_of(place.manage("verify", "--against", book).stdout) == root
        assert every_row(place) == before
    count = sum(map(len, before.values()))
    assert count > (5000 if os.environ.get("DRILL") else 20)
    print(
        f"\n{count} rows: backed up in {backed_up - began:.1f} s, restored and verified "
        f"in {ended - backed_up:.1f} s, root {root}"
    )
