"""Photos' rows, the originals themselves, and a house from before images."""

import json
from contextlib import closing

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, transaction
from django.test import TestCase

from inventory.actions.core.events import record_event
from inventory.actions.core.sealing import seal_standing_rows
from inventory.evidence.seal.image_index import ImageIndex
from inventory.evidence.store import originals as store
from inventory.models import Event
from inventory.rules.evidence import chain
from inventory.triggers import drop_triggers, make_triggers
from tests import making
from tests.making import ARRIVED
from tests.people import cast
from tests.verifying import behind_the_back, report_now

pytestmark = pytest.mark.database


class TestEvidence(TestCase):
    def test_every_column_of_an_evidence_row_is_held_under_one_hash(self):
        who = cast()
        bill = making.make_shipment()
        photo = making.make_evidence(shipment=bill, caption="Deck")
        record_event(
            kind="evidence.kept",
            at=ARRIVED,
            actor=who.rosa,
            location=who.riverside,
            subjects=[bill, photo],
            data={"what": "Deck"},
        )
        key = photo.pk.hex if connection.vendor == "sqlite" else str(photo.pk)
        number = Event.objects.latest("sequence").sequence
        assert report_now(with_originals=False).first == []
        for name, value in {
            "caption": "Hood",
            "remarks": '["x"]',
            "width": 7,
            "shipment_id": making.make_shipment().pk,
        }.items():
            with transaction.atomic():
                behind_the_back(
                    f"UPDATE inventory_evidence SET {name} = %s WHERE id = %s",
                    value,
                    key,
                )
                said = report_now(with_originals=False).first
                assert (
                    f"evidence {photo.pk}: one of its columns is not as it was sealed "
                    f"by event {number}."
                ) in said
                transaction.set_rollback(True)


class TestBeforeImages(TestCase):
    """A house whose events hold no images yet, and has not been migrated."""

    @classmethod
    def setUpTestData(cls):
        cls.who = cast()

    def setUp(self):
        event = record_event(
            kind="password.changed",
            at=ARRIVED,
            actor=None,
            location=None,
            subjects=[],
            data={},
        )
        record = json.loads(event.body)
        del record["rows"]
        body = chain.canonical_json(record)
        behind_the_back(
            "UPDATE inventory_event SET body = %s, hash = %s",
            body,
            chain.link_hash(record),
        )

    def test_its_rows_are_counted_and_not_compared(self):
        report = report_now()

        assert report.first == []
        assert report.old_rows == report.rows > 10

    def test_once_sealed_as_they_stand_they_are_held(self):
        sealed = seal_standing_rows(at=ARRIVED)

        report = report_now()

        assert report.first == []
        assert report.old_rows == 0
        assert sealed == report.rows > 10
        assert seal_standing_rows(at=ARRIVED) == 0
        behind_the_back("UPDATE inventory_location SET name = 'x' WHERE code = 'HIL'")
        (fault,) = report_now().first
        assert "name is " in fault


def test_a_key_that_is_no_text_any_more_is_named_and_not_stumbled_over():
    with closing(ImageIndex()) as index:
        index.put(7, [["original", "\udce3", {"size": 1}], ["original", "12", None]])
        index.put(8, [["original", "012", {"size": 2}]])
        taken = index.take("original", ["12", "012", "\udce4", "12"])

        assert [one and one.event for one in taken] == [7, 8, None, None]
        assert list(index.left_over("original")) == [("\\xed\\xb3\\xa3", 7)]


class TestOriginals(TestCase):
    def keep(self, data=b"\xff\xd8 the bytes"):
        stored = store.store_original([data], limit=100)
        making.make_evidence(sha256=stored.sha256)
        behind_the_back(
            "UPDATE inventory_original SET size = %s WHERE sha256 = %s",
            stored.size,
            stored.sha256,
        )
        path = store.path_of(stored.sha256)
        self.addCleanup(path.unlink, missing_ok=True)
        return stored.sha256, path

    def said(self):
        return [one for one in report_now().first if one.startswith("Original")]

    def test_a_whole_one_is_well(self):
        self.keep()

        assert self.said() == []

    def test_a_changed_one_is_named(self):
        sha256, path = self.keep()
        path.chmod(0o640)
        path.write_bytes(b"\xff\xd8 The bytes")

        assert self.said() == [f"Original {sha256} no longer has its hash."]

    def test_a_missing_one_is_named(self):
        sha256, path = self.keep()
        path.unlink()

        (fault,) = self.said()

        assert fault.startswith(f"Original {sha256} is missing or cannot be read")

    def test_another_size_than_recorded_is_named(self):
        sha256, _ = self.keep()
        behind_the_back("UPDATE inventory_original SET size = 5")

        assert self.said() == [
            f"Original {sha256} has 12 bytes and is recorded with 5."
        ]


class TestCommand(TestCase):
    def test_it_names_the_first_thing_and_counts_the_rest(self):
        cast()
        with pytest.raises(CommandError, match="13 faults found"):
            call_command("verify", "--rows-only")

    def test_a_missing_guard_is_named(self):
        drop_triggers(connection)
        self.addCleanup(make_triggers, connection)

        with pytest.raises(CommandError, match="faults found"):
            call_command("verify")
