"""Crates go home: staged, shipped with a credit expected, received, lost."""

from datetime import date, timedelta

import pytest
from django.test import TestCase

from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.actions.deposits.earlier_credits import bring_in_credits
from inventory.actions.deposits.ending import forfeit_deposit
from inventory.actions.memos.posting import post_memo
from inventory.actions.memos.short_credits import dispute_short
from inventory.actions.returns.arrival import receive_return
from inventory.actions.returns.losses import lose_crate
from inventory.actions.returns.staging import cancel_return, change_return, take_off
from inventory.models import (
    Crate,
    CrateCheckLine,
    CrateReturn,
    Entry,
    Event,
    ReturnLine,
    ShortCredit,
)
from inventory.queries.returns.listing import counts_on, with_counts
from tests import making
from tests.ledger import DAY, charge
from tests.returning import (
    AT,
    LEFT,
    balances,
    begin,
    decided,
    expect_books_in_order,
    make_stage,
    memo_of,
    ready_crate,
    ship,
    shipped,
    stage,
)

pytestmark = pytest.mark.database


def states(book):
    return [Crate.objects.get(pk=crate.pk).state for crate in book.crates]


class TestReturns(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_stage()

    def who(self):
        return {"person": self.book.who.rosa, "at": AT}

    def test_a_return_gets_the_next_number(self):
        first, second = begin(self.book), begin(self.book)
        assert (first.number, second.number) == ("R-RIV-2026-0001", "R-RIV-2026-0002")
        assert first.currency == "USD"

    def test_crates_are_staged_and_leave(self):
        row = begin(self.book)
        stage(self.book, row)
        assert states(self.book) == ["staged"] * 3
        ship(self.book, row)
        assert states(self.book) == ["shipped"] * 3
        assert row.lines.get(crate=self.book.crates[0]).expected_cents == 12_000
        row.refresh_from_db()
        assert (row.state, row.picked_up_on) == ("shipped", LEFT)
        assert row.memo_due_on == LEFT + timedelta(days=30)
        assert balances() == {"credits-expected": 36_000, "supplier-account": -36_000}
        expect_books_in_order()

    def test_a_second_ship_of_the_same_form_posts_nothing(self):
        row = shipped(self.book)
        before = balances()
        with pytest.raises(RefusedError, match="was already shipped"):
            ship(self.book, row)
        assert balances() == before

    def test_the_drivers_count_is_kept_and_stops_nothing(self):
        row = shipped(
            self.book, driver_name="Lou Parr", driver_count=2, how_signed="signed"
        )
        row.refresh_from_db()
        assert row.driver_count == 2
        event = Event.objects.filter(kind="return.counted").get()
        assert (event.data["signed"], event.data["listed"]) == (2, 3)

    def test_a_late_crate_loses_by_its_terms(self):
        row = begin(self.book)
        stage(self.book, row)
        day = date(2026, 6, 20)  # day 102: half
        ship(self.book, row, left_on=day, billed_on=day)
        line = row.lines.first()
        assert (line.expected_cents, line.late_cents) == (6_000, 6_000)
        assert any("102" in step for step in line.steps)
        assert balances()["forfeited-deposits"] == 18_000
        expect_books_in_order()

    def test_parts_come_off_at_their_price(self):
        crate = self.book.crates[0]
        panel = self.book.crate_type.parts.first()
        self.book.terms.deductions.create(
            part=panel, missing_cents=1_500, damaged_cents=900
        )
        check = crate.checks.create(
            result="incomplete", checked_at=AT, checked_by=self.book.who.tomas
        )
        CrateCheckLine.objects.create(check_of=check, part=panel, missing=2)
        Crate.objects.filter(pk=crate.pk).update(state="incomplete")
        row = shipped(self.book, [crate])
        line = row.lines.get()
        assert (line.expected_cents, line.parts_cents) == (9_000, 3_000)
        assert balances()["crate-charges"] == 3_000

    def test_a_loss_by_a_packaging_hold_is_a_dispute_of_its_own(self):
        crate = self.book.crates[0]
        making.make_packaging_hold(
            crate,
            placed_on=date(2026, 3, 20),
            released_at=AT,
            released_on=date(2026, 4, 9),
            released_how="inspected",
        )
        day = date(2026, 6, 20)  # day 102, less 20 held: full
        row = shipped(self.book, [crate], left_on=day, billed_on=day)
        line = row.lines.get()
        assert (line.expected_cents, line.late_cents, line.hold_cents) == (
            6_000,
            0,
            6_000,
        )
        short = ShortCredit.objects.get()
        assert (short.cause, short.state, short.amount_cents) == (
            "hold",
            "disputed",
            6_000,
        )
        expect_books_in_order()

    def test_a_crate_without_a_deposit_goes_too(self):
        bare = making.make_reusable(
            self.book.shipment, state="complete", crate_type=self.book.crate_type
        )
        row = shipped(self.book, [bare])
        line = row.lines.get()
        assert line.expected_cents is None
        assert "no credit is expected" in line.steps[0]

    def test_racks_kept_by_count_take_the_oldest_charge(self):
        kind = making.make_crate_type(self.book.supplier, kept_by="count")
        later = charge(self.book, crate_type=kind, invoiced_on=date(2026, 3, 20))
        older = charge(self.book, crate_type=kind, invoiced_on=date(2026, 3, 2))
        rack = making.make_reusable(
            self.book.shipment, state="complete", crate_type=kind, mark=""
        )
        row = shipped(self.book, [rack])
        assert row.lines.get().deposit_id == older.pk
        later.refresh_from_db()
        assert later.crate_id is None

    def test_a_rack_takes_no_deposit_that_was_forfeited(self):
        kind = making.make_crate_type(self.book.supplier, kept_by="count")
        older, later = self.charged_racks(kind)
        forfeit_deposit(
            deposit=older,
            forfeited_on=LEFT,
            reason="Scrapped.",
            posting_key="scrapped",
            person=self.book.who.abel,
            at=AT,
        )
        row = shipped(self.book, [self.rack(kind)])
        line = row.lines.get()
        assert (line.deposit_id, line.expected_cents) == (later.pk, 12_000)
        again = shipped(self.book, [self.rack(kind)])
        assert again.lines.get().deposit is None

    def test_a_rack_takes_no_credit_of_one_that_went_home_before(self):
        kind = making.make_crate_type(self.book.supplier, kept_by="count")
        bring_in_credits(
            location=self.book.location,
            supplier=self.book.supplier,
            bill_number="R-1",
            shipped_on=date(2026, 2, 2),
            reference="",
            crate_type=kind,
            count=1,
            amount_cents=5_000,
            marks=[],
            currency="USD",
            opened_on=date(2026, 3, 1),
            posting_key="went-before",
            person=self.book.who.abel,
            at=AT,
        )
        older, _later = self.charged_racks(kind)
        row = shipped(self.book, [self.rack(kind)])
        assert row.lines.get().deposit_id == older.pk

    def charged_racks(self, kind):
        """Charge two racks; return the older charge first."""
        days = (date(2026, 3, 2), date(2026, 3, 20))
        return [charge(self.book, crate_type=kind, invoiced_on=day) for day in days]

    def rack(self, kind):
        return making.make_reusable(
            self.book.shipment, state="complete", crate_type=kind, mark=""
        )

    def test_a_crate_of_another_supplier_stays(self):
        other = making.make_reusable(
            making.make_shipment(location=self.book.location), state="complete"
        )
        row = begin(self.book)
        with pytest.raises(RefusedError, match="does not belong to"):
            stage(self.book, row, [self.book.crates[0], other])
        assert states(self.book)[0] == "complete"

    def test_a_return_is_in_the_one_currency_of_its_deposits(self):
        euros = [
            making.make_reusable(self.book.shipment, state="complete") for _ in "ab"
        ]
        for crate in euros:
            charge(self.book, crates=[crate], marks=[crate.mark], currency="EUR")
        row = begin(self.book)
        with pytest.raises(RefusedError, match="in EUR and USD"):
            stage(self.book, row, [self.book.crates[0], euros[0]])
        stage(self.book, row, euros[:1])
        with pytest.raises(RefusedError, match="in EUR and USD"):
            stage(self.book, row, self.book.crates)
        stage(self.book, row, euros[1:])
        ship(self.book, row)
        counts = counts_on(with_counts(CrateReturn.objects.all()).get(pk=row.pk))
        assert (counts.expected_cents, counts.currency) == (24_000, "EUR")

    def test_a_crate_on_hold_stays(self):
        making.make_packaging_hold(self.book.crates[0])
        with pytest.raises(RefusedError, match="on hold"):
            stage(self.book, begin(self.book))
        assert states(self.book) == ["complete"] * 3

    def test_a_crate_is_on_one_return_at_a_time(self):
        stage(self.book, begin(self.book))
        with pytest.raises(RefusedError, match="already staged"):
            stage(self.book, begin(self.book))

    def test_a_crate_is_taken_off_and_can_be_staged_again(self):
        row = begin(self.book)
        line = stage(self.book, row)[0]
        take_off(line=line, version=line.version, reason="Too wet.", **self.who())
        assert states(self.book) == ["complete", "staged", "staged"]
        with pytest.raises(StaleRowError):
            take_off(line=line, version=line.version, reason="Again.", **self.who())
        stage(self.book, row, [self.book.crates[0]])
        assert ReturnLine.objects.filter(crate=self.book.crates[0]).count() == 2

    def test_a_cancelled_return_gives_its_crates_back(self):
        row = begin(self.book)
        stage(self.book, row)
        cancel_return(
            crate_return=row, version=row.version, reason="No truck.", **self.who()
        )
        assert states(self.book) == ["complete"] * 3
        with pytest.raises(RefusedError, match="canceled"):
            stage(self.book, row)

    def test_an_empty_return_does_not_leave(self):
        with pytest.raises(RefusedError, match="No crate is staged"):
            ship(self.book, begin(self.book))

    def test_an_authorization_is_asked_for(self):
        self.book.supplier.needs_return_authorization = True
        self.book.supplier.save()
        row = begin(self.book)
        stage(self.book, row)
        with pytest.raises(RefusedError, match="authorization"):
            ship(self.book, row)
        row.refresh_from_db()
        change_return(
            crate_return=row,
            version=row.version,
            authorization="RA-881",
            **self.who(),
        )
        assert ship(self.book, row).state == "shipped"

    def test_freight_is_posted_only_where_the_supplier_bills_it(self):
        shipped(self.book, self.book.crates[:1], freight_cents=4_500)
        assert "return-freight" not in balances()
        shipped(
            self.book,
            self.book.crates[1:2],
            freight_cents=4_500,
            supplier_bills_freight=True,
        )
        assert balances()["return-freight"] == 4_500

    def test_a_bill_dated_after_the_truck_is_refused(self):
        row = begin(self.book)
        stage(self.book, row)
        with pytest.raises(RefusedError, match="dated after the truck left"):
            ship(self.book, row, billed_on=LEFT + timedelta(days=1))
        assert states(self.book) == ["staged"] * 3

    def test_a_locked_day_does_not_hold_a_truck(self):
        from inventory.models import PeriodLock

        PeriodLock.objects.create(
            location=self.book.location,
            through=date(2026, 4, 5),
            locked_at=AT,
            locked_by=self.book.who.abel,
        )
        row = shipped(self.book)
        entry = row.lines.first().expected_entry
        assert entry.effective_on == date(2026, 4, 6)

    def test_a_receipt_moves_the_memos_day(self):
        row = shipped(self.book)
        row.refresh_from_db()
        got = receive_return(
            crate_return=row,
            version=row.version,
            received_on=LEFT + timedelta(days=4),
            **self.who(),
        )
        assert got.state == "received"
        assert got.memo_due_on == LEFT + timedelta(days=34)

    def test_a_receipt_before_the_truck_left_is_refused(self):
        row = shipped(self.book)
        row.refresh_from_db()
        with pytest.raises(RefusedError, match="before the return was shipped"):
            receive_return(
                crate_return=row,
                version=row.version,
                received_on=LEFT - timedelta(days=1),
                **self.who(),
            )

    def test_a_lost_crate_is_a_loss_against_its_carrier(self):
        row = shipped(self.book)
        line = row.lines.get(crate=self.book.crates[0])
        lose_crate(
            line=line,
            version=line.version,
            lost_on=LEFT + timedelta(days=9),
            reason="Two of three arrived.",
            **self.who(),
        )
        assert states(self.book) == ["lost", "shipped", "shipped"]
        assert balances()["carrier-losses"] == 12_000
        short = ShortCredit.objects.get()
        assert (short.cause, short.state) == ("lost", "accepted")
        expect_books_in_order()

    def test_a_crate_lost_before_its_credit_was_disputed_is_a_loss_too(self):
        row = shipped(self.book)
        one, two, three = self.book.crates
        memo = memo_of(self.book, (two, 12_000), (three, 12_000))
        post_memo(memo=memo, version=memo.version, person=self.book.who.abel, at=AT)
        short = ShortCredit.objects.get()
        disputed = decided(self.book, on=LEFT + timedelta(days=24))
        dispute_short(short=short, version=short.version, decided=disputed)
        lose_crate(
            line=(line := row.lines.get(crate=one)),
            version=line.version,
            lost_on=LEFT + timedelta(days=9),
            reason="It never arrived.",
            **self.who(),
        )
        loss = Entry.objects.get(kind="carrier-loss")
        assert loss.effective_on == disputed.on
        assert balances()["carrier-losses"] == 12_000
        expect_books_in_order()

    def test_the_suppliers_own_truck_loses_nothing_as_a_carrier(self):
        truck = making.make_carrier(mode="supplier-truck")
        row = shipped(self.book, carrier=truck)
        line = row.lines.first()
        with pytest.raises(RefusedError, match="supplier's driver signed"):
            lose_crate(
                line=line,
                version=line.version,
                lost_on=LEFT,
                reason="Gone.",
                **self.who(),
            )


class TestReceiptStopsTheClock(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_stage(crates=1, clock_stops="receipt", transit_days=2)

    def test_a_later_receipt_restates_the_credit(self):
        day = date(2026, 6, 6)  # day 88, and 2 on the road: day 90, full
        row = shipped(self.book, left_on=day, billed_on=day)
        assert row.lines.get().expected_cents == 12_000
        row.refresh_from_db()
        receive_return(
            crate_return=row,
            version=row.version,
            received_on=date(2026, 6, 11),
            person=self.book.who.rosa,
            at=AT,
        )
        line = row.lines.get()
        assert (line.expected_cents, line.late_cents) == (6_000, 6_000)
        assert balances() == {
            "credits-expected": 6_000,
            "forfeited-deposits": 6_000,
            "supplier-account": -12_000,
        }
        expect_books_in_order()

    def test_a_receipt_so_late_that_the_hold_cost_nothing_ends_its_dispute(self):
        # Day 97 less ten held is in time; day 140 earns nothing even without them.
        making.make_packaging_hold(
            self.book.crates[0],
            placed_on=DAY,
            released_on=DAY + timedelta(days=10),
            released_at=AT,
            released_how="inspected",
        )
        left = DAY + timedelta(days=95)
        row = shipped(self.book, left_on=left, billed_on=left)
        held = ShortCredit.objects.get()
        assert (held.state, held.amount_cents) == ("disputed", 6_000)
        row.refresh_from_db()
        receive_return(
            crate_return=row,
            version=row.version,
            received_on=DAY + timedelta(days=140),
            person=self.book.who.rosa,
            at=AT,
        )
        assert balances() == {
            "forfeited-deposits": 12_000,
            "supplier-account": -12_000,
        }
        # The whole loss is lateness: nobody accepted 60.00 of it besides.
        held.refresh_from_db()
        assert held.state == "reversed"
        expect_books_in_order()

    def test_a_crate_too_late_for_anything_is_settled_by_its_receipt(self):
        day = date(2026, 9, 1)
        row = shipped(self.book, left_on=day, billed_on=day)
        assert row.lines.get().expected_cents == 0
        row.refresh_from_db()
        got = receive_return(
            crate_return=row,
            version=row.version,
            received_on=day + timedelta(days=2),
            person=self.book.who.rosa,
            at=AT,
        )
        assert got.state == "closed"
        self.book.crates[0].refresh_from_db()
        assert self.book.crates[0].state == "short-credited"


class TestWithoutTerms(TestCase):
    def test_the_whole_deposit_is_expected(self):
        book = make_stage(crates=0, terms=False)
        crate = ready_crate(book)
        line = shipped(book, [crate]).lines.get()
        assert line.expected_cents == 12_000
        assert "No crate terms" in line.steps[0]
