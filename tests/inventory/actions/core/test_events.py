"""The chain of events: written in one place, refused to every editor."""

import pytest
from django.db import DatabaseError, connection, transaction
from django.test import TestCase

from inventory.actions.core.events import Part, record_event, record_events
from inventory.evidence.seal.register import tree_state
from inventory.models import Event, EventSubject, TreeTile
from inventory.models.sealed import take_written
from inventory.rules.core.event_kinds import UnknownEventKindError
from inventory.rules.evidence import chain
from inventory.rules.evidence.chain import TILE
from inventory.triggers import (
    APPEND_ONLY,
    drop_triggers,
    make_triggers,
    missing_triggers,
)
from tests import making
from tests.making import ARRIVED
from tests.people import cast
from tests.verifying import chain_faults_now

pytestmark = pytest.mark.database


def record(who, **over):
    values = {
        "kind": "password.changed",
        "at": ARRIVED,
        "actor": who.rosa,
        "location": who.riverside,
        "subjects": [who.rosa],
        "data": {"name": "Rosa"},
    }
    return record_event(**{**values, **over})


class TestRecording(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()

    def test_each_event_carries_the_hash_of_the_one_before(self):
        first, second = record(self.who), record(self.who)

        assert first.previous_hash == chain.GENESIS
        assert second.previous_hash == first.hash
        assert second.sequence == first.sequence + 1

    def test_a_kind_without_a_sentence_is_refused(self):
        with pytest.raises(UnknownEventKindError):
            record(self.who, kind="person.teleported")

    def test_a_float_cannot_be_sealed(self):
        with pytest.raises(TypeError):
            record(self.who, data={"amount": 0.1})

    def test_several_events_at_once_are_those_of_one_after_the_other(self):
        rows = [making.make_supplier(), making.make_carrier(), making.make_supplier()]
        take_written()  # what the test itself wrote is told by nobody

        def bodies(record_all):
            with transaction.atomic():
                record_all()
                made = list(Event.objects.values_list("body", flat=True))
                about = EventSubject.objects.values_list("event", "noun", "key")
                made += list(about.order_by("pk"))
                transaction.set_rollback(True)
            return made

        def alone():
            for row in rows:
                row.save()
                record(self.who, subjects=[row, self.who.rosa], data={"name": str(row)})

        def together():
            for row in rows:
                row.save()
            self.record_together(rows)

        assert len(bodies(alone)) == 3 * len(rows)
        assert bodies(together) == bodies(alone)

    def record_together(self, rows):
        return record_events(
            at=ARRIVED,
            actor=self.who.rosa,
            parts=[
                Part(
                    kind="password.changed",
                    location=self.who.riverside,
                    subjects=[row, self.who.rosa],
                    data={"name": str(row)},
                    rows=[row],
                )
                for row in rows
            ],
        )

    def test_a_row_that_none_of_several_events_names_is_in_the_first(self):
        rows = [making.make_supplier(), making.make_supplier()]
        before = making.make_carrier()
        take_written()
        for row in (before, *rows):
            row.save()

        first, second = self.record_together(rows)

        assert f'["carrier","{before.pk}",' in first.body
        assert f'["supplier","{rows[0].pk}",' in first.body
        assert f'["supplier","{rows[1].pk}",' in second.body
        assert second.body.count('["supplier",') == 2  # as subject and as image

    def test_several_events_fill_the_tile_that_one_of_them_ends(self):
        take_written()
        rows = [self.who.rosa] * (TILE + 3)

        made = self.record_together(rows)

        assert [event.sequence for event in made] == list(range(1, len(rows) + 1))
        assert TreeTile.objects.get().place == 0
        assert chain_faults_now() == []

    def test_the_chain_verifies(self):
        record(self.who)
        record(self.who)

        assert chain_faults_now() == []
        assert tree_state().size == 2

    def test_a_changed_row_is_named(self):
        record(self.who)
        changed = record(self.who)
        drop_triggers(connection)
        Event.objects.filter(pk=changed.pk).update(data={"name": "Nobody"})
        make_triggers(connection)

        assert chain_faults_now() == ["Event 2: data differs from what was sealed."]

    def test_a_missing_row_is_named(self):
        first, _second, _third = (record(self.who) for _ in range(3))
        drop_triggers(connection)
        first.subjects.all().delete()
        Event.objects.filter(pk=first.pk).delete()
        make_triggers(connection)

        assert "Event 1 is missing; the next one is 2." in chain_faults_now()


class TestRefusals(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        record(cls.who)

    def refused(self, sql):
        with (
            pytest.raises(DatabaseError, match="append-only"),
            transaction.atomic(),
            connection.cursor() as cursor,
        ):
            cursor.execute(sql)

    def test_the_database_refuses_to_change_an_event(self):
        self.refused("UPDATE inventory_event SET kind = 'x'")

    def test_the_database_refuses_to_delete_an_event(self):
        self.refused("DELETE FROM inventory_eventsubject")

    def test_no_detour_around_the_triggers_is_open(self):
        if connection.vendor != "sqlite":
            connection.check_constraints()  # no deferred check may be waiting
            self.refused("TRUNCATE inventory_eventsubject")
            return
        self.refused(
            "INSERT OR REPLACE INTO inventory_eventsubject (id, event_id, noun, key)"
            " SELECT id, event_id, 'x', key FROM inventory_eventsubject"
        )

    def test_every_table_of_the_list_exists_and_has_its_triggers(self):
        assert set(APPEND_ONLY) <= set(connection.introspection.table_names())
        assert missing_triggers(connection) == []
