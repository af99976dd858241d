"""What crashes leave is swept; what has a row, or is young, is never touched."""

import os
import subprocess
import sys
import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import call_command
from django.db import transaction
from django.test import SimpleTestCase, TestCase

from config import sweeping
from inventory.evidence.store import folder_home, sweep, turns
from inventory.evidence.store import originals as store
from inventory.evidence.store.own_folders import own_folder
from inventory.models import Original

pytestmark = pytest.mark.database

NOW = datetime(2026, 3, 12, 9, 0, tzinfo=UTC)


@pytest.fixture(autouse=True)
def roots(tmp_path, settings):
    settings.EVIDENCE_ROOT = tmp_path / "originals"
    settings.RENDITION_ROOT = tmp_path / "renditions"
    settings.PACKET_ROOT = tmp_path / "packets"
    settings.FILE_UPLOAD_TEMP_DIR = tmp_path / "spool"


def age(path, **since):
    moment = (NOW - timedelta(**since)).timestamp()
    os.utime(path, (moment, moment))
    return path


def orphan(data=b"nobody was told", **since):
    stored = store.store_original([data], limit=1000)
    age(store.path_of(stored.sha256), **since)
    return stored.sha256


def file_at(root, *names, **since):
    path = Path(root).joinpath(*names)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(b"half")
    return age(path, **since)


def quarantine():
    return Path(settings.EVIDENCE_ROOT) / folder_home.QUARANTINE


class TestOrphans(TestCase):
    def test_an_old_one_is_moved_and_not_deleted(self):
        sha256 = orphan(hours=25)

        with self.assertLogs("inventory.evidence.store.sweep", "WARNING"):
            swept = sweep.sweep(at=NOW)

        assert swept.orphans == (sha256,)
        assert not store.exists(sha256)
        assert (quarantine() / sha256).read_bytes() == b"nobody was told"

    def test_a_young_one_waits(self):
        sha256 = orphan(hours=23)

        assert sweep.sweep(at=NOW).orphans == ()
        assert store.is_intact(sha256)

    def test_an_original_with_a_row_is_never_moved(self):
        sha256 = orphan(days=900)
        Original.objects.create(
            sha256=sha256, size=15, media_type="image/jpeg", stored_at=NOW
        )

        assert sweep.sweep(at=NOW).orphans == ()
        assert store.is_intact(sha256)

    def test_a_row_written_since_the_first_look_is_seen_by_the_second(self):
        sha256 = orphan(hours=30)

        def written_meanwhile(before, _real=sweep._nameless):
            for name in list(_real(before)):
                Original.objects.create(
                    sha256=name, size=15, media_type="image/jpeg", stored_at=NOW
                )
                yield name

        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(sweep, "_nameless", written_meanwhile)
            assert sweep.sweep(at=NOW).orphans == ()
        assert store.is_intact(sha256)

    def test_the_same_bytes_twice_in_quarantine_are_one_file(self):
        for _ in range(2):
            orphan(hours=25)
            with self.assertLogs("inventory.evidence.store.sweep", "WARNING"):
                sweep.sweep(at=NOW)

        assert len(list(quarantine().iterdir())) == 1

    def test_the_command_says_what_it_did(self):
        file_at(settings.EVIDENCE_ROOT, folder_home.INCOMING, "ab12", days=1)
        sha256 = orphan(days=900)

        with self.assertLogs("inventory.evidence.store.sweep", "WARNING"):
            said = call_command_text("sweep_evidence")

        assert sha256 in said
        assert "1 temporary files removed, 1 originals" in said


def call_command_text(name):
    from io import StringIO

    out = StringIO()
    call_command(name, stdout=out)
    return out.getvalue()


def _left_by_a_killed_process(root):
    before = set(root.iterdir())
    code = f"""
import os
from django.conf import settings
from inventory.evidence.store.own_folders import own_folder
settings.configure(FILE_UPLOAD_TEMP_DIR={str(root)!r})
with own_folder() as mine:
    (mine / "a copy").write_text("of the database")
    os.kill(os.getpid(), 9)
"""
    done = subprocess.run([sys.executable, "-c", code], check=False)
    assert done.returncode == -9
    (left,) = set(root.iterdir()) - before
    return left


class TestDrafts(TestCase):
    def test_those_older_than_an_hour_go_and_finished_ones_stay(self):
        old, young = {"minutes": 61}, {"minutes": 59}
        gone = [
            file_at(settings.EVIDENCE_ROOT, folder_home.INCOMING, "old", **old),
            file_at(settings.RENDITION_ROOT, "ab", "abc-320.0f0f0f0f0f0f", **old),
            file_at(settings.RENDITION_ROOT, "ab", "abc-page-1.0f0f0f0f0f0f", **old),
            file_at(settings.PACKET_ROOT, "abc.0f0f0f0f0f0f", **old),
            file_at(settings.FILE_UPLOAD_TEMP_DIR, "tmp1.upload.jpg", **old),
        ]
        left = [
            file_at(settings.EVIDENCE_ROOT, folder_home.INCOMING, "young", **young),
            file_at(settings.RENDITION_ROOT, "ab", "abc-1600.0f0f0f0f0f0f", **young),
            file_at(settings.RENDITION_ROOT, "ab", "abc-320.jpg", **old),
            file_at(settings.RENDITION_ROOT, "ab", "abc-page-1.pdf", **old),
            file_at(settings.PACKET_ROOT, "abc.pdf", **old),
            file_at(settings.FILE_UPLOAD_TEMP_DIR, "tmp2.upload.jpg", **young),
        ]

        assert sweep.sweep(at=NOW).drafts == len(gone)
        assert not any(path.exists() for path in gone)
        assert all(path.exists() for path in left)

    def test_a_folder_of_a_process_goes_once_it_is_killed_and_not_before(self):
        root = Path(settings.FILE_UPLOAD_TEMP_DIR)
        root.mkdir()
        with own_folder() as mine:
            file_at(mine, "in use", hours=5)
            age(mine, hours=5)
            killed = age(_left_by_a_killed_process(root), minutes=61)
            young = age(_left_by_a_killed_process(root), minutes=59)

            assert sweep.sweep(at=NOW).drafts == 1
            assert not killed.exists()
            assert (young / "a copy").exists()
            assert (mine / "in use").exists()
        assert list(root.iterdir()) == [young]

    def test_nothing_there_yet_is_nothing_to_do(self):
        assert sweep.sweep(at=NOW) == sweep.Swept(0, ())


class TestSweepingOn(SimpleTestCase):
    def test_it_sweeps_at_once_goes_on_after_a_fault_and_ends_when_told(self):
        rounds, ended = [], threading.Event()

        def failing(*, at):
            rounds.append(at)
            if len(rounds) == 3:
                ended.set()
            raise OSError("the disk is away")

        with (
            pytest.MonkeyPatch.context() as patch,
            self.assertLogs("config.sweeping", "ERROR"),
        ):
            patch.setattr(sweeping, "sweep", failing)
            patch.setattr(sweeping.connections, "close_all", lambda: None)
            thread = sweeping.begin(every=0.01, ended=ended)
            thread.join(10)

        assert not thread.is_alive()
        assert len(rounds) == 3

    def test_of_two_at_once_the_second_passes(self):
        inside = []

        def nested(*, at):
            inside.append(sweeping.sweep_alone(at=at) if not inside else None)

        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(sweeping, "sweep", nested)
            patch.setattr(sweeping, "forget_ended", lambda *, at: 0)
            assert sweeping.sweep_alone(at=NOW)

        assert inside == [False]


class TestTurns(SimpleTestCase):
    def test_a_turn_needs_a_transaction(self):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(
                turns, "connection", type("C", (), {"in_atomic_block": False})
            )
            with pytest.raises(transaction.TransactionManagementError):
                turns.take_turn()
