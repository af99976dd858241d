"""Numbers for a monitor, and whom to tell about a weakness."""

import re
from datetime import datetime, timedelta

import pytest
from django.test import TestCase, override_settings
from django.utils import timezone

from inventory.actions.core.upkeep import note_run
from inventory.actions.mail.beats import beat

pytestmark = pytest.mark.database

TOKEN = "k7-quay-lantern-11"
NAME = re.compile(r"[a-zA-Z_:][a-zA-Z0-9_:]*")
"""Data model of the exposition format, "Metric names and labels"; from memory."""


def numbers_of(text):
    """Read the exposition format: each value has its TYPE line before it."""
    lines = text.removesuffix("\n").split("\n")
    told = {}
    for kind, line in zip(lines[::2], lines[1::2], strict=True):
        name, value = line.split(" ")
        assert kind == f"# TYPE {name} gauge"
        assert NAME.fullmatch(name)
        told[name] = float(value)
    return told


@override_settings(METRICS_TOKEN=TOKEN)
class MetricsTests(TestCase):
    def ask(self, token=TOKEN):
        return self.client.get("/metrics", headers={"authorization": f"Bearer {token}"})

    def test_a_monitor_with_the_token_reads_numbers(self):
        at = timezone.now()
        beat(lane="mail", at=at)
        note_run(task="backup", at=at, went_well=True, words="7 events.")

        told = numbers_of(self.ask().content.decode())

        assert told["tarefold_backup_good_timestamp_seconds"] == int(at.timestamp())
        assert told["tarefold_work_seen_timestamp_seconds"] == int(at.timestamp())
        assert told["tarefold_mails_waiting"] == 0
        assert told["tarefold_free_bytes"] > 0
        assert "tarefold_verify_good_timestamp_seconds" not in told

    def test_a_wrong_token_or_none_finds_no_page(self):
        assert self.ask("k7-quay-lantern-12").status_code == 404
        assert self.ask("").status_code == 404
        assert self.client.get("/metrics").status_code == 404

    @override_settings(METRICS_TOKEN="")
    def test_without_a_token_set_there_is_no_page(self):
        assert self.ask("").status_code == 404


class SecurityTxtTests(TestCase):
    """RFC 9116, section 2.5: Contact and Expires are required."""

    @override_settings(SECURITY_CONTACT="mailto:security@dock.example")
    def test_it_names_a_contact_and_a_day_within_a_year(self):
        answer = self.client.get("/.well-known/security.txt")

        assert answer["Content-Type"] == "text/plain; charset=utf-8"
        fields = dict(
            line.split(": ", 1) for line in answer.content.decode().splitlines()
        )
        assert fields["Contact"] == "mailto:security@dock.example"
        left = datetime.fromisoformat(fields["Expires"]) - timezone.now()
        assert timedelta(days=1) < left < timedelta(days=365)

    def test_a_house_that_named_nobody_has_none(self):
        assert self.client.get("/.well-known/security.txt").status_code == 404
