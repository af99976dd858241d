"""What many bills at once are told to differ in is what each alone is found to."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection, transaction
from django.test import TestCase
from django.test.utils import CaptureQueriesContext

from claims.actions.core.deadlines import differing, record_differences, recount
from claims.models import Claim, Finding, Notice
from inventory.models import CarrierTerm, Delivery, Shipment
from inventory.rules.reckoning.moments import dock_day
from tests import making
from tests.people import cast

pytestmark = pytest.mark.database

NOON = datetime(2026, 3, 12, 15, 0, tzinfo=UTC)
DAY = date(2026, 3, 10)
OUT = {"sent_on": DAY, "received_on": DAY}


class DifferingTests(TestCase):
    """A house with every kind of bill that a count tells apart."""

    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.supplier, cls.carrier = making.make_supplier(), making.make_carrier()
        making.make_supplier_period(cls.supplier, kind="damage", count=3)
        CarrierTerm.objects.create(
            carrier=cls.carrier, duty="claim", count=4, unit="months", starts="delivery"
        )
        making.make_bankruptcy(cls.carrier)
        cls.bill(signed=False)
        cls.bill(crates=0)
        cls.bill(trucks=2)
        found = [cls.bill(found=True) for _ in range(6)]
        making.make_notice(found[0], written_at=NOON, written_by=cls.who.mina, **OUT)
        cls.claim(found[1], state="drafted")
        cls.claim(found[2], state="received", **OUT, acknowledged_on=DAY)
        cls.claim(found[3], state="disallowed", **OUT, disallowed_on=date(2026, 4, 1))
        making.make_claim_payment(cls.claim(found[4], state="received", **OUT))
        cls.claim(found[5], state="withdrawn", closed_on=DAY, withdrawn_reason="Paid.")
        inspected = cls.bill(crates=0)
        making.make_inspection(
            inspected,
            unit=making.make_unit(inspected),
            stage="uncrating",
            looked_by=cls.who.tomas,
        )
        for bill in Shipment.standing.all():
            record_differences(shipment=bill, at=NOON, person=None)

    @classmethod
    def bill(cls, *, signed=True, trucks=1, crates=1, found=False):
        place = {"location": cls.who.riverside, "carrier": cls.carrier}
        bill = making.make_shipment(**place, supplier=cls.supplier)
        for number in range(trucks):
            if signed:
                truck = making.make_signed_delivery(
                    **place,
                    arrived_on=DAY + timedelta(days=number),
                    signed_by=cls.who.rosa,
                )
            else:
                truck = making.make_delivery(**place)
            making.make_handover(truck, bill)
            for _ in range(crates):
                crate = making.make_crate(bill, delivery=truck)
        if found:
            look = making.make_inspection(crate=crate, looked_by=cls.who.tomas)
            making.make_finding(look)
        return bill

    @classmethod
    def claim(cls, bill, **over):
        claim = making.make_claim(bill, made_by=cls.who.mina, **over)
        making.make_claim_line(claim, finding=Finding.objects.get(shipment=bill))
        return claim

    def told(self, at=NOON):
        """Return which bills differ, and check it against a count of each alone."""
        bills = list(Shipment.standing.select_related("location").order_by("pk"))
        together = differing(
            {bill.pk: dock_day(at, bill.location.zone) for bill in bills}
        )
        alone = []
        for bill in bills:
            with transaction.atomic():
                if recount(shipment=bill, at=at):
                    alone.append(bill.pk)
                transaction.set_rollback(True)
        assert together == alone
        return together

    def test_on_any_day(self):
        assert self.told() == []
        later = [self.told(NOON + timedelta(days=days)) for days in (30, 200, 500)]
        # The carrier's status reports have begun meanwhile.
        assert [] < later[1] <= later[2]

    def test_after_any_change_of_a_fact(self):
        claim = Claim.objects.filter(state="received")
        changes = [
            (Shipment.standing.all(), {"bol_on": date(2026, 2, 2)}),
            (Shipment.standing.all(), {"regime": "us-rail"}),
            (Delivery.objects.all(), {"arrived_on": date(2026, 3, 12)}),
            (Notice.objects.all(), {"received_on": None}),
            (Finding.objects.all(), {"route": "nowhere"}),
            (claim, {"received_on": date(2026, 3, 14)}),
            (claim, {"acknowledged_on": None}),
            (CarrierTerm.objects.all(), {"count": 9}),
        ]
        for rows, changed in changes:
            with transaction.atomic():
                rows.update(**changed)
                assert self.told(), changed
                transaction.set_rollback(True)

    def test_one_that_cannot_be_counted_is_named_and_spoils_no_other(self):
        bad = self.bill()
        Shipment.objects.filter(pk=bad.pk).update(regime="moon")
        days = dict.fromkeys(Shipment.standing.values_list("pk", flat=True), DAY)

        assert differing(days) == [bad.pk]

    def test_more_bills_take_no_more_queries(self):
        keys = list(Shipment.standing.order_by("pk").values_list("pk", flat=True))
        counts = []
        for some in (keys, [*keys, *(self.bill(found=True).pk for _ in range(9))]):
            with CaptureQueriesContext(
                connection,
            ) as caught:
                differing(dict.fromkeys(some, DAY))
            counts.append(len(caught))

        assert counts[0] == counts[1] < 30
