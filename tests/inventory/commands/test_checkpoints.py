"""A checkpoint that the house signed shows what was done to the chain after it."""

import stat
import tempfile
from io import StringIO
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import TestCase, override_settings

from inventory.evidence.seal.register import tree_state
from tests.verifying import behind_the_back, record

pytestmark = pytest.mark.database


class CheckpointTests(TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.folder = Path(folder.name)
        self.book = self.folder / "roots.txt"
        self.note = self.folder / "roots.checkpoint"
        self.key = self.folder / "checkpoint.key"
        made = self.call("checkpoint_key", str(self.key), "dock.example/house")
        self.public = made.splitlines()[-1]
        self.enterContext(
            override_settings(ROOT_BOOK=str(self.book), CHECKPOINT_KEY=str(self.key))
        )
        record(3)

    def call(self, *words):
        out = StringIO()
        call_command(*words, stdout=out)
        return out.getvalue()

    def verify(self, *words):
        return self.call("verify", "--rows-only", *words)

    def test_the_key_is_its_owner_s_alone_and_is_never_replaced(self):
        assert stat.S_IMODE(self.key.stat().st_mode) == 0o600
        before = self.key.read_text()

        with pytest.raises(CommandError, match="is there already"):
            self.call("checkpoint_key", str(self.key), "dock.example/house")
        assert self.key.read_text() == before

    def test_a_key_among_the_data_is_refused(self):
        among = settings.DATA_DIR / "checkpoint.key"

        with pytest.raises(CommandError, match="That is the data folder"):
            self.call("checkpoint_key", str(among), "dock.example/house")
        with (
            override_settings(CHECKPOINT_KEY=str(among)),
            pytest.raises(CommandError, match="lies in the data folder"),
        ):
            self.call("publish_root")

    def test_a_name_with_a_blank_makes_no_key(self):
        with pytest.raises(CommandError, match="no blanks"):
            self.call("checkpoint_key", str(self.folder / "other"), "our house")
        assert not (self.folder / "other").exists()

    def test_it_is_signed_beside_the_book(self):
        self.call("publish_root")

        origin, size, *_ = self.note.read_text().splitlines()
        assert (origin, size) == ("dock.example/house", "3")
        assert self.verify("--against", str(self.note)).startswith("All well: 3 ev")

    def test_the_public_key_alone_is_enough_to_check(self):
        self.call("publish_root")
        record(4)

        with override_settings(CHECKPOINT_KEY=""):
            said = self.verify("--against", str(self.note), "--key", self.public)
            assert said.startswith("All well: 7 events")
            with pytest.raises(CommandError, match="Name its public key"):
                self.verify("--against", str(self.note))

    def test_a_checkpoint_that_another_signed_is_refused(self):
        self.call("publish_root")
        made = self.call("checkpoint_key", str(self.folder / "k"), "dock.example/house")
        other = made.splitlines()[-1]

        with pytest.raises(CommandError, match="did not sign"):
            self.verify("--against", str(self.note), "--key", other)

    def test_a_newest_event_cut_off_after_it_is_told(self):
        self.call("publish_root")
        behind_the_back("DELETE FROM inventory_event WHERE sequence = 3")
        assert self.verify().startswith("All well: 2 events")

        out = StringIO()
        with pytest.raises(CommandError, match="1 faults found"):
            call_command(
                "verify", "--rows-only", "--against", str(self.note), stdout=out
            )
        assert "When the checkpoint was signed there were 3 events" in out.getvalue()

    def test_an_empty_house_can_be_signed_and_grow(self):
        behind_the_back("DELETE FROM inventory_event")
        self.call("publish_root")
        record(2)

        assert self.verify("--against", str(self.note)).startswith("All well: 2")

    @pytest.mark.skipif(
        connection.vendor == "postgresql", reason="needs a transaction of its own"
    )
    def test_a_backup_publishes_beside_its_files_without_being_asked(self):
        with override_settings(ROOT_BOOK="", ROOT_MAIL_TO=[]):
            self.call("backup", str(self.folder / "backup"))

        book = (self.folder / "backup" / "roots.txt").read_text()
        assert book.split()[1:] == ["3", tree_state().root]
        note = (self.folder / "backup" / "roots.checkpoint").read_text()
        assert note.startswith("dock.example/house\n3\n")
