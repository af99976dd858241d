"""The database refuses every crooked way into the ledger, by raw SQL, on both."""

import uuid
from contextlib import contextmanager
from datetime import date

import pytest
from django.db import DatabaseError, connection, transaction
from django.test import TestCase

from inventory.models import Account, Entry, Leg, PeriodLock
from tests.ledger import AT, charge, make_book
from tests.making import make_supplier

pytestmark = pytest.mark.database

ENTRY = (
    "INSERT INTO inventory_entry (id, kind, location_id, supplier_id, currency,"
    " effective_on, entered_at, entered_by_id, note, posting_key, body_hash,"
    " reverses_id) VALUES (%s, %s, %s, %s, %s, %s, %s, %s, '', %s, '', %s)"
)
LEG = (
    "INSERT INTO inventory_leg (entry_id, position, account_id, deposit_id, cents)"
    " VALUES (%s, %s, %s, %s, %s)"
)


def run(sql, values=()):
    with connection.cursor() as cursor:
        cursor.execute(sql, values)


def key_of(entry_id):
    """Return an entry's number as the database keeps it."""
    return str(entry_id) if connection.vendor == "postgresql" else entry_id.hex


class RefusalCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_book()
        cls.deposit = charge(cls.book)
        cls.entry = Entry.objects.get()
        accounts = {account.kind: account for account in Account.objects.all()}
        cls.receivable = accounts["deposits-receivable"]
        cls.supplier_account = accounts["supplier-account"]
        cls.elsewhere = Account.objects.create(
            currency="USD",
            location=cls.book.who.hillcrest,
            supplier=cls.book.supplier,
            kind="supplier-account",
        )
        cls.in_euros = Account.objects.create(
            location=cls.book.location,
            supplier=cls.book.supplier,
            kind="supplier-account",
            currency="EUR",
        )

    def legs(self, *sides, entry_id=None, deposit=None):
        """Write legs by SQL; return the number of the entry they wait for."""
        entry_id = entry_id or uuid.uuid4()
        for position, (account, cents) in enumerate(sides, start=1):
            values = [key_of(entry_id), position, account.pk, deposit, cents]
            run(LEG, values)
        return entry_id

    def seal(self, entry_id, **over):
        """Write an entry by SQL over the legs that carry its number."""
        values = {
            "kind": "charge",
            "location": self.book.location.pk,
            "supplier": self.book.supplier.pk,
            "currency": "USD",
            "on": "2026-03-10",
            "at": AT,
            "by": self.book.who.abel.pk,
            "key": str(entry_id),
            "reverses": None,
        }
        run(ENTRY, [key_of(entry_id), *{**values, **over}.values()])

    def pair(self, cents=500):
        return self.legs((self.receivable, cents), (self.supplier_account, -cents))

    @contextmanager
    def refused(self, words):
        """Expect a refusal in these words, and leave nothing of the attempt."""
        with pytest.raises(DatabaseError, match=words), transaction.atomic():
            yield


class TestSealing(RefusalCase):
    def test_two_legs_that_sum_to_zero_are_sealed(self):
        self.seal(self.pair())

        connection.check_constraints()
        assert Entry.objects.count() == 2

    def test_an_unsealed_leg_fails_at_the_commit(self):
        with self.refused("foreign key"):
            self.pair()
            connection.check_constraints()

    def test_a_crooked_entry_is_refused(self):
        with self.refused("sum to zero"):
            entry = self.legs((self.receivable, 500), (self.supplier_account, -499))
            self.seal(entry)

    def test_an_entry_without_legs_is_refused(self):
        with self.refused("two or more"):
            self.seal(uuid.uuid4())

    def test_an_entry_with_one_leg_is_refused(self):
        with self.refused("two or more"):
            entry = self.legs((self.receivable, 500))
            self.seal(entry)

    def test_a_leg_of_nothing_is_refused(self):
        with self.refused("leg_not_zero"):
            self.legs((self.receivable, 0))

    def test_a_leg_in_another_location_is_refused(self):
        with self.refused("another location"):
            entry = self.legs((self.receivable, 500), (self.elsewhere, -500))
            self.seal(entry)

    def test_a_leg_in_another_currency_is_refused(self):
        with self.refused("another location"):
            entry = self.legs((self.receivable, 500), (self.in_euros, -500))
            self.seal(entry)

    def test_an_entry_of_another_supplier_than_its_legs_is_refused(self):
        stranger = make_supplier()
        with self.refused("another location"):
            entry = self.pair()
            self.seal(entry, supplier=stranger.pk)

    def test_a_deposit_of_another_book_is_refused(self):
        other = charge(self.book, supplier=make_supplier(), crate_type=None)
        sides = (self.receivable, 500), (self.supplier_account, -500)
        with self.refused("another location"):
            entry = self.legs(*sides, deposit=other.pk)
            self.seal(entry)

    def test_a_late_leg_is_refused(self):
        with self.refused("sealed entry"):
            position, account = 3, self.receivable.pk
            run(LEG, [key_of(self.entry.pk), position, account, None, 7])

    def test_parts_of_a_cent_are_refused(self):
        if connection.vendor == "postgresql":
            type_of = "SELECT data_type FROM information_schema.columns WHERE "
            where = "table_name = 'inventory_leg' AND column_name = 'cents'"
            with connection.cursor() as cursor:
                cursor.execute(type_of + where)
                assert cursor.fetchall() == [("bigint",)]
            return
        with self.refused("whole number"):
            self.legs((self.receivable, 12.5))

    def test_a_key_is_used_once(self):
        with self.refused("posting_key"):
            entry = self.pair()
            self.seal(entry, key=self.entry.posting_key)

    def test_a_day_that_is_none_is_refused(self):
        with self.refused("day|date"):
            entry = self.pair()
            self.seal(entry, on="2026-02-30")


class TestReversals(RefusalCase):
    def mirror(self, cents=12_000):
        sides = (self.receivable, -cents), (self.supplier_account, cents)
        return self.legs(*sides, deposit=self.deposit.pk)

    def test_the_mirror_of_an_entry_reverses_it_once(self):
        first = key_of(self.entry.pk)
        self.seal(self.mirror(), kind="reversal", reverses=first)

        with self.refused("reversal"):
            again = self.mirror()
            self.seal(again, kind="reversal", reverses=first)

    def test_a_reversal_of_half_is_refused(self):
        with self.refused("other sign"):
            entry = self.mirror(6_000)
            self.seal(entry, kind="reversal", reverses=key_of(self.entry.pk))


class TestLockedPeriod(RefusalCase):
    def test_an_entry_in_a_locked_period_is_refused(self):
        PeriodLock.objects.create(
            location=self.book.location,
            through=date(2026, 3, 10),
            locked_at=AT,
            locked_by=self.book.who.abel,
        )
        with self.refused("locked"):
            entry = self.pair()
            self.seal(entry)
        self.seal(self.pair(), on="2026-03-11")

    def test_the_lock_of_one_location_is_not_that_of_another(self):
        PeriodLock.objects.create(
            location=self.book.who.hillcrest,
            through=date(2026, 12, 31),
            locked_at=AT,
            locked_by=self.book.who.nell,
        )

        self.seal(self.pair())


TABLES = (
    ("inventory_entry", "note", "'x'"),
    ("inventory_leg", "cents", "1"),
    ("inventory_account", "kind", "'x'"),
    ("inventory_periodlock", "through", "'2020-01-01'"),
)


class TestNothingIsChanged(RefusalCase):
    def setUp(self):
        PeriodLock.objects.create(
            location=self.book.location,
            through=date(2026, 1, 31),
            locked_at=AT,
            locked_by=self.book.who.abel,
        )
        # A deferred check that waits would itself forbid a TRUNCATE.
        connection.check_constraints()

    def test_an_update_is_refused(self):
        for table, column, value in TABLES:
            with self.subTest(table), self.refused("append-only"):
                run(f"UPDATE {table} SET {column} = {value}")

    def test_a_delete_is_refused(self):
        for table, _, _ in TABLES:
            with self.subTest(table), self.refused("append-only"):
                run(f"DELETE FROM {table}")

    def test_a_truncate_is_refused(self):
        if connection.vendor != "postgresql":
            pytest.skip("SQLite has no TRUNCATE: its DELETE without WHERE is above.")
        for table, _, _ in TABLES:
            with self.subTest(table), self.refused("append-only"):
                run(f"TRUNCATE {table} CASCADE")

    def test_what_stands_is_not_replaced(self):
        if connection.vendor == "postgresql":
            detour = "ON CONFLICT (id) DO UPDATE SET cents = 1"
            with self.refused("append-only|sealed"):
                run(f"INSERT INTO inventory_leg SELECT * FROM inventory_leg {detour}")
            return
        for table, words in (
            ("inventory_leg", "sealed entry"),
            ("inventory_entry", "there already"),
            ("inventory_account", "append-only"),
        ):
            with self.subTest(table), self.refused(words):
                run(f"INSERT OR REPLACE INTO {table} SELECT * FROM {table}")
        assert Leg.objects.count() == 2
