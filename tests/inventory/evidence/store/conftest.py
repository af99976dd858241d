"""Each home, empty, behind the same door."""

import pytest

from tests import buckets
from tests.homes import BucketAtHand, FolderAtHand


@pytest.fixture(scope="session")
def server():
    with buckets.served() as store:
        yield store


@pytest.fixture
def in_bucket(server, tmp_path, settings, monkeypatch):
    """A bucket as the home; its faults end with the test."""
    for name, value in server.environment.items():
        monkeypatch.setenv(name, value)
    settings.EVIDENCE_ROOT = tmp_path / "originals"
    settings.EVIDENCE_HOME = buckets.make_bucket()
    server.asked.clear()
    yield BucketAtHand(server, settings.EVIDENCE_HOME)
    server.faults.clear()


@pytest.fixture
def in_folder(tmp_path, settings):
    settings.EVIDENCE_ROOT = tmp_path / "originals"
    return FolderAtHand(tmp_path / "originals")


@pytest.fixture(params=["folder", "bucket"])
def at_hand(request):
    """What lies in the home, seen and changed behind the program's back."""
    return request.getfixturevalue(f"in_{request.param}")
