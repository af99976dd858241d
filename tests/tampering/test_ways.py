"""Forty and more ways of tampering with database and files, and what finds each.

``pytest -s tests/tampering --whole`` prints the table.
"""

import shutil
from contextlib import contextmanager
from io import StringIO

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import transaction
from django.test import TestCase, override_settings

from inventory.evidence.seal.checkpoints import new_key, write_key
from inventory.evidence.seal.register import tree_state
from inventory.management.publishing import publish_into
from tests.sizes import some_of
from tests.tampering.scene import AT, EARLIER, make_house, verified
from tests.tampering.ways import BOOK, VERIFY, WAYS

pytestmark = [pytest.mark.database, pytest.mark.slow]

PUBLISHED = AT + 2 * EARLIER


def faults(*words):
    """Return what ``verify`` said before it failed; nothing where all is well."""
    said = StringIO()
    try:
        call_command("verify", *words, stdout=said)
    except CommandError:
        return said.getvalue()
    return ""


class TamperingTests(TestCase):
    @pytest.fixture(autouse=True)
    def _folder(self, tmp_path):
        self.folder = tmp_path

    def setUp(self):
        self.house = make_house()
        self.book = self.folder / "roots.txt"
        key = self.folder / "checkpoint.key"
        write_key(key, new_key("dock.example/house"))
        self.enterContext(override_settings(CHECKPOINT_KEY=str(key)))
        publish_into(self.book, tree_state(), PUBLISHED)
        self.note = self.folder / "roots.checkpoint"

    def test_an_honest_house_has_no_fault_in_either(self):
        assert verified().startswith("All well")
        for file in (self.book, self.note):
            assert verified("--against", str(file)).startswith("All well")

    def test_each_way_is_found(self):
        assert len(WAYS) >= 34
        table = []
        for way in some_of(WAYS, 12, "ways of tampering"):
            with self.subTest(way=way.name), self.undone():
                way.does(self.house)
                alone = faults()
                if way.found_by == VERIFY:
                    assert way.words in alone
                else:
                    assert alone == ""
                    assert way.words in faults("--against", str(self.book))
                table.append(f"{way.name:62} {way.found_by}")
        print("\n".join(["", *table]))

    def test_the_signed_checkpoint_finds_what_the_book_finds(self):
        for way in WAYS:
            if way.found_by == BOOK and way.words != "says it is older":
                with self.subTest(way=way.name), self.undone():
                    way.does(self.house)
                    assert way.words in faults("--against", str(self.note))

    def test_a_checkpoint_that_was_edited_too_is_refused(self):
        text = self.note.read_text()
        self.note.write_text(text.replace(f"\n{tree_state().size}\n", "\n3\n", 1))

        with pytest.raises(CommandError, match="did not sign"):
            verified("--against", str(self.note))

    @contextmanager
    def undone(self):
        """Roll back rows and tables, and lay every file back."""
        roots = [settings.EVIDENCE_ROOT, settings.RENDITION_ROOT]
        for number, root in enumerate(roots):
            shutil.copytree(root, self.folder / str(number), dirs_exist_ok=True)
        with transaction.atomic():
            yield
            transaction.set_rollback(True)
        for number, root in enumerate(roots):
            shutil.rmtree(root)
            shutil.copytree(self.folder / str(number), root)
