"""Whatever is changed behind the site's back is named, the first thing first."""

import json
from contextlib import contextmanager, suppress
from unittest.mock import patch

import pytest
from django.db import connection, transaction
from django.test import TestCase

from inventory.actions.core.events import record_event
from inventory.actions.people.people import add_person, change_person
from inventory.actions.receiving.crates import change_crate
from inventory.actions.receiving.deliveries import change_delivery, log_delivery
from inventory.actions.receiving.listed_crates import list_crates
from inventory.evidence.seal import chain_check, sealed_tables
from inventory.models import Carrier, Crate, Delivery, Event, Hold, User
from tests import making
from tests.making import ARRIVED
from tests.people import cast
from tests.verifying import behind_the_back, chain_faults_now, report_now

pytestmark = pytest.mark.database


class UndoneError(Exception):
    """Rolls a transaction back."""


@contextmanager
def undone():
    """Roll back what is done inside, to a savepoint."""
    with suppress(UndoneError), transaction.atomic():
        yield
        raise UndoneError


class TestRows(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.truck = log_delivery(
            person=cls.who.rosa,
            at=ARRIVED,
            location=cls.who.riverside,
            arrived_at=ARRIVED,
            carrier=making.make_carrier(),
            driver_name="Lou Parr",
        )

    def change(self, **over):
        self.truck.refresh_from_db()
        change_delivery(
            person=self.who.rosa,
            at=ARRIVED,
            delivery=self.truck,
            version=self.truck.version,
            carrier=self.truck.carrier,
            arrived_at=ARRIVED,
            **over,
        )

    def test_what_actions_wrote_is_as_their_last_event_left_it(self):
        self.change(driver_name="Lou Parrish")

        report = report_now()

        assert report.first == []
        assert report.rows >= 8

    def test_a_changed_column_is_named_with_what_was_sealed(self):
        behind_the_back("UPDATE inventory_delivery SET driver_name = 'Nobody'")

        report = report_now()

        last = Event.objects.latest("sequence").sequence
        assert report.first == [
            f'delivery {self.truck.pk}: driver_name is "Nobody" and was sealed as '
            f'"Lou Parr" by event {last}.'
        ]

    def test_every_column_of_the_row_is_held(self):
        held = {"version": 7, "seal_note": "x", "arrived_on": "2026-03-11"}
        for name, value in held.items():
            with transaction.atomic():
                behind_the_back(f"UPDATE inventory_delivery SET {name} = %s", value)
                (fault,) = report_now().first
                assert f": {name} is " in fault
                transaction.set_rollback(True)

    def test_a_row_that_vanished_is_named(self):
        behind_the_back("DELETE FROM inventory_delivery")

        (fault,) = report_now().first

        assert fault.startswith(f"delivery {self.truck.pk}, written by event")
        assert fault.endswith("is gone.")

    def test_a_row_that_no_event_knows_is_named(self):
        behind_the_back(
            "INSERT INTO inventory_carrier (name, scac, mode, claims_address, "
            "claims_email, claims_phone, terminal_email, terminal_phone, mail_days, "
            "version, legal_name, usdot_number, withdrawn_reason) "
            "VALUES ('Ghost', '', 'motor', '', '', '', '', '', 5, 1, '', '', '')"
        )
        ghost = Carrier.objects.get(name="Ghost")

        assert report_now().first == [f"carrier {ghost.pk} is known to no event."]

    def test_a_row_that_came_back_is_named(self):
        ada = self.who.ada
        place = self.who.riverside.pk
        new = add_person(
            person=ada,
            at=ARRIVED,
            username="ivo",
            full_name="Ivo Lang",
            password="a long enough sentence 9",
            is_administrator=False,
            assigned={(place, "clerk")},
        )
        gone = new.assignments.get()
        change_person(
            person=ada,
            at=ARRIVED,
            who=new,
            version=new.version,
            full_name="Ivo Lang",
            is_administrator=False,
            is_active=True,
            assigned=set(),
        )
        assert report_now().first == []
        behind_the_back(
            "INSERT INTO inventory_assignment (id, person_id, location_id, role) "
            "VALUES (%s, %s, %s, 'manager')",
            gone.pk,
            new.pk,
            place,
        )

        (fault,) = report_now().first

        assert fault.startswith(f"assignment {gone.pk} exists, but event ")

    def test_rights_given_behind_the_back_are_named(self):
        User.objects.filter(username="rosa").update(is_administrator=True)

        (fault,) = report_now().first

        assert "is_administrator is true and was sealed as false" in fault

    def test_what_is_written_for_many_rows_at_once_is_sealed_too(self):
        bill = making.make_shipment(carrier=self.truck.carrier)
        making.make_handover(self.truck, bill)
        list_crates(
            person=self.who.rosa,
            at=ARRIVED,
            shipment=bill,
            delivery=self.truck,
            count=3,
            kind="reusable",
        )
        with transaction.atomic():
            Crate.objects.filter(shipment=bill).update(mark="HT-9")
            self.change(trailer_number="T-1")

        assert report_now().first == []
        assert bill.crates.filter(mark="HT-9").count() == 3

    def test_what_an_act_wrote_after_its_event_is_named(self):
        with transaction.atomic():
            self.change(trailer_number="T-2")
            Hold.objects.create(
                unit=making.make_unit(),
                reason="Late",
                placed_at=ARRIVED,
                placed_by=self.who.rosa,
            )

        said = report_now().first

        assert any(fault.startswith("hold ") for fault in said)

    def test_what_was_rolled_back_is_not_told_by_the_next_event(self):
        before = Event.objects.count()
        with transaction.atomic():
            with undone():
                Delivery.objects.filter(pk=self.truck.pk).update(seal_note="gone")
            record_event(
                kind="password.changed",
                at=ARRIVED,
                actor=None,
                location=None,
                subjects=[],
                data={},
            )

        told = Event.objects.get(sequence=before + 1)

        assert "gone" not in told.body
        assert json.loads(told.body)["rows"] == []

    def test_an_event_that_is_rolled_back_leaves_its_rows_to_the_next(self):
        bill = making.make_shipment(carrier=self.truck.carrier)
        crate = making.make_crate(bill)
        with transaction.atomic():
            with undone():
                change_crate(
                    person=self.who.rosa,
                    at=ARRIVED,
                    crate=crate,
                    version=crate.version,
                    mark="no",
                    kind="reusable",
                    deposit_cents=None,
                )
            self.change(trailer_number="T-3")

        assert report_now().first == []

    def test_a_comparer_that_was_registered_is_asked(self):
        sealed_tables.register_sealed(Carrier, lambda _snapshot: iter(["It is so."]))
        self.addCleanup(sealed_tables._comparers.pop, Carrier)

        assert report_now().first == ["It is so."]


class TestChain(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        for number in range(3):
            record_event(
                kind="password.changed",
                at=ARRIVED,
                actor=cls.who.rosa,
                location=cls.who.riverside,
                subjects=[cls.who.rosa, cls.who.riverside],
                data={"n": number},
            )

    def test_every_column_of_an_event_is_held(self):
        for name, value in {
            "kind": "x",
            "recorded_at": "2026-03-11 15:30:00+00:00"
            if connection.vendor == "postgresql"
            else "2026-03-11 15:30:00",
            "actor_id": self.who.mina.pk,
            "location_id": None,
            "data": '{"n": 9}',
        }.items():
            with transaction.atomic():
                behind_the_back(
                    f"UPDATE inventory_event SET {name} = %s WHERE sequence = 2", value
                )
                word = name.removesuffix("_id")
                assert chain_faults_now() == [
                    f"Event 2: {word} differs from what was sealed."
                ]
                transaction.set_rollback(True)

    def test_a_changed_body_or_hash_is_named(self):
        behind_the_back(
            "UPDATE inventory_event SET body = body || ' ' WHERE sequence = 2"
        )

        assert chain_faults_now() == [
            "Event 2 no longer has the hash it was sealed with."
        ]

    def test_a_changed_swapped_or_missing_subject_is_named(self):
        behind_the_back(
            "UPDATE inventory_eventsubject SET noun = 'crate' "
            "WHERE event_id = 2 AND noun = 'user'"
        )

        assert chain_faults_now() == ["Event 2: subjects differ from what was sealed."]
        behind_the_back("DELETE FROM inventory_eventsubject WHERE event_id = 2")
        assert chain_faults_now() == ["Event 2: subjects differ from what was sealed."]

    def test_a_subject_moved_to_another_event_is_named(self):
        behind_the_back(
            "UPDATE inventory_eventsubject SET event_id = 1 WHERE event_id = 3"
        )

        assert "Event 3: subjects differ from what was sealed." in chain_faults_now()

    def test_a_chain_sealed_anew_by_hand_is_another_tree(self):
        honest = report_now().root
        behind_the_back("DELETE FROM inventory_eventsubject WHERE event_id = 3")
        behind_the_back("DELETE FROM inventory_event WHERE sequence = 3")

        assert chain_faults_now() == []
        assert report_now().root != honest


class TestText(TestCase):
    """An honest event is told by its text alone; whatever differs is read and named."""

    WORDS = ('","rows":[],"sequence":1,"subjects":[]}', "ü “x” \\ \u2028", "}],[", "")

    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.truck = making.make_delivery()
        for words in cls.WORDS:
            record_event(
                kind="password.changed",
                at=ARRIVED,
                actor=cls.who.rosa,
                location=cls.who.riverside,
                subjects=[cls.truck, cls.who.rosa],
                data={"name": words, "n": 1, "a": [True, None, {"b": words}]},
            )
        cls.last = Event.objects.latest("sequence").sequence

    def test_an_honest_event_is_not_parsed_whole(self):
        with patch.object(chain_check, "_faults_of", side_effect=AssertionError):
            assert chain_faults_now() == []

    def test_each_column_of_an_event_that_differs_is_named(self):
        changes = {
            "kind": "'crate.opened'",
            "recorded_at": "'2026-03-10 15:31:00'",
            "actor": "NULL",
            "location": "NULL",
            "data": """'{"name": "", "n": true, "a": [true, null, {"b": ""}]}'""",
        }
        for name, value in changes.items():
            column = Event._meta.get_field(name).column
            with undone():
                behind_the_back(
                    f"UPDATE inventory_event SET {column} = {value} WHERE sequence = %s",
                    self.last,
                )
                assert chain_faults_now() == [
                    f"Event {self.last}: {name} differs from what was sealed."
                ]

    def test_a_subject_that_differs_is_named(self):
        behind_the_back(
            "UPDATE inventory_eventsubject SET key = '77' WHERE event_id = %s AND noun = "
            "'delivery'",
            self.last,
        )

        assert chain_faults_now() == [
            f"Event {self.last}: subjects differ from what was sealed."
        ]

    def test_a_text_that_only_looks_the_same_is_no_longer_what_was_sealed(self):
        event = Event.objects.get(pk=self.last)
        for body in (
            event.body.replace('"rows":[]', '"rows":[ ]'),
            event.body.replace('"rows":[]', '"rows":[],"rows":[]'),
            event.body + " ",
        ):
            with undone():
                behind_the_back(
                    "UPDATE inventory_event SET body = %s WHERE sequence = %s",
                    body,
                    self.last,
                )
                assert chain_faults_now() == [
                    f"Event {self.last} no longer has the hash it was sealed with."
                ]
