"""What the ledger posts, and each thing it refuses, in its own words."""

from datetime import timedelta
from unittest import mock

import pytest
from django.db import transaction
from django.test import TestCase

from inventory.actions.core.versions import RefusedError
from inventory.actions.deposits.ending import match_deposit
from inventory.actions.deposits.write_offs import approve_write_off, ask_write_off
from inventory.actions.ledger.locks import book_key, lock_book, lock_books
from inventory.actions.ledger.posting import ChangedPostingError, lines_of
from inventory.actions.ledger.reversals import reverse_entry
from inventory.models import (
    Entry,
    Event,
    Leg,
    Location,
    ShortCredit,
    Supplier,
)
from inventory.queries.ledger.balances import (
    account_balances,
    deposit_balance,
    open_deposits,
    running_rows,
)
from inventory.rules.deposits import postings
from tests.ledger import AT, DAY, charge, make_book, post
from tests.making import make_carrier, make_crate, make_reusable, make_supplier

pytestmark = pytest.mark.database

NEXT = DAY + timedelta(days=1)


class Case(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_book()
        cls.deposit = charge(cls.book)

    def ship(self, expected=12_000, **over):
        lines = postings.credit_expected(self.deposit.pk, expected=expected)
        return post(self.book, "credit-expected", lines, **over)

    def pay(self, paid, expected, **over):
        lines = postings.memo_paid(self.deposit.pk, paid=paid, expected=expected)
        return post(self.book, "memo", lines, **over)

    def reverse(self, entry, key="undo", on=NEXT):
        return reverse_entry(
            entry=entry,
            effective_on=on,
            reason="A mistake",
            posting_key=key,
            person=self.book.who.abel,
            at=AT,
        )


class TestPosting(Case):
    def test_the_event_tells_every_leg(self):
        event = Event.objects.get(kind="ledger.posted")

        assert [leg["cents"] for leg in event.data["legs"]] == [12_000, -12_000]
        assert [leg["position"] for leg in event.data["legs"]] == [1, 2]
        assert event.data["entry"]["id"] == str(Entry.objects.get().pk)

    def test_the_same_key_gives_the_same_entry(self):
        first = self.ship(posting_key="one")

        assert self.ship(posting_key="one") == first
        with pytest.raises(ChangedPostingError):
            self.ship(posting_key="one", expected=11_000)

    def test_more_is_not_taken_out_than_is_there(self):
        with pytest.raises(RefusedError) as refused:
            self.ship(expected=12_001)
        assert "has USD 120.00 in deposits" in str(refused.value)
        assert "this would take out USD 120.01." in str(refused.value)

    def test_nothing_is_taken_out_before_it_came_in(self):
        with pytest.raises(RefusedError, match=r"has USD 0\.00 in deposits"):
            self.ship(effective_on=DAY - timedelta(days=1))

    def test_a_later_posting_is_not_undercut_by_an_earlier_one(self):
        self.ship(effective_on=NEXT)

        with pytest.raises(RefusedError, match=r"has USD 0\.00"):
            self.ship(expected=1, effective_on=DAY)

    def test_a_memo_beyond_the_deposit_would_credit_it_twice(self):
        self.ship()
        self.pay(6_000, 6_000)

        with pytest.raises(RefusedError, match="credited twice"):
            self.pay(12_000, 6_000)
        self.pay(6_000, 6_000)
        assert deposit_balance(self.deposit) == 0

    def test_a_memo_for_more_than_expected_but_not_than_charged_is_taken(self):
        lines = postings.credit_expected(self.deposit.pk, expected=9_000, late=3_000)
        post(self.book, "credit-expected", lines)

        entry = self.pay(12_000, 9_000)

        assert lines_of(entry)[-1] == postings.Line(
            "crate-charges", -3_000, self.deposit.pk
        )

    def test_a_deposit_of_another_supplier_is_refused(self):
        lines = postings.forfeited(self.deposit.pk, 100)

        with pytest.raises(RefusedError, match="another location, supplier"):
            post(self.book, "forfeiture", lines, supplier=make_supplier())

    def test_crooked_lines_are_refused(self):
        lines = (postings.Line("return-freight", 5), postings.Line("x", -4))

        with pytest.raises(RefusedError, match="sum to zero"):
            post(self.book, "return-freight", lines)

    def test_an_unknown_kind_is_a_mistake_of_the_code(self):
        with pytest.raises(LookupError):
            post(self.book, "guess", postings.freight_billed(100))

    def test_what_is_refused_leaves_nothing(self):
        before = Entry.objects.count(), Leg.objects.count(), Event.objects.count()

        with pytest.raises(RefusedError):
            self.ship(expected=12_001)

        after = Entry.objects.count(), Leg.objects.count(), Event.objects.count()
        assert after == before


class TestReversing(Case):
    def test_a_reversal_is_the_mirror_and_happens_once(self):
        entry = self.ship()
        undoing = self.reverse(entry)

        assert lines_of(undoing) == postings.undone(lines_of(entry))
        assert self.reverse(entry) == undoing
        with pytest.raises(RefusedError, match="already reversed"):
            self.reverse(entry, key="again")
        with pytest.raises(RefusedError, match="A reversal cannot be reversed"):
            self.reverse(undoing, key="back")

    def test_what_was_paid_out_of_it_comes_first(self):
        shipped = self.ship()
        self.pay(12_000, 12_000)

        with pytest.raises(RefusedError, match="in credits expected"):
            self.reverse(shipped)


class TestLocks(Case):
    def test_a_lock_needs_a_transaction(self):
        # Django's own test transaction is one, so step outside its bookkeeping.
        connection = transaction.get_connection()
        connection.in_atomic_block = False
        try:
            with pytest.raises(transaction.TransactionManagementError):
                lock_book(self.book.location, self.book.supplier, "USD")
        finally:
            connection.in_atomic_block = True

    def test_several_are_taken_once_and_in_one_order(self):
        at, supplier = self.book.location, self.book.supplier
        more = [make_supplier(name=f"Supplier {number}") for number in range(4)]
        books = [(at, one, "USD") for one in (supplier, make_carrier(), *more)]
        books.append((at, supplier, "CAD"))
        orders = []
        for asked in (books, [*reversed(books), *books]):
            with mock.patch("inventory.actions.ledger.locks.lock_book") as taken:
                lock_books(asked)
            orders.append([one.args for one in taken.call_args_list])

        assert orders[0] == orders[1] == sorted(books, key=lambda one: book_key(*one))


class TestBalances(Case):
    def test_they_are_of_any_day(self):
        self.ship(effective_on=NEXT)

        assert deposit_balance(self.deposit, "deposits-receivable", DAY) == 12_000
        assert deposit_balance(self.deposit, "deposits-receivable", NEXT) == 0
        assert deposit_balance(self.deposit, as_of=DAY - timedelta(days=1)) == 0
        (row,) = open_deposits([self.book.location], DAY)
        assert (row.receivable, row.expected) == (12_000, 0)
        (row,) = open_deposits([self.book.location])
        assert (row.receivable, row.expected) == (0, 12_000)

    def test_those_of_one_currency_sum_to_zero(self):
        self.ship()
        rows = account_balances([self.book.location])

        assert {row.kind: row.cents for row in rows} == {
            "credits-expected": 12_000,
            "deposits-receivable": 0,
            "supplier-account": -12_000,
        }

    def test_each_leg_carries_the_running_balance(self):
        self.ship(expected=5_000, effective_on=NEXT)
        self.ship(expected=1_000, effective_on=DAY)
        legs = Leg.objects.filter(account__kind="deposits-receivable")

        assert [leg.running for leg in running_rows(legs)] == [12_000, 11_000, 6_000]


class TestMatching(Case):
    def test_a_mark_on_the_invoice_finds_its_crate_in_any_form(self):
        bill, grai = self.book.shipment, "09506000134352A7"
        by_grai = make_reusable(bill, mark="", grai=grai)
        by_mark = make_reusable(bill, mark="HT-77")
        marks = [f"(8003){grai}", "HT77", "HT-78", "(8003)09506000134352"]

        made = charge(self.book, count=4, marks=marks)

        assert [row.crate for row in made] == [by_grai, by_mark, None, None]

    def test_a_mark_that_two_crates_bear_is_left_to_a_person(self):
        for _ in range(2):
            make_reusable(self.book.shipment, mark="HT-77")

        assert charge(self.book, marks=["HT-77"]).crate is None

    def refuse(self, crate, words):
        with pytest.raises(RefusedError, match=words):
            match_deposit(
                deposit=self.deposit,
                crate=crate,
                version=self.deposit.version,
                person=self.book.who.abel,
                at=AT,
            )

    def test_crates_that_carry_no_deposit_are_refused_with_the_reason(self):
        bill = self.book.shipment
        refused = make_crate(bill, kind="reusable", look="refused")
        self.refuse(refused, "was refused")
        self.refuse(make_crate(bill), "one-way")
        self.refuse(make_reusable(), "not from")
        taken = make_reusable(bill)
        charge(self.book, crates=[taken])
        self.refuse(taken, "already")


class TestWriteOffs(Case):
    def setUp(self):
        self.ship()
        self.short = ShortCredit.objects.create(
            currency="USD",
            location=self.book.location,
            supplier=self.book.supplier,
            deposit=self.deposit,
            cause="price",
            amount_cents=12_000,
            opened_on=DAY,
        )

    def ask(self, person=None, **over):
        values = {
            "short": self.short,
            "version": self.short.version,
            "reason": "Not worth a letter",
            "written_off_on": NEXT,
            "posting_key": "ask",
            "person": person or self.book.who.abel,
            "at": AT,
        }
        return ask_write_off(**{**values, **over})

    def approve(self, person, key="approve"):
        self.short.refresh_from_db()
        return approve_write_off(
            short=self.short,
            version=self.short.version,
            written_off_on=NEXT,
            posting_key=key,
            person=person,
            at=AT,
        )

    def limit(self, cents):
        self.book.location.write_off_limit_cents = cents
        self.book.location.save()

    def test_up_to_the_limit_one_person_is_enough(self):
        self.limit(12_000)

        assert self.ask().state == "written-off"
        assert self.ask().state == "written-off"
        assert deposit_balance(self.deposit) == 0

    def test_above_it_another_person_approves(self):
        self.limit(11_999)
        self.ask()
        assert deposit_balance(self.deposit) == 12_000

        with pytest.raises(RefusedError, match="another person must approve"):
            self.approve(self.book.who.abel)
        self.approve(self.book.who.mina)

        assert deposit_balance(self.deposit) == 0
        with pytest.raises(RefusedError, match="was written off"):
            self.approve(self.book.who.mina, key="again")

    def test_nobody_approves_what_nobody_asked_for(self):
        with pytest.raises(RefusedError, match="Nobody has requested"):
            self.approve(self.book.who.mina)

    def test_a_limit_in_another_currency_says_nothing(self):
        assert postings.needs_second_person(
            1, currency="CAD", limit=10_000, limit_currency="USD"
        )


def test_the_number_of_a_book_fits_a_lock_of_the_database():
    # PostgreSQL's advisory locks of two keys take signed 32-bit numbers.
    rows = [(Location(pk=a), Supplier(pk=b)) for a in range(1, 9) for b in range(1, 9)]
    keys = {
        book_key(location, supplier, currency)
        for location, supplier in rows
        for currency in ("USD", "CAD")
    }
    assert len(keys) == 2 * len(rows)
    assert -(2**31) <= min(keys) < 0 < max(keys) < 2**31
