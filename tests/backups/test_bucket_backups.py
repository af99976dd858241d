"""A house whose originals lie in a bucket is backed up, and laid back into another."""

import pytest

from tests import buckets
from tests.backups.places import empty_place
from tests.backups.writers import KEEP_FIVE, KEEP_MORE
from tests.sites import copied_site

pytestmark = [pytest.mark.database, pytest.mark.processes]


@pytest.fixture
def house(template, server, tmp_path, monkeypatch):
    with copied_site(template, tmp_path / "site") as site:
        for name, value in server.environment.items():
            monkeypatch.setenv(name, value)
        site.env |= server.environment | {"EVIDENCE_HOME": buckets.make_bucket()}
        site.store = server
        yield site
    server.faults.clear()


def test_a_backup_from_one_bucket_is_laid_back_into_another(house, tmp_path):
    told, failed = house.python(KEEP_FIVE).communicate()
    assert failed == "", told
    folder = str(tmp_path / "copy")

    house.store.faults.append(
        buckets.Fault("GET", buckets.half_out, times=99, path="/evidence/")
    )
    stopped = house.manage("backup", folder, check=False)
    assert stopped.returncode == 1
    assert "did not answer" in stopped.stderr
    assert "missing" not in stopped.stderr
    house.store.faults.clear()
    assert "5 of them copied now" in house.manage("backup", folder).stdout
    house.python(KEEP_MORE).communicate()
    assert "2 of them copied now" in house.manage("backup", folder).stdout

    with empty_place(house, tmp_path / "new") as place:
        place.env |= {"EVIDENCE_HOME": house.env["EVIDENCE_HOME"]}
        taken = place.manage("restore", folder, check=False)
        assert "There are already originals in s3://" in taken.stderr
    with empty_place(house, tmp_path / "newer") as place:
        place.env |= {"EVIDENCE_HOME": buckets.make_bucket()}
        told = place.manage("restore", folder).stdout
        assert "All well" in told
        assert "7 originals match their hash" in told
        assert not (place.folder / "originals").exists()
