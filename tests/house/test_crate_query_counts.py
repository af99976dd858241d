"""Every page of crates takes as many queries with five rows, or twenty, as with one."""

import itertools

import pytest
from django.test import TestCase
from django.urls import reverse

from inventory.actions.crates.checks import PartChecked, check_crate
from inventory.models import Deposit
from tests import ledger, making
from tests.house.addresses import undone
from tests.house.counting import CountsQueries
from tests.people import cast

pytestmark = [pytest.mark.database, pytest.mark.slow]

_count = itertools.count(1)


def one_crate(who, shipment, terms):
    """Make a checked crate with its deposit, its hold gone by, and one that stands."""
    crate = making.make_reusable(shipment)
    part = crate.crate_type.parts.first()
    check_crate(
        person=who.tomas,
        at=making.ARRIVED,
        crate=crate,
        found=[PartChecked(part.pk, missing=1)],
    )
    making.make_packaging_hold(crate)
    Deposit.objects.create(
        currency="USD",
        location=shipment.location,
        supplier=shipment.supplier,
        crate=crate,
        crate_type=crate.crate_type,
        terms=terms,
        invoice_number="HTI-1",
        line_number=next(_count),
        invoiced_on=ledger.DAY,
        amount_cents=12_000,
        charged_at=making.ARRIVED,
        charged_by=who.abel,
    )
    return crate


def one_type_with_terms(supplier):
    """Add a type with a parts list, and terms that price all of it."""
    crate_type = making.make_crate_type(supplier)
    terms = ledger.make_terms(supplier, rates=[(crate_type, 12_000)])
    for part in crate_type.parts.all():
        terms.deductions.create(part=part, missing_cents=900, damaged_cents=500)


def one_more_of_everything(who, crate):
    """Check the crate again, photograph it and find something else on it."""
    check_crate(person=who.tomas, at=making.ARRIVED, crate=crate, found=())
    making.make_evidence(shipment=crate.shipment, crate=crate, recorded_by=who.tomas)
    making.make_packaging_hold(
        crate,
        released_at=making.ARRIVED,
        released_on=making.ARRIVED.date(),
        released_how="inspected",
        released_by=who.mina,
    )
    unit = making.make_unit(crate.shipment, crate=crate)
    making.make_finding(
        making.make_inspection(crate=crate, unit=unit, looked_by=who.tomas)
    )


class TestCrateQueries(CountsQueries, TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.shipment = making.make_shipment(location=cls.who.riverside)
        cls.terms = ledger.make_terms(cls.shipment.supplier)

    def test_the_lists_and_desks(self):
        for name, person, query in (
            ("crates", "mina", ""),
            ("crates", "mina", "?which=held"),
            ("bench", "tomas", ""),
            ("claims", "mina", ""),
        ):
            with self.subTest(page=name + query), undone():
                self.expect_same(
                    reverse(name) + query,
                    person,
                    lambda _n: one_crate(self.who, self.shipment, self.terms),
                )

    def test_the_bench_with_crates_to_check(self):
        self.expect_same(
            reverse("bench"), "tomas", lambda _n: making.make_reusable(self.shipment)
        )

    def test_a_suppliers_types_and_terms(self):
        supplier = self.shipment.supplier
        self.expect_same(
            reverse("crate_types", args=[supplier.pk]),
            "abel",
            lambda _n: one_type_with_terms(supplier),
        )

    def test_the_page_of_a_crate_and_of_its_hold(self):
        for name in ("crate", "packaging_hold"):
            with self.subTest(page=name), undone():
                crate = making.make_reusable(self.shipment)
                row = crate
                if name == "packaging_hold":
                    row = making.make_packaging_hold(
                        crate,
                        released_at=making.ARRIVED,
                        released_on=making.ARRIVED.date(),
                        released_how="manager",
                    )
                self.expect_same(
                    reverse(name, args=[row.pk]),
                    "mina",
                    lambda _n, crate=crate: one_more_of_everything(self.who, crate),
                )
