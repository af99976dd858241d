"""What is open by age, what does not match, and what the credit is reckoned from."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test import TestCase
from django.test.utils import CaptureQueriesContext

from inventory.models import CrateCheck, CrateReturn, Deposit, PartDeduction
from inventory.queries.deposits.aging import ageing_of
from inventory.queries.deposits.facts import facts_of, terms_for, terms_of, with_facts
from inventory.queries.deposits.open_book import OpenBook
from inventory.queries.deposits.unmatched import (
    charged_though_refused,
    charged_without_crate,
    crates_without_charge,
    loose_at,
)
from inventory.rules.deposits import aging as ageing
from inventory.rules.deposits import postings
from inventory.rules.deposits.credit import credit_on
from tests.ledger import AT, DAY, charge, charged_crate, make_book, make_terms, post
from tests.making import (
    make_crate,
    make_crate_type,
    make_delivery,
    make_packaging_hold,
    make_reusable,
)

pytestmark = pytest.mark.database

TODAY = date(2026, 6, 1)


class Case(TestCase):
    def setUp(self):
        self.book = make_book()
        self.places = [self.book.location]

    def arrived(self, day):
        return make_delivery(location=self.book.location, arrived_on=day)


class TestMismatches(Case):
    def test_charged_without_a_crate(self):
        loose = charge(self.book)
        charged_crate(self.book)
        racks = make_crate_type(self.book.supplier, kept_by="count")
        charge(self.book, crate_type=racks)
        gone = charge(self.book)
        post(self.book, "forfeiture", postings.forfeited(gone.pk, 12_000))

        assert list(charged_without_crate(loose_at(self.places))) == [loose]
        assert OpenBook(self.places).loose() == loose_at(self.places)

    def test_a_crate_without_a_charge_once_its_invoice_may_be_expected(self):
        old, new = self.arrived(date(2026, 5, 20)), self.arrived(date(2026, 5, 30))
        bill = self.book.shipment
        waiting = make_reusable(bill, delivery=old)
        make_reusable(bill, delivery=new)
        make_reusable(bill, delivery=old, state="shipped")
        make_crate(bill, delivery=old)
        make_crate(bill, delivery=old, kind="reusable", look="refused")
        racks = make_crate_type(self.book.supplier, kept_by="count")
        make_reusable(bill, delivery=old, crate_type=racks)
        charge(self.book, crates=[make_reusable(bill, delivery=old)])

        assert list(
            crates_without_charge(OpenBook(self.places), self.places, TODAY)
        ) == [waiting]
        late = TODAY - timedelta(days=7)
        assert (
            list(crates_without_charge(OpenBook(self.places), self.places, late)) == []
        )

    def test_charged_though_refused_by_match_and_by_mark(self):
        crate, matched = charged_crate(self.book)
        type(crate).objects.filter(pk=crate.pk).update(look="refused", state="")
        marked = charge(self.book, marks=["HT-X9"])
        make_crate(self.book.shipment, kind="reusable", look="refused", mark="HT-X9")
        charge(self.book, marks=["HT-X8"])

        assert list(charged_though_refused(OpenBook(self.places))) == [matched, marked]


class TestAgeing(Case):
    def test_crates_here_by_days_left_and_credits_by_days_late(self):
        make_terms(self.book.supplier, full_days=90)
        charged_crate(self.book)  # invoiced 10 March: full to 8 June, 7 days left
        _, back = charged_crate(self.book)
        self.send_back(back, memo_due_on=date(2026, 5, 1))
        _, disputed = charged_crate(self.book)
        self.send_back(disputed, memo_due_on=date(2026, 6, 9))
        lines = postings.short_disputed(disputed.pk, 2_000)
        post(self.book, "dispute", lines)

        (found,) = ageing_of(self.places, {self.book.location.pk: TODAY})

        assert filled(found.here) == {"0-7": (1, 12_000)}
        assert filled(found.expected) == {"31-60": (1, 12_000), "current": (1, 10_000)}
        assert (found.disputed_count, found.disputed_cents) == (1, 2_000)

    def send_back(self, deposit, **over):
        back = CrateReturn.objects.create(
            currency="USD",
            location=self.book.location,
            supplier=self.book.supplier,
            number=f"R-{deposit.pk}",
            state="shipped",
            picked_up_on=DAY,
            made_at=AT,
            made_by=self.book.who.abel,
            **over,
        )
        back.lines.create(crate=deposit.crate, deposit=deposit)
        lines = postings.credit_expected(deposit.pk, expected=12_000)
        post(self.book, "credit-expected", lines)

    def test_it_takes_as_many_queries_with_many_deposits(self):
        make_terms(self.book.supplier)
        todays = {self.book.location.pk: TODAY}
        charged_crate(self.book)
        with CaptureQueriesContext(connection) as one:
            ageing_of(self.places, todays)
        for _ in range(5):
            charged_crate(self.book)

        with CaptureQueriesContext(connection) as many:
            ageing_of(self.places, todays)

        assert len(many) == len(one)

    def test_without_terms_no_day_is_counted(self):
        charged_crate(self.book)

        (found,) = ageing_of(self.places, {self.book.location.pk: TODAY})

        assert filled(found.here) == {"no-day": (1, 12_000)}


def filled(buckets):
    return {one.key: (one.count, one.cents) for one in buckets if one.count}


@pytest.mark.parametrize(
    ("late", "bucket"),
    [
        (-400, "current"),
        (0, "current"),
        (1, "1-30"),
        (30, "1-30"),
        (31, "31-60"),
        (60, "31-60"),
        (61, "61-90"),
        (90, "61-90"),
        (91, "over-90"),
    ],
)
def test_the_day_after_a_bucket_begins_the_next(late, bucket):
    assert ageing.overdue_bucket(TODAY - timedelta(days=late), TODAY) == bucket


@pytest.mark.parametrize(
    ("left", "bucket"),
    [
        (None, "no-day"),
        (-1, "past"),
        (0, "0-7"),
        (7, "0-7"),
        (8, "8-14"),
        (14, "8-14"),
        (15, "15-30"),
        (30, "15-30"),
        (31, "over-30"),
    ],
)
def test_days_left_fall_into_buckets_too(left, bucket):
    assert ageing.left_bucket(left) == bucket


def test_what_has_no_due_day_is_not_late():
    assert ageing.overdue_bucket(None, TODAY) == "current"


class TestFacts(Case):
    def joined(self, deposit):
        return with_facts(Deposit.objects.filter(pk=deposit.pk)).get()

    def test_the_terms_of_the_invoice_day_hold_the_later_row_first(self):
        supplier = self.book.supplier
        old = make_terms(supplier, starts_on=date(2026, 1, 1))
        make_terms(supplier, starts_on=date(2026, 3, 11))
        newer = make_terms(supplier, starts_on=date(2026, 1, 1))

        assert terms_for(supplier, DAY) == newer != old
        assert terms_for(supplier, date(2025, 12, 31)) is None
        assert charge(self.book).terms == newer

    def test_the_last_check_is_priced_by_the_deposits_terms(self):
        terms = make_terms(self.book.supplier, ceiling_percent=Decimal(50))
        crate, deposit = charged_crate(self.book)
        part = crate.crate_type.parts.get(name="side panel")
        PartDeduction.objects.create(
            terms=terms, part=part, missing_cents=1_500, damaged_cents=500
        )
        for missing in (3, 2):
            check = CrateCheck.objects.create(
                crate=crate,
                result="incomplete",
                checked_at=AT,
                checked_by=self.book.who.tomas,
            )
            check.lines.create(part=part, missing=missing, damaged=1)

        row = self.joined(deposit)
        credit = credit_on(terms_of(row), facts_of(row, DAY + timedelta(days=10)))

        assert credit.deductions.cents == 2 * 1_500 + 500
        assert credit.credited.cents == 12_000 - 3_500

    def test_two_holds_count_as_one_with_all_their_days(self):
        facts = self.held((1, 5), (10, 16))
        assert (facts.held_to - facts.held_from).days == 4 + 6
        assert facts.is_clock_stopped

    def test_of_two_holds_the_days_before_the_clock_starts_do_not_count(self):
        # Ten days, six of them before the invoice, then three.
        facts = self.held((-6, 4), (9, 12))
        leaves = replace(facts, leaves_on=DAY + timedelta(days=97))
        credit = credit_on(terms_of(self.row), leaves)
        assert credit.days_out == 97 - (4 + 3)
        assert credit.last_full_day == DAY + timedelta(days=97)
        (bare,) = OpenBook([self.book.location]).rows
        assert OpenBook([self.book.location]).facts.facts_of(bare.bare, TODAY) == facts

    def held(self, *spans):
        """Charge a crate that was on hold for these spans, its clock stopped."""
        make_terms(self.book.supplier)
        crate, deposit = charged_crate(self.book)
        for placed, released in spans:
            make_packaging_hold(
                crate,
                placed_on=DAY + timedelta(days=placed),
                released_on=DAY + timedelta(days=released),
                released_at=AT,
                released_how="manager",
                supplier_stopped_on=DAY,
            )
        self.row = self.joined(deposit)
        return facts_of(self.row, TODAY)
