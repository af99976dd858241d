"""What the database derives is what a fresh look at the rows gives, after every write."""

import datetime as dt
from random import Random

import pytest
from django.db import connection, transaction
from django.db.models import Sum
from django.test import TestCase

from claims.models import Finding
from inventory.derived import OPEN_KINDS, differences, fill, fill_sums
from inventory.models import (
    Account,
    AccountMonth,
    Crate,
    Delivery,
    Evidence,
    Leg,
    OpenSum,
    OpenWork,
    Unit,
    Withholding,
)
from inventory.queries.ledger.balances import open_deposits, sums_on, with_balances
from inventory.queries.ledger.months import Moved, moved_in, moved_until
from inventory.rules.deposits.postings import EXPECTED, RECEIVABLE, SUPPLIER, Line
from tests import ledger, making
from tests.making import ARRIVED
from tests.sizes import SEED

pytestmark = pytest.mark.database
FIRST = dt.date(2026, 1, 20)


def differing():
    return list(differences(connection))


class TestOpenWork(TestCase):
    """Each write that opens or ends work of a kind changes its keys, and nothing else."""

    @classmethod
    def setUpTestData(cls):
        cls.truck = making.make_delivery()
        cls.bill = making.make_shipment(carrier=cls.truck.carrier)
        cls.handover = making.make_handover(cls.truck, cls.bill)
        cls.crate = making.make_crate(cls.bill, delivery=cls.truck)

    def expect(self, what, row, *, is_open):
        assert (row.pk in OpenWork.keys(what)) is is_open, what
        assert differing() == []

    def test_a_truck_until_it_is_signed(self):
        self.expect("truck", self.truck, is_open=True)
        Delivery.objects.update(
            how_signed="signed", signed_at=ARRIVED, signed_by=making.some_person()
        )
        self.expect("truck", self.truck, is_open=False)

    def test_paperwork_until_every_machine_has_serial_and_value(self):
        self.expect("paperwork", self.bill, is_open=True)
        unit = making.make_unit(self.bill)
        self.expect("paperwork", self.bill, is_open=False)
        Unit.objects.filter(pk=unit.pk).update(invoice_cents=None)
        self.expect("paperwork", self.bill, is_open=True)

    def test_a_machine_moves_to_another_bill(self):
        unit = making.make_unit(self.bill)
        other = making.make_shipment()
        Unit.objects.filter(pk=unit.pk).update(shipment=other)
        self.expect("paperwork", self.bill, is_open=True)
        self.expect("paperwork", other, is_open=False)

    def test_a_crate_until_it_is_opened_refused_and_disposed_of(self):
        rows = Crate.objects.filter(pk=self.crate.pk)
        self.expect("closed-crate", self.crate, is_open=True)
        rows.update(look="refused")
        self.expect("closed-crate", self.crate, is_open=False)
        self.expect("refused-crate", self.crate, is_open=True)
        rows.update(look="clear", opened_at=ARRIVED)
        self.expect("refused-crate", self.crate, is_open=False)
        self.expect("bare-crate", self.crate, is_open=True)
        making.make_unit(self.bill, crate=self.crate)
        self.expect("bare-crate", self.crate, is_open=False)

    def test_a_pod_until_it_is_compared(self):
        self.expect("pod", self.handover, is_open=True)
        type(self.handover).objects.update(carrier_image="words-there")
        self.expect("pod", self.handover, is_open=False)

    def test_a_machine_until_it_is_released(self):
        unit = making.make_unit(self.bill)
        self.expect("machine", unit, is_open=True)
        making.make_inspection(unit=unit, stage="set-up", note="Set up before.")
        self.expect("machine", unit, is_open=False)
        setup = making.make_setup(unit)
        self.expect("machine", unit, is_open=True)
        making.make_sign_off(unit, setup=setup)
        self.expect("machine", unit, is_open=False)

    def test_a_finding_until_a_photo_is_shown_and_a_claim_holds_it(self):
        finding = making.make_finding(crate=self.crate)
        self.expect("bare-finding", finding, is_open=True)
        self.expect("free-finding", finding, is_open=True)
        photo = making.attach_photo(finding)
        self.expect("bare-finding", finding, is_open=False)
        for number, is_withheld in enumerate((True, False), start=1):
            Withholding.objects.create(
                evidence=Evidence.everything.get(pk=photo.pk),
                is_withheld=is_withheld,
                reason=f"Reason {number}",
                said_at=ARRIVED,
                said_by=making.some_person(),
            )
            self.expect("bare-finding", finding, is_open=is_withheld)
        line = making.make_claim_line(finding=finding)
        self.expect("free-finding", finding, is_open=False)
        type(line).objects.update(holds=False)
        self.expect("free-finding", finding, is_open=True)
        Finding.objects.update(route="nowhere")
        self.expect("free-finding", finding, is_open=False)

    def test_what_is_undone_with_its_savepoint_is_as_before(self):
        point = transaction.savepoint()
        Crate.objects.filter(pk=self.crate.pk).update(look="refused")
        transaction.savepoint_rollback(point)
        self.expect("closed-crate", self.crate, is_open=True)

    def test_a_fresh_fill_gives_the_same(self):
        before = set(OpenWork.objects.values_list("what", "key"))
        OpenWork.objects.all().delete()
        assert len(differing()) == len(before)
        fill(connection, *OPEN_KINDS)
        assert set(OpenWork.objects.values_list("what", "key")) == before

    def test_every_kind_of_difference_is_named(self):
        OpenWork.objects.filter(what="truck").delete()
        OpenWork.objects.create(what="pod", key=987)
        assert differing() == [
            f"The derived table inventory_openwork lacks: what truck, key {self.truck.pk}.",
            "The derived table inventory_openwork has by mistake: what pod, key 987.",
        ]


class TestSums(TestCase):
    """A book of entries on drawn days, some of them entered late."""

    @classmethod
    def setUpTestData(cls):
        cls.book = ledger.make_book()
        dice = Random(SEED)
        cls.deposits = [ledger.charge(cls.book) for _ in range(4)]
        for number in range(24):
            deposit = dice.choice(cls.deposits)
            cents = dice.choice((100, 250, 400))
            sides = dice.choice(
                ((EXPECTED, RECEIVABLE), (SUPPLIER, RECEIVABLE), (RECEIVABLE, SUPPLIER))
            )
            ledger.post(
                cls.book,
                "credit-expected",
                (
                    Line(sides[0], cents, deposit.pk),
                    Line(sides[1], -cents, deposit.pk),
                ),
                effective_on=ledger.DAY + dt.timedelta(days=dice.randrange(90)),
                posting_key=f"drawn-{number}",
            )

    def by_hand(self, last):
        rows = Leg.objects.filter(entry__effective_on__lte=last).order_by()
        return dict(rows.values_list("account").annotate(Sum("cents")))

    def days(self):
        return (FIRST + dt.timedelta(days=count) for count in range(0, 150, 3))

    def test_the_balances_of_every_day_are_those_of_the_legs(self):
        accounts = Account.objects.all()
        assert differing() == []
        for day in self.days():
            assert moved_until(accounts, day) == self.by_hand(day), day

    def test_what_moved_in_a_span_is_what_its_legs_say(self):
        accounts = Account.objects.all()
        spans = [
            (day, day + dt.timedelta(days=length))
            for day, length in zip(self.days(), range(0, 100, 2), strict=False)
        ]
        for first, last in spans:
            before = self.by_hand(first - dt.timedelta(days=1))
            legs = Leg.objects.filter(entry__effective_on__range=(first, last))
            expected = {}
            for key in self.by_hand(last):
                own = list(legs.filter(account=key).values_list("cents", flat=True))
                expected[key] = Moved(
                    before.get(key, 0),
                    sum(one for one in own if one > 0),
                    -sum(one for one in own if one < 0),
                )
            assert moved_in(accounts, first, last) == expected, (first, last)

    def test_what_is_open_on_a_day_is_what_its_legs_left(self):
        places = [self.book.location]
        now = {row.pk: sums_on(row) for row in open_deposits(places)}
        late = {row.pk: sums_on(row) for row in open_deposits(places, dt.date.max)}
        assert now == late
        for day in self.days():
            rows = with_balances(type(self.deposits[0]).objects.all(), day)
            stood = {row.pk: sums_on(row) for row in rows}
            found = {row.pk: sums_on(row) for row in open_deposits(places, day)}
            assert found == {
                key: one
                for key, one in stood.items()
                if one.receivable or one.expected or one.disputed
            }, day

    def test_a_changed_sum_is_named_and_a_fill_mends_it(self):
        row = OpenSum.objects.order_by("pk").first()
        OpenSum.objects.filter(pk=row.pk).update(cents=row.cents + 1)
        AccountMonth.objects.order_by("pk").first().delete()
        assert len(differing()) == 3
        fill_sums(connection)
        assert differing() == []
