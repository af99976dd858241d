"""Originals move between folder and bucket: all of them, verified, and no row is left."""

import io

import pytest
from django.core.management import CommandError, call_command

from inventory.evidence.store import homes, moving
from inventory.evidence.store import originals as store
from tests import buckets
from tests.crash.uploads import photo
from tests.homes import BucketAtHand, FolderAtHand
from tests.inventory.evidence.store.test_homes import send
from tests.verifying import report_now

pytestmark = [pytest.mark.database, pytest.mark.django_db]

COUNT = 5


@pytest.fixture
def two_homes(server, tmp_path, settings, monkeypatch):
    """A folder in use with originals, and an empty bucket."""
    for name, value in server.environment.items():
        monkeypatch.setenv(name, value)
    settings.EVIDENCE_ROOT = tmp_path / "originals"
    other = buckets.make_bucket()
    kept = [send(photo(f"moving {n}")).original_id for n in range(COUNT)]
    kept.append(store.store_original([b"held, with no row yet"], limit=99).sha256)
    yield FolderAtHand(tmp_path / "originals"), BucketAtHand(server, other), kept
    server.faults.clear()


def move(to, *words):
    out = io.StringIO()
    call_command("move_originals", str(to), *words, stdout=out)
    return out.getvalue()


def test_there_and_back_and_each_time_all_is_there(two_homes, settings):
    _, there, kept = two_homes
    said = move(there.address)

    assert f"{COUNT + 1} originals are at {there.address}, each read back" in said
    assert f"EVIDENCE_HOME={there.address}" in said
    assert homes.home().moved_to() == str(there.address)
    settings.EVIDENCE_HOME = str(there.address)
    assert sorted(homes.home().names()) == sorted(kept)
    assert report_now().first == []
    late = send(photo("only in the bucket")).original_id

    said = move("folder")
    assert f"{COUNT + 2} originals are at folder" in said
    assert "1 of them were copied now" in said
    settings.EVIDENCE_HOME = "folder"
    assert store.is_intact(late)
    assert homes.home().moved_to() == ""
    assert report_now().first == []
    send(photo("and on it goes"))


def test_a_copy_leaves_the_home_in_use(two_homes):
    _, there, kept = two_homes
    move(there.address, "--copy-only")

    assert homes.home().moved_to() == ""
    assert "0 of them were copied now" in move(there.address, "--copy-only")
    assert sorted(homes.home_at(str(there.address)).names()) == sorted(kept)


def test_a_photo_kept_while_the_last_are_copied_is_there_or_is_refused(
    two_homes, monkeypatch
):
    _, there, _ = two_homes
    late = []

    def copied(source, target, seen, told, _real=moving._copy_new):
        found = _real(source, target, seen, told)
        if not late:
            late.append(send(photo("late")).original_id)
        return found

    monkeypatch.setattr(moving, "_copy_new", copied)
    move(there.address)

    assert homes.home_at(str(there.address)).exists(late[0])


def test_broken_off_at_any_copy_it_goes_on_and_switches_only_at_the_end(
    two_homes, settings, monkeypatch
):
    _, there, kept = two_homes
    real = moving._copy
    for stop in range(COUNT + 1):
        done = []

        def stopped(*words, _done=done, _stop=stop):
            if len(_done) == _stop:
                raise KeyboardInterrupt
            _done.append(words)
            return real(*words)

        monkeypatch.setattr(moving, "_copy", stopped)
        with pytest.raises(KeyboardInterrupt):
            move(there.address)
        assert homes.home().moved_to() == ""
        assert all(map(store.is_intact, kept))
    monkeypatch.setattr(moving, "_copy", real)
    said = move(there.address)
    assert "1 of them were copied now" in said
    assert homes.home().moved_to() == str(there.address)


def test_a_missing_or_changed_original_stops_it_before_the_switch(two_homes):
    folder, there, kept = two_homes
    data = folder.files()[f"{kept[0][:2]}/{kept[0]}"]
    folder.put(kept[0], b"changed")
    with pytest.raises(CommandError, match=f"{kept[0]} has changed on this site"):
        move(there.address)
    folder.take(kept[0])
    with pytest.raises(CommandError, match=f"{kept[0]} is missing on this site"):
        move(there.address)
    assert homes.home().moved_to() == ""
    folder.root.joinpath(kept[0][:2], kept[0]).write_bytes(data)
    move(there.address)


def test_what_a_listing_does_not_show_yet_is_asked_for_by_name(two_homes, monkeypatch):
    _, there, kept = two_homes
    shown = iter(kept[1:])
    monkeypatch.setattr(type(homes.home()), "names", lambda _home, **_words: shown)

    move(there.address)
    assert all(map(homes.home_at(str(there.address)).exists, kept))


def test_what_arrived_wrong_is_sent_again(two_homes):
    _, there, kept = two_homes
    move(there.address, "--copy-only")
    there.put(kept[1], b"rotten")

    assert "1 of them were copied now" in move(there.address)
    assert homes.home_at(str(there.address)).exists(kept[1])
    assert there.aside(kept[1]) == b"rotten"


def test_a_store_that_fails_stops_it_in_a_sentence(two_homes, server):
    _, there, _ = two_homes
    server.faults.append(buckets.Fault("PUT", buckets.half_in, times=99))

    # A store that looks itself refuses; one that does not is found out.
    with pytest.raises(
        CommandError, match=r"did not keep the file|refused: \w+\. Nothing"
    ):
        move(there.address)
    assert homes.home().moved_to() == ""


def test_it_says_where_they_are_already_or_went(two_homes, settings):
    _, there, _ = two_homes
    with pytest.raises(CommandError, match="at folder already"):
        move("folder")
    with pytest.raises(CommandError, match="is no address of a bucket"):
        move("s3://")
    move(there.address)
    with pytest.raises(CommandError, match=f"EVIDENCE_HOME={there.address}"):
        move("s3://elsewhere/x")
    assert move(there.address)  # again is harmless
