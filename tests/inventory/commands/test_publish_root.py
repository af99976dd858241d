"""A root that lies outside shows what a chain alone cannot."""

import socket
import tempfile
from io import StringIO
from pathlib import Path
from smtplib import SMTPRecipientsRefused
from unittest.mock import patch

import pytest
from django.core import mail
from django.core.mail.backends.locmem import EmailBackend
from django.core.management import CommandError, call_command
from django.test import TestCase, override_settings

from inventory.actions.core.events import record_event
from inventory.evidence.seal.register import tree_state
from tests.making import ARRIVED
from tests.verifying import behind_the_back, record

pytestmark = pytest.mark.database


class PublishRootTests(TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.book = Path(folder.name) / "roots.txt"
        record(3)

    def publish(self, *words):
        out = StringIO()
        with override_settings(ROOT_BOOK=str(self.book)):
            call_command("publish_root", *words, stdout=out)
        return out.getvalue()

    def test_it_adds_a_line_each_time(self):
        first = tree_state()
        self.publish()
        record(2)
        self.publish()

        lines = [line.split()[1:] for line in self.book.read_text().splitlines()]
        assert lines == [["3", first.root], ["5", tree_state().root]]

    def test_a_tree_that_grew_fits_every_root(self):
        self.publish()
        record(9)
        self.publish()
        record(1)

        said = self.publish("--against", str(self.book))

        assert said == "The tree begins with all 2 published roots.\n"

    def test_a_tail_that_was_cut_off_is_told_and_nothing_is_published(self):
        self.publish()
        behind_the_back("DELETE FROM inventory_event WHERE sequence = 3")
        before = self.book.read_text()

        with pytest.raises(CommandError, match="1 of 1 published roots"):
            self.publish()
        with pytest.raises(CommandError, match="1 of 1 published roots"):
            self.publish("--against", str(self.book))
        assert self.book.read_text() == before

    def test_a_chain_made_anew_is_told(self):
        self.publish()
        behind_the_back("DELETE FROM inventory_event")
        record(2)
        record_event(
            kind="password.changed",
            at=ARRIVED,
            actor=None,
            location=None,
            subjects=[],
            data={"n": "other"},
        )

        with pytest.raises(CommandError, match="do not match"):
            self.publish()

    def test_a_line_that_is_no_root_is_told(self):
        self.book.write_text("# our roots\n\nsomething else\n")

        with pytest.raises(CommandError, match="Line 3 of the book"):
            self.publish()

    def test_without_a_place_outside_it_says_so(self):
        with (
            override_settings(ROOT_BOOK="", ROOT_MAIL_TO=["a@b.example"]),
            pytest.raises(CommandError, match="No outside place is set"),
        ):
            call_command("publish_root")

    @override_settings(
        ROOT_BOOK="", ROOT_MAIL_TO=["keeper@law.example"], EMAIL_HOST="mail.example"
    )
    def test_it_is_mailed_where_that_is_set(self):
        call_command("publish_root", stdout=StringIO())

        (sent,) = mail.outbox
        assert sent.to == ["keeper@law.example"]
        assert sent.body.split()[1:3] == ["3", tree_state().root]

    def test_a_mail_server_that_is_down_is_told_and_nothing_is_called_sent(self):
        with socket.socket() as closed:
            closed.bind(("127.0.0.1", 0))
            port = closed.getsockname()[1]
        down = override_settings(
            ROOT_MAIL_TO=["keeper@law.example"],
            EMAIL_BACKEND="django.core.mail.backends.smtp.EmailBackend",
            EMAIL_HOST="127.0.0.1",
            EMAIL_PORT=port,
            ROOT_BOOK=str(self.book),
        )
        said = StringIO()
        with down, pytest.raises(CommandError, match="could not be mailed") as caught:
            call_command("publish_root", stdout=said)
        assert "It is saved in the book" in str(caught.value)
        assert "Run this again" in str(caught.value)
        assert said.getvalue() == ""
        assert tree_state().root in self.book.read_text()

    def test_an_address_that_is_refused_is_told(self):
        refused = SMTPRecipientsRefused({"keeper@law.example": (550, b"no such box")})
        with (
            override_settings(
                ROOT_BOOK="", ROOT_MAIL_TO=["keeper@law.example"], EMAIL_HOST="x"
            ),
            patch.object(EmailBackend, "send_messages", side_effect=refused),
            pytest.raises(CommandError, match="no such box"),
        ):
            call_command("publish_root", stdout=StringIO())
