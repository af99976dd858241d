"""Two web machines, each with a data folder of its own, on one bucket and one database."""

import uuid

import pytest

from tests import buckets, sites
from tests.prepared import environment

pytestmark = [pytest.mark.database, pytest.mark.processes]

KEEP = """
import sys
from tests.crash.writers import keep
for number in range(int(sys.argv[2])):
    keep(int(sys.argv[1]), number)
"""
READ = """
from inventory.evidence.pictures.renditions import ensure_rendition
from inventory.evidence.store import originals as store
from inventory.models import Original
for row in Original.objects.all():
    assert store.is_intact(row.pk), row.pk
    if row.media_type == "image/jpeg":
        assert ensure_rendition(row.pk, 320)
        print("shown")
"""
SWEEP = """
from datetime import UTC, datetime, timedelta
from inventory.evidence.store import originals as store
from inventory.evidence.store.sweep import sweep
orphan = store.store_original([b"nobody was told"], limit=99)
swept = sweep(at=datetime.now(UTC) + timedelta(days=2))
assert swept.orphans == (orphan.sha256,), swept
"""
DRAW = """
from inventory.actions.core.sent_documents import store_document
print(store_document(b"%PDF-1.4 a letter").sha256)
"""
FETCH = """
import sys
from inventory.evidence.store.originals import intact_bytes
assert intact_bytes(sys.argv[1]) == b"%PDF-1.4 a letter"
"""


@pytest.fixture
def machines(site, server, tmp_path, monkeypatch):
    for name, value in server.environment.items():
        monkeypatch.setenv(name, value)
    shared = server.environment | {
        "EVIDENCE_HOME": buckets.make_bucket(),
        "SECRET_KEY": uuid.uuid4().hex * 2,
        "DATABASE_URL": site.env.get("DATABASE_URL")
        or f"sqlite:///{site.folder / 'db.sqlite3'}",
    }
    pair = []
    for name in ("left", "right"):
        (tmp_path / name).mkdir()
        env = environment(tmp_path / name) | shared
        pair.append(sites.Site(tmp_path / name, env))
    yield pair
    assert not any((one.folder / "originals").exists() for one in pair)


def ended(*running):
    for process in running:
        told, trouble = process.communicate(timeout=240)
        assert process.returncode == 0, trouble
    return told


@pytest.mark.parametrize("server", ["moto"], indirect=True)
def test_what_one_keeps_the_other_reads_shows_and_verifies(machines):
    left, right = machines
    ended(left.python(KEEP, "1", "4"), right.python(KEEP, "2", "4"))

    for one in machines:
        assert ended(one.python(READ)).split() == ["shown", "shown"]
        assert "8 originals match their hash" in one.manage("verify").stdout
    letter = ended(left.python(DRAW)).strip()
    ended(right.python(FETCH, letter))


def test_the_same_photo_sent_to_both_is_kept_once_and_no_sweep_takes_it(machines):
    left, right = machines
    ended(left.python(KEEP, "1", "3"), right.python(KEEP, "1", "3"))
    ended(right.python(SWEEP))

    assert "3 originals match their hash" in left.manage("verify").stdout
