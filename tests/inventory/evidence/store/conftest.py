"""Each home, empty, behind the same door."""

from contextlib import contextmanager

import pytest

from tests import buckets
from tests.homes import BucketAtHand, FolderAtHand
from tests.stores import STORES


@contextmanager
def bucket_of(server, tmp_path, settings, monkeypatch):
    """Let a new bucket be the home."""
    for name, value in server.environment.items():
        monkeypatch.setenv(name, value)
    settings.EVIDENCE_ROOT = tmp_path / "originals"
    settings.EVIDENCE_HOME = buckets.make_bucket()
    server.asked.clear()
    yield BucketAtHand(server, settings.EVIDENCE_HOME)
    server.faults.clear()


@pytest.fixture
def in_bucket(server, tmp_path, settings, monkeypatch):
    """A bucket as the home; its faults end with the test."""
    with bucket_of(server, tmp_path, settings, monkeypatch) as found:
        yield found


@pytest.fixture
def moto_bucket(moto, tmp_path, settings, monkeypatch):
    """One of moto's, for what only some stores offer."""
    with bucket_of(moto, tmp_path, settings, monkeypatch) as found:
        yield found


@pytest.fixture
def swift_bucket(swift, tmp_path, settings, monkeypatch):
    """One of Swift's, for what it does in its own way."""
    with bucket_of(swift, tmp_path, settings, monkeypatch) as found:
        yield found


@pytest.fixture
def in_folder(tmp_path, settings):
    settings.EVIDENCE_ROOT = tmp_path / "originals"
    return FolderAtHand(tmp_path / "originals")


@pytest.fixture(params=["folder", *STORES])
def at_hand(request, tmp_path, settings, monkeypatch):
    """What lies in the home, seen and changed behind the program's back."""
    if request.param == "folder":
        yield request.getfixturevalue("in_folder")
        return
    store = request.getfixturevalue(request.param)
    with bucket_of(store, tmp_path, settings, monkeypatch) as found:
        yield found
