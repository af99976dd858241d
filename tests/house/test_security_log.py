"""The security log: one line each, who, from where, what, outcome; nothing typed."""

import json
import logging
import stat

import pytest
from django.test import TestCase
from django.urls import reverse

from inventory.actions.people.people import give_first_password
from inventory.security_log import JsonLines, PrivateLines
from tests.making import ARRIVED, make_delivery
from tests.people import cast

pytestmark = pytest.mark.database


class LineTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.who.rosa.set_password("kraft-paper-stencil-9")
        cls.who.rosa.save()
        cls.truck = make_delivery(location=cls.who.riverside)

    def lines(self, ask):
        with self.assertLogs("security", "INFO") as seen:
            ask()
        return [json.loads(JsonLines().format(record)) for record in seen.records]

    def get(self, address):
        return self.client.get(address, REMOTE_ADDR="192.0.2.7")

    def test_a_refusal_is_one_line_that_names_the_person_and_no_traceback(self):
        self.client.force_login(self.who.rosa)
        with self.assertNoLogs("django.request", "WARNING"):
            (line,) = self.lines(lambda: self.get(reverse("people")))
        assert (line["who"], line["from"]) == ("rosa", "192.0.2.7")
        assert line["what"].startswith("GET ")
        assert line["outcome"] == "refused: not allowed"

    def test_signing_in_and_out_are_lines_without_what_was_typed(self):
        def sign_in(name, password):
            self.client.post(reverse("login"), {"username": name, "password": password})

        lines = self.lines(
            lambda: (
                sign_in("rosa", "my old secret phrase"),
                sign_in("my own secret phrase", ""),
                sign_in("my own secret phrase", "x"),
                sign_in("rosa", "kraft-paper-stencil-9"),
                self.client.post(reverse("logout")),
            )
        )
        told = [(one["who"], one["what"], one["outcome"]) for one in lines]
        assert told == [
            ("rosa", "sign in", "refused"),
            ("an unknown name", "sign in", "refused"),
            ("rosa", "sign in", "done"),
            ("rosa", "sign out", "done"),
        ]
        assert "secret" not in json.dumps(lines)

    def test_what_an_act_records_is_told_once_it_is_saved(self):
        def start():
            with self.captureOnCommitCallbacks(execute=True):
                give_first_password(
                    person=self.who.ada,
                    at=ARRIVED,
                    who=self.who.tomas,
                    version=self.who.tomas.version,
                    password="kraft-and-riddle-board-7",
                )

        (line,) = self.lines(start)
        assert (line["who"], line["what"]) == ("ada", "person.started")
        assert line["event"] > 0
        assert "Tomas" not in json.dumps(line)

    def test_a_list_taken_away_is_told(self):
        self.client.force_login(self.who.abel)
        (line,) = self.lines(lambda: self.get(reverse("crates") + "?as=csv"))
        assert line["outcome"] == "exported"


def test_the_file_is_its_owner_s_alone_and_no_line_is_forged(tmp_path):
    file = tmp_path / "security.log"
    handler = PrivateLines(file)
    handler.setFormatter(JsonLines())
    record = logging.makeLogRecord({"facts": {"who": 'a"\n{"who": "ada"}'}})
    handler.emit(record)
    handler.close()
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert len(file.read_text().splitlines()) == 1
