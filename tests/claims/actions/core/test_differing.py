"""What many bills at once are told to differ in is what each alone is found to."""

import ast
import json
import re
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from unittest.mock import patch

import pytest
from django.apps import apps
from django.db import connection, transaction
from django.test import TestCase
from django.test.utils import CaptureQueriesContext

from claims.actions.core.deadlines import (
    compared,
    record_differences,
    record_many,
)
from claims.actions.core.recounting import TRUSTED, recount_all, wrong_counts
from claims.counted_bills import FACTS, SOURCES
from claims.models import (
    Claim,
    ClaimLine,
    CountedBill,
    Deadline,
    DeadlineOverride,
    Finding,
    Inspection,
    Notice,
)
from inventory.derived import differences
from inventory.models import (
    Carrier,
    CarrierTerm,
    Crate,
    Delivery,
    Event,
    Handover,
    Location,
    Shipment,
    Supplier,
    SupplierPeriod,
)
from inventory.models.sealed import take_written
from inventory.rules.reckoning.moments import dock_day
from tests import making
from tests.people import cast
from tests.prepared import ROOT
from tests.verifying import behind_the_back

pytestmark = pytest.mark.database

NOON = datetime(2026, 3, 12, 15, 0, tzinfo=UTC)
DAY = date(2026, 3, 10)
OURS = ("claims", "inventory")
ACCESS = Path("inventory/access.py")
"""Who may see what, and nothing of a count."""
OUT = {"sent_on": DAY, "received_on": DAY}


def event_without_keys(event):
    """Return what was sealed, without keys: those of another try may be others."""
    body = json.loads(event.body)
    rows = [
        [noun, {name: one for name, one in image.items() if name != "deadline_id"}]
        for noun, _, image in body["rows"]
    ]
    return {
        "data": body["data"],
        "subjects": body["subjects"],
        "rows": sorted(rows, key=repr),
    }


def differing(days):
    return [key for key, until in compared(days).items() if until is None]


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
        assert list(recount_all(NOON)) == []
        assert not CountedBill.objects.filter(rules="").exists()

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
        """Return which bills differ, and check it against a count of each alone.

        First by the quick way, which reads only what is marked.
        """
        quick = [
            one.shipment.pk
            for one in recount_all(at, is_dry=True)
            if one.differences or one.error
        ]
        bills = list(Shipment.standing.select_related("location").order_by("pk"))
        together = differing(
            {bill.pk: dock_day(at, bill.location.zone) for bill in bills}
        )
        assert quick == together
        alone = []
        for bill in bills:
            with transaction.atomic():
                day = dock_day(at, bill.location.zone)
                if record_many(days={bill.pk: day}, at=at, is_dry=True)[bill.pk]:
                    alone.append(bill.pk)
                transaction.set_rollback(True)
        assert together == alone
        return together

    def test_on_any_day(self):
        assert self.told() == []
        later = [self.told(NOON + timedelta(days=days)) for days in (30, 200, 500)]
        # The carrier's status reports have begun meanwhile.
        assert [] < later[1] <= later[2]

    @pytest.mark.slow
    def test_after_any_change_of_a_fact(self):
        claim = Claim.objects.filter(state="received")
        changes = [
            (Location.objects.all(), {"country": "DE", "subdivision": ""}),
            (Carrier.objects.all(), {"mail_days": 9}),
            (Carrier.objects.all(), {"mode": "broker"}),
            (Supplier.objects.all(), {"name": "Another"}),
            (SupplierPeriod.objects.all(), {"count": 5}),
            (Handover.objects.all(), {"withdrawn_at": NOON}),
            (
                Delivery.objects.all(),
                {"signed_at": None, "how_signed": "", "signed_by": None},
            ),
            (Crate.objects.all(), {"opened_at": NOON}),
            (Crate.objects.all(), {"look": "refused"}),
            (Inspection.objects.all(), {"looked_on": date(2026, 3, 11)}),
            (ClaimLine.objects.all(), {"struck_reason": "By mistake."}),
            (claim, {"state": "withdrawn", "withdrawn_reason": "Paid."}),
            (Deadline.objects.all(), {"due": date(2027, 1, 1)}),
            (Deadline.objects.all(), {"superseded_at": NOON}),
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

    def changed_facts(self):
        """Set dates of our own, then change what moves and what meets duties."""
        for row in Deadline.objects.filter(superseded_at=None, duty="claim"):
            DeadlineOverride.objects.create(
                deadline=row,
                due=row.due - timedelta(days=9),
                reason="The carrier is slow.",
                decided_at=NOON,
                decided_by=self.who.mina,
            )
        met = Handover.objects.filter(shipment__notices__isnull=False)
        moved = Delivery.objects.exclude(pk__in=met.values("delivery"))
        moved.update(arrived_on=date(2026, 3, 12))
        Notice.objects.update(received_on=date(2026, 3, 11))
        take_written()  # what the test itself wrote is told by nobody

    def test_many_together_write_what_each_alone_would(self):
        bills = list(Shipment.standing.order_by("pk"))

        def told(count):
            with transaction.atomic():
                self.changed_facts()
                before = Event.objects.count()
                count()
                made = [event_without_keys(one) for one in Event.objects.all()[before:]]
                transaction.set_rollback(True)
            return sorted(made, key=lambda event: event["subjects"])

        def alone():
            for bill in bills:
                record_differences(shipment=bill, at=NOON, person=None)

        together = told(lambda: record_many(days=self.days(), at=NOON))
        assert together == told(alone)
        assert len(together) > 5
        nouns = {noun for event in together for noun, _ in event["rows"]}
        assert nouns == {"deadline", "deadlineoverride"}

    def test_more_bills_are_written_without_queries_for_each(self):
        self.changed_facts()
        keys = differing(self.days())

        def queries(keys):
            with transaction.atomic(), CaptureQueriesContext(connection) as caught:
                found = record_many(days=dict.fromkeys(keys, DAY), at=NOON)
                transaction.set_rollback(True)
            assert all(found.values())
            return len(caught)

        assert len(keys) > 6
        assert queries(keys) - queries(keys[:2]) < len(keys[2:])

    def days(self):
        """Return the day of each bill's dock."""
        bills = Shipment.standing.select_related("location")
        return {bill.pk: dock_day(NOON, bill.location.zone) for bill in bills}

    @pytest.mark.slow
    def test_each_result_stays_to_its_last_day_and_no_report_begins_before(self):
        first, ends = self.ends()
        soon = sorted(set(ends.values()) - {date.max})
        assert date.max in ends.values()
        assert soon
        for row in CountedBill.objects.all():
            assert row.until == min(ends[row.pk], first + TRUSTED)

        days = dict.fromkeys(ends, soon[0])
        assert differing(days) == []
        for on in range(0, 90, 3):
            at = NOON + timedelta(days=on)
            today = dock_day(at, self.who.riverside.zone)
            changed = differing(dict.fromkeys(days, today))
            assert all(ends[key] < today for key in changed)

    def ends(self):
        """Return the day of the count, and until when each bill's result holds."""
        first = dock_day(NOON, self.who.riverside.zone)
        keys = CountedBill.objects.values_list("pk", flat=True)
        return first, compared(dict.fromkeys(keys, first))

    def test_no_result_is_trusted_for_longer_than_a_month(self):
        behind_the_back("UPDATE inventory_shipment SET bol_on = '2026-02-02'")
        keys = set(CountedBill.objects.values_list("pk", flat=True))

        found = [one.shipment.pk for one in recount_all(NOON + TRUSTED)]
        assert set(found) < keys
        list(recount_all(NOON + TRUSTED + timedelta(days=1)))

        assert list(wrong_counts()) == []

    def test_what_an_act_writes_while_a_bill_is_counted_is_not_missed(self):
        bill = Shipment.standing.first()
        CountedBill.objects.filter(pk=bill.pk).update(rules="", changes=7)

        def compared_late(days):
            found = compared(days)
            Shipment.objects.filter(pk=bill.pk).update(bol_on=date(2026, 2, 2))
            return found

        with patch("claims.actions.core.recounting.compared", compared_late):
            list(recount_all(NOON))

        assert CountedBill.objects.get(pk=bill.pk).rules == ""

    def test_other_rules_count_every_bill_again(self):
        others = patch(
            "claims.actions.core.recounting.rules_in_force", lambda: "others"
        )
        with others, CaptureQueriesContext(connection) as caught:
            list(recount_all(NOON, is_dry=True))
        with CaptureQueriesContext(connection) as quick:
            list(recount_all(NOON, is_dry=True))

        assert len(quick) < 4 < len(caught)

    def test_what_a_count_reads_of_a_shared_row_is_a_column_of_it(self):
        tables = {model._meta.db_table: model for model in apps.get_models()}
        for table, fact in FACTS.items():
            columns = {one.column for one in tables[table]._meta.concrete_fields}
            assert set(fact.columns) <= columns, table

    def test_the_rules_in_force_are_told_from_all_that_a_count_runs_through(self):
        waiting, seen = ["claims.queries.deadlines.duties"], set()
        while waiting:
            path = Path(*waiting.pop().split("."))
            path = next(
                (
                    one
                    for one in (path.with_suffix(".py"), path / "__init__.py")
                    if (ROOT / one).exists()
                ),
                None,
            )
            if path is None or path in seen:
                continue
            seen.add(path)
            for node in ast.walk(ast.parse((ROOT / path).read_text())):
                if isinstance(node, ast.ImportFrom) and node.module.startswith(OURS):
                    waiting += [node.module]
                    waiting += [f"{node.module}.{one.name}" for one in node.names]

        assert len(seen) > 100
        assert [
            str(one)
            for one in sorted(seen)
            if not str(one).startswith(SOURCES) and one != ACCESS
        ] == []

    def test_every_table_that_a_count_reads_marks_its_bills(self):
        with CaptureQueriesContext(connection) as caught:
            differing(
                dict.fromkeys(Shipment.standing.values_list("pk", flat=True), DAY)
            )
        read = {
            table
            for query in caught
            for table in re.findall(r'(?:FROM|JOIN) "(\w+)"', query["sql"])
        }

        assert read - {"claims_remittance", "inventory_user"} <= set(FACTS)
        assert len(read) > 12

    def test_a_wrong_note_is_named_by_verify_and_mended_by_a_count_of_all(self):
        assert list(wrong_counts()) == []
        first, _, second = Shipment.standing.order_by("pk")[:3]
        CountedBill.objects.filter(pk=first.pk).delete()
        behind_the_back(
            "UPDATE inventory_shipment SET bol_on = '2026-02-02' WHERE id = %s",
            second.pk,
        )
        _, ends = self.ends()
        last = min(key for key, end in ends.items() if end and end != date.max)
        status = CountedBill.objects.get(pk=last)
        status.until = date.max
        status.save()

        said = list(wrong_counts())

        assert len(said) == 3
        assert f"lacks: shipment_id {first.pk}." in said[0]
        assert f"shipment_id {second.pk}, counted_for 2026-03-12" in said[1]
        assert f"shipment_id {status.pk}, counted_for" in said[2]
        assert said == [one for one in differences(connection) if "countedbill" in one]
        found = list(recount_all(NOON, is_whole=True))
        assert [one.shipment.pk for one in found] == [second.pk]
        list(recount_all(NOON))
        assert list(wrong_counts()) == []

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
