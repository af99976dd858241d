"""Counting deadlines: what is stored, what supersedes, what meets a duty."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.test import TestCase

from claims.actions.core.deadlines import count_deadlines, override_deadline
from claims.models import Deadline
from inventory.actions.core.versions import RefusedError
from inventory.models import CarrierTerm, Event
from tests import making
from tests.people import cast

pytestmark = pytest.mark.database

LATER = datetime(2026, 3, 12, 15, 0, tzinfo=UTC)


class CountDeadlinesTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()

    def setUp(self):
        self.shipment = making.make_shipment(location=self.people.riverside)
        self.delivery = making.make_signed_delivery(
            location=self.shipment.location, carrier=self.shipment.carrier
        )
        making.make_handover(self.delivery, self.shipment)
        self.crate = making.make_crate(self.shipment, delivery=self.delivery)
        self.unit = making.make_unit(crate=self.crate)

    def count(self, at=LATER):
        rows = count_deadlines(shipment=self.shipment, at=at, person=self.people.mina)
        return {(row.delivery_id, row.duty): row for row in rows}

    def open_crate(self):
        self.crate.opened_at = LATER
        self.crate.opened_on = LATER.date()
        self.crate.save()

    def test_a_closed_crate_runs_the_concealed_notice_from_delivery(self):
        row = self.count()[self.delivery.pk, "concealed-notice"]

        self.assertEqual(row.due, date(2026, 3, 17))
        self.assertEqual(row.starts_on, date(2026, 3, 10))
        self.assertEqual(row.record_key, "us-motor/concealed")
        self.assertEqual(row.inputs["delivered"], "2026-03-10")
        self.assertTrue(row.steps)
        self.assertIsNone(row.met_on)

    def test_an_unsigned_receipt_starts_no_clock(self):
        self.delivery.how_signed = ""
        self.delivery.signed_at = None
        self.delivery.signed_by = None
        self.delivery.save()

        self.assertEqual(self.count(), {})

    def test_an_opened_crate_without_a_find_stops_the_clock(self):
        self.count()
        self.open_crate()

        self.assertEqual(self.count(), {})
        self.assertEqual(Deadline.objects.filter(superseded_at=LATER).count(), 1)

    def test_counting_twice_writes_nothing_the_second_time(self):
        self.count()
        events = Event.objects.count()

        self.count(LATER + timedelta(days=1))

        self.assertEqual(Event.objects.count(), events)
        self.assertEqual(Deadline.objects.count(), 1)

    def test_a_changed_term_supersedes_and_keeps_the_old_row(self):
        self.count()
        CarrierTerm.objects.create(
            carrier=self.shipment.carrier,
            duty="concealed-notice",
            count=2,
            unit="days",
            starts="delivery",
            source="Rules tariff 100, item 40",
        )

        row = self.count()[self.delivery.pk, "concealed-notice"]

        self.assertEqual(row.due, date(2026, 3, 12))
        self.assertEqual(Deadline.objects.count(), 2)
        old = Deadline.objects.exclude(pk=row.pk).get()
        self.assertEqual((old.due, old.superseded_at), (date(2026, 3, 17), LATER))

    def test_sending_a_notice_meets_nothing_and_receipt_does(self):
        self.open_crate()
        making.make_finding(crate=self.crate, unit=self.unit)
        notice = making.make_notice(
            self.shipment, delivery=self.delivery, sent_on=date(2026, 3, 11)
        )
        self.assertIsNone(self.count()[self.delivery.pk, "concealed-notice"].met_on)

        notice.received_on = date(2026, 3, 12)
        notice.save()

        row = self.count()[self.delivery.pk, "concealed-notice"]
        self.assertEqual(row.met_on, date(2026, 3, 12))
        self.assertEqual(Deadline.objects.filter(duty=row.duty).count(), 1)

    def test_a_find_after_the_notice_opens_the_duty_again(self):
        self.open_crate()
        making.make_finding(crate=self.crate, unit=self.unit)
        making.make_notice(
            self.shipment,
            delivery=self.delivery,
            sent_on=date(2026, 3, 11),
            received_on=date(2026, 3, 11),
        )
        self.assertIsNotNone(self.count()[self.delivery.pk, "concealed-notice"].met_on)

        making.make_finding(
            crate=self.crate,
            unit=self.unit,
            recorded_at=making.ARRIVED + timedelta(hours=5),
        )

        self.assertIsNone(self.count()[self.delivery.pk, "concealed-notice"].met_on)

    def test_two_trucks_of_one_bill_each_run_their_own_clock(self):
        second = making.make_signed_delivery(
            location=self.shipment.location,
            carrier=self.shipment.carrier,
            arrived_on=date(2026, 3, 12),
            arrived_at=datetime(2026, 3, 12, 15, 30, tzinfo=UTC),
        )
        making.make_handover(second, self.shipment, pieces_counted=0)
        making.make_crate(self.shipment, delivery=second)

        rows = self.count()

        self.assertEqual(rows[self.delivery.pk, "concealed-notice"].due.day, 17)
        self.assertEqual(rows[second.pk, "concealed-notice"].due.day, 19)

    def test_the_claims_own_duties_stand_once_whatever_the_trucks(self):
        second = making.make_signed_delivery(
            location=self.shipment.location,
            carrier=self.shipment.carrier,
            arrived_on=date(2026, 3, 12),
            arrived_at=datetime(2026, 3, 12, 15, 30, tzinfo=UTC),
        )
        making.make_handover(second, self.shipment, pieces_counted=0)
        making.make_claim(
            self.shipment,
            state="received",
            sent_on=date(2026, 4, 1),
            received_on=date(2026, 4, 2),
        )

        rows = self.count()

        self.assertEqual(rows[None, "acknowledgement"].due, date(2026, 5, 2))
        self.assertEqual(rows[None, "disposition"].due, date(2026, 7, 31))
        self.assertEqual(rows[self.delivery.pk, "claim"].met_on, date(2026, 4, 2))
        self.assertEqual(rows[second.pk, "claim"].due, date(2026, 12, 12))

    def test_suit_runs_from_the_first_disallowance_only(self):
        claim = making.make_claim(
            self.shipment,
            state="disallowed",
            sent_on=date(2026, 4, 1),
            received_on=date(2026, 4, 2),
        )
        self.assertNotIn((None, "suit"), self.count())

        claim.disallowed_on = date(2026, 5, 5)
        claim.save()

        self.assertEqual(self.count()[None, "suit"].due, date(2028, 5, 5))

    def test_the_suppliers_own_period_stands_beside_the_carriers(self):
        making.make_supplier_period(self.shipment.supplier, kind="damage", count=3)

        row = self.count()[self.delivery.pk, "supplier-damage"]

        self.assertEqual(row.due, date(2026, 3, 13))
        self.assertEqual(row.authority, "Supplier's terms")

    def test_the_suppliers_own_truck_has_no_carriers_clock(self):
        self.shipment.regime = "private"
        self.shipment.save()
        making.make_supplier_period(self.shipment.supplier, kind="damage")

        duties = {duty for _, duty in self.count()}

        self.assertEqual(duties, {"supplier-damage"})

    def test_a_broker_is_never_addressed(self):
        self.shipment.carrier.mode = "broker"
        self.shipment.carrier.save()

        row = self.count()[self.delivery.pk, "concealed-notice"]

        self.assertIn("Ask it today for the motor carrier", row.notes[0])

    def test_a_shortage_is_claimed_by_the_earlier_reading(self):
        self.open_crate()
        handover = self.shipment.handovers.get()
        handover.pieces_counted = 3
        handover.save()

        row = self.count()[self.delivery.pk, "claim"]

        self.assertEqual(row.due, date(2026, 12, 3))

    def test_send_by_leaves_days_for_the_mail(self):
        self.open_crate()
        making.make_finding(crate=self.crate, unit=self.unit)
        row = self.count()[self.delivery.pk, "claim"]

        self.assertEqual(row.due, date(2026, 12, 10))
        self.assertEqual(row.send_by, date(2026, 12, 3))

    def test_our_own_date_is_a_new_row_beside_the_counted_one(self):
        row = self.count()[self.delivery.pk, "concealed-notice"]

        override_deadline(
            deadline=row,
            due=date(2026, 3, 13),
            reason="The carrier's item 40 says three days.",
            person=self.people.mina,
            at=LATER,
        )

        row.refresh_from_db()
        self.assertEqual(row.due, date(2026, 3, 17))
        self.assertEqual(row.overrides.get().due, date(2026, 3, 13))
        self.assertEqual(Event.objects.latest("sequence").kind, "deadline.overridden")

    def test_our_own_date_stays_in_sight_when_the_duty_is_counted_anew(self):
        row = self.count()[self.delivery.pk, "concealed-notice"]
        override_deadline(
            deadline=row,
            due=date(2026, 3, 13),
            reason="Item 40.",
            person=self.people.mina,
            at=LATER,
        )
        self.shipment.carrier.mail_days = 1
        self.shipment.carrier.save()

        new = self.count()[self.delivery.pk, "concealed-notice"]

        self.assertNotEqual(new.pk, row.pk)
        self.assertEqual(new.overrides.get().reason, "Item 40.")

    def refuse_override(self, row, words, reason="Item 40."):
        events = Event.objects.count()
        with pytest.raises(RefusedError, match=words):
            override_deadline(
                deadline=row,
                due=date(2026, 3, 13),
                reason=reason,
                person=self.people.mina,
                at=LATER,
            )
        row.refresh_from_db()
        self.assertFalse(row.overrides.exists())
        self.assertEqual(Event.objects.count(), events)

    def test_a_met_duty_takes_no_date_of_our_own(self):
        self.open_crate()
        making.make_finding(crate=self.crate, unit=self.unit)
        making.make_notice(
            self.shipment,
            delivery=self.delivery,
            sent_on=date(2026, 3, 11),
            received_on=date(2026, 3, 12),
        )
        row = self.count()[self.delivery.pk, "concealed-notice"]
        self.assertEqual((row.met_on, row.superseded_at), (date(2026, 3, 12), None))

        self.refuse_override(row, "has changed since you opened the page")

    def test_a_superseded_duty_takes_no_date_of_our_own(self):
        row = self.count()[self.delivery.pk, "concealed-notice"]
        self.open_crate()
        self.count()
        row.refresh_from_db()
        self.assertEqual((row.met_on, row.superseded_at), (None, LATER))

        self.refuse_override(row, "has changed since you opened the page")

    def test_a_date_of_our_own_needs_a_reason(self):
        row = self.count()[self.delivery.pk, "concealed-notice"]

        self.refuse_override(row, "Enter a reason", reason="  ")
