"""The nightly count: reports what differs, writes it once, or only says it."""

from datetime import date
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.test import TestCase

from claims.models import Deadline
from tests import making

pytestmark = pytest.mark.database


def recount(**options):
    out = StringIO()
    call_command("recount_deadlines", stdout=out, stderr=out, **options)
    return out.getvalue()


class RecountTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.delivery = making.make_signed_delivery()
        cls.shipment = making.make_shipment(carrier=cls.delivery.carrier)
        making.make_handover(cls.delivery, cls.shipment)
        making.make_crate(cls.shipment, delivery=cls.delivery)

    def test_it_reports_each_difference_and_the_second_run_none(self):
        first = recount(on="2026-03-11")

        self.assertIn(f"PRO {self.shipment.pro_number}", first)
        self.assertIn("Notice of concealed damage: due 2026-03-17.", first)
        self.assertIn("1 differences were recorded.", first)
        self.assertIn("0 differences were recorded.", recount(on="2026-03-11"))

    def test_a_dry_run_writes_nothing(self):
        said = recount(on="2026-03-11", dry_run=True)

        self.assertIn("1 differences would be recorded.", said)
        self.assertEqual(Deadline.objects.count(), 0)

    def test_a_changed_fact_is_named_with_both_dates(self):
        recount(on="2026-03-11")
        self.delivery.arrived_on = date(2026, 3, 11)
        self.delivery.save()

        said = recount(on="2026-03-12")

        self.assertIn("due 2026-03-17, safe 2026-03-17; now 2026-03-18", said)

    def test_one_bad_bill_does_not_stop_the_rest(self):
        bad = making.make_shipment(regime="moon")
        making.make_handover(making.make_signed_delivery(carrier=bad.carrier), bad)

        with self.assertRaisesMessage(CommandError, "1 freight bills"):
            recount(on="2026-03-11")

        self.assertEqual(Deadline.objects.get().shipment, self.shipment)

    def test_a_day_that_is_none_is_refused(self):
        with self.assertRaisesMessage(CommandError, "2026-03-31"):
            recount(on="tomorrow")
