"""The claim file of crates that we shipped: who took them, for whom, and what they were worth.

What identifies a claim is 49 CFR 370.3(b) (text seen): facts sufficient to identify the
shipment, an assertion of liability, a specified amount.
"""

from datetime import UTC, datetime

import pytest
from django.db import connection
from django.test import TestCase
from django.test.utils import CaptureQueriesContext

from claims.actions.claim.way_home import HomeBill, claim_return
from claims.models import Claim
from claims.queries.claim.way_home import asides_of_return
from claims.queries.core.way_home import homes_of, unclaimed_at
from claims.queries.deadlines.way_home import last_day_to_claim
from claims.queries.packet.gathered import gather
from claims.queries.packet.gathering import packet_content, ready_facts
from claims.rules.claim.way_home import LOST
from claims.rules.packet.readiness import what_blocks
from inventory.actions.memos.posting import post_memo
from inventory.actions.returns.losses import lose_crate
from inventory.evidence.seal.register import tree_state
from tests.returning import LEFT, make_stage, memo_of, shipped

pytestmark = pytest.mark.database

AT = datetime(2026, 4, 20, 16, 0, tzinfo=UTC)


class HomeCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_stage(crates=4)
        cls.who = cls.book.who
        cls.home = shipped(
            cls.book, driver_name="Tom Reyes", driver_count=4, how_signed="signed"
        )
        cls.lines = list(cls.home.lines.order_by("pk"))

    def lose(self, *lines):
        for line in lines:
            lose_crate(
                line=line,
                version=line.version,
                lost_on=LEFT,
                reason="Supplier counted 3 of 4.",
                person=self.who.abel,
                at=AT,
            )

    def claim(self, *lines, **over):
        self.lose(*lines)
        made = claim_return(
            crate_return=self.home,
            lines=[line.pk for line in lines],
            bill=HomeBill(**{"risk": "destination", **over}),
            person=self.who.mina,
            at=AT,
        )
        joined = ("location", "shipment__carrier", "shipment__supplier")
        rows = Claim.objects.select_related(*joined, "shipment__location")
        return rows.get(pk=made.pk)

    def content(self, claim):
        gathered = gather(claim, person=self.who.mina, as_of=AT.date())
        made = packet_content(gathered, version=1, tree=tree_state(None), checker="")
        return gathered, made


class TheFileOfAReturn(HomeCase):
    def test_it_names_shipper_consignee_crates_and_the_drivers_count(self):
        claim = self.claim(self.lines[0], pro_number="4411-208")
        _, file = self.content(claim)
        told = file.cover.opening[0]
        carrier, supplier = self.book.carrier.name, self.book.supplier.name
        assert told.startswith(
            f"On April 1, 2026, {carrier} took 4 crates, empty and returnable, from our dock"
        )
        assert (
            f"for delivery to {supplier}. Your driver, Tom Reyes, signed for 4." in told
        )
        assert "delivered to our dock" not in told
        shipment = file.statement.shipment
        assert shipment.shipper == self.book.location.name
        assert shipment.consignee == supplier
        assert shipment.bol.startswith(self.home.number)
        assert file.statement.amount == "120.00"
        [article] = file.statement.articles
        assert article.damage == "Not delivered. Supplier counted 3 of 4."
        assert file.schedule.basis.startswith("Proven loss: the credit")
        assert "Full credit to day 90" in file.schedule.basis

    def test_without_a_pro_the_bill_of_lading_identifies_it(self):
        gathered, file = self.content(self.claim(self.lines[0]))
        assert not what_blocks(ready_facts(gathered))
        assert file.statement.shipment.pro == ""

    def test_it_is_not_confirmed_while_it_asks_for_what_was_credited(self):
        claim = self.claim(self.lines[0])
        memo = memo_of(self.book, (self.lines[0].crate, 5_000))
        post_memo(memo=memo, version=1, person=self.who.abel, at=AT)
        gathered, _ = self.content(claim)
        assert "credited USD 50.00 after all" in what_blocks(ready_facts(gathered))[0]

    def test_a_released_value_limits_the_weight_of_the_crate(self):
        self.book.crate_type.tare_weight = "40"
        self.book.crate_type.save()
        claim = self.claim(self.lines[0], released_cents_per_lb=250)
        gathered, _ = self.content(claim)
        assert gathered.sheet.limit_cents == 10_000  # 40 lb at 2.50
        assert gathered.sheet.demanded_cents == 12_000  # a limit is no ratio


class TheSameNumberOfQueries(HomeCase):
    def queries(self):
        with CaptureQueriesContext(connection) as desk:
            for home in homes_of(unclaimed_at([self.book.location.pk])):
                assert last_day_to_claim(home.line.crate_return, [LOST])
        with CaptureQueriesContext(connection) as page:
            assert asides_of_return(self.home, self.who.mina)
        return len(desk), len(page)

    def test_one_crate_or_four(self):
        self.lose(self.lines[0])
        one = self.queries()
        self.lose(*self.lines[1:])
        assert self.queries() == one
