"""Original bytes: kept under their hash, durably, and never half."""

import errno
import hashlib
import io
import os

import pytest

from inventory.evidence.store import calls, folder_home, homes
from inventory.evidence.store import originals as store


@pytest.fixture
def root(tmp_path, settings):
    settings.EVIDENCE_ROOT = tmp_path / "originals"
    return settings.EVIDENCE_ROOT


def keep(data=b"original bytes", limit=1_000):
    return store.store_original([data[:5], data[5:]], limit=limit)


def test_the_bytes_lie_under_their_sha256(root):
    stored = keep()

    assert stored.sha256 == hashlib.sha256(b"original bytes").hexdigest()
    assert store.path_of(stored.sha256).read_bytes() == b"original bytes"
    assert stored.size == 14


def test_the_same_bytes_twice_are_one_file(root):
    first, second = keep(), keep()

    assert first == second
    assert [p for p in root.rglob("*") if p.is_file()] == [store.path_of(first.sha256)]


def test_too_many_bytes_are_refused_and_nothing_stays(root):
    with pytest.raises(store.TooLargeError):
        keep(limit=10)

    assert [p for p in root.rglob("*") if p.is_file()] == []


def test_a_changed_original_is_noticed(root):
    stored = keep()
    path = store.path_of(stored.sha256)
    assert store.is_intact(stored.sha256)

    path.chmod(0o640)
    path.write_bytes(b"Original bytes")

    assert not store.is_intact(stored.sha256)


STEPS = ["make_folder", "open_new", "write", "sync", "link", "sync_folder"]


@pytest.mark.parametrize("step", STEPS)
def test_a_disk_that_refuses_at_any_step_keeps_nothing_half(root, monkeypatch, step):
    def refuse(*_args):
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    monkeypatch.setattr(calls, step, refuse)

    with pytest.raises(store.StoreUnavailableError, match="It was not saved"):
        keep()

    whole = hashlib.sha256(b"original bytes").hexdigest()
    left = [p for p in root.rglob("*") if p.is_file()]
    assert all(p.name == whole and p.read_bytes() == b"original bytes" for p in left)


def test_the_file_is_synced_before_it_gets_its_name_and_the_folder_after(
    root, monkeypatch
):
    order = []
    for step in ("sync", "link", "sync_folder"):
        real = getattr(calls, step)

        def told(*args, _real=real, _step=step):
            order.append(_step)
            return _real(*args)

        monkeypatch.setattr(calls, step, told)
    keep()

    assert order[-3:] == ["sync", "link", "sync_folder"] or order[-4:] == [
        "sync",
        "sync_folder",
        "link",
        "sync_folder",
    ]


def test_an_original_that_the_disk_cannot_read_is_not_intact(root):
    sha256 = store.store_original([b"whole"], limit=10).sha256
    assert store.is_intact(sha256)
    store.path_of(sha256).unlink()
    store.path_of(sha256).mkdir()  # reading it fails, as from a bad sector
    assert store.intact_bytes(sha256) is None
    assert not store.is_intact(sha256)


def test_a_nearly_full_disk_takes_no_photo(root, monkeypatch):
    monkeypatch.setattr(folder_home, "NEARLY_FULL", -1)

    with pytest.raises(store.StoreUnavailableError, match="nearly full"):
        keep()


def test_other_bytes_than_the_sender_names_are_not_kept(root):
    with pytest.raises(store.ChangedOnTheWayError, match="upload was incomplete"):
        store.store_original([b"original bytes"], limit=99, expected="0" * 64)

    assert [p for p in root.rglob("*") if p.is_file()] == []


def test_the_bytes_the_sender_names_are_kept(root):
    named = hashlib.sha256(b"original bytes").hexdigest()

    stored = store.store_original([b"original bytes"], limit=99, expected=named.upper())

    assert store.exists(stored.sha256)


class ShelfHome:
    """Keeps bytes in a dictionary: another home behind the same door."""

    shelf = {}

    def keep(self, chunks, *, limit, expected):
        data = b"".join(chunks)
        name = hashlib.sha256(data).hexdigest()
        self.shelf[name] = data
        return homes.Stored(name, len(data))

    def open(self, sha256):
        if sha256 not in self.shelf:
            raise FileNotFoundError(sha256)
        return io.BytesIO(self.shelf[sha256])

    def exists(self, sha256):
        return sha256 in self.shelf

    def moved_to(self):
        return ""


def test_the_settings_name_the_home_and_the_door_stays_the_same(root, settings):
    settings.EVIDENCE_HOME = f"{__name__}.ShelfHome"

    stored = keep()

    assert not root.exists()
    assert b"".join(store.read_original(stored.sha256)) == b"original bytes"
    assert store.is_intact(stored.sha256)
    assert not store.is_intact("0" * 64)
