"""The journal that the dealer's books take in: beancount 3 reads it and finds it even.

beancount is an independent double-entry checker: it refuses any transaction whose
postings do not sum to zero, and any account that was never opened.
"""

import csv
import io
from datetime import date, timedelta
from decimal import Decimal

import openpyxl
import pytest
from beancount import loader
from beancount.core.data import Transaction
from django.db import connection
from django.test import TestCase
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.documents.core.plain_books_file import plain_books
from inventory.models import AccountNumber, Entry, Leg
from inventory.queries.ledger import journal as books
from inventory.queries.ledger.journal import Period, journal_page, read_journal
from inventory.queries.ledger.journal_files import transactions_of
from inventory.rules.deposits.plain_books import account_path
from tests.inventory.queries.ledger.books import book
from tests.ledger import charge, make_book
from tests.people import cast

pytestmark = pytest.mark.database

FIRST, LAST = date(2026, 3, 1), date(2026, 4, 30)


def as_beancount(period):
    """Return the period's plain text as it is downloaded."""
    rows = transactions_of(read_journal(period))
    return b"".join(plain_books("Journal", period.first, (), rows)).decode()


def expect_as_in_the_ledger(text, places, first, last):
    """Check that beancount finds in the text what the legs hold, account by account."""
    entries, errors, _ = loader.load_string(text)
    assert errors == []
    found, named = {}, set()
    for one in entries:
        if isinstance(one, Transaction):
            named.add(one.meta["entry"])
            for posting in one.postings:
                key = (posting.account, posting.units.currency)
                found[key] = found.get(key, Decimal(0)) + posting.units.number
    wanted = {}
    legs = Leg.objects.filter(
        entry__location__in=places, entry__effective_on__range=(first, last)
    )
    numbers = {row.kind: row for row in AccountNumber.objects.all()}
    for leg in legs.select_related("account", "entry"):
        own = numbers.get(leg.account.kind)
        label = own.name if own else leg.account.get_kind_display()
        account_class = books.ACCOUNT_CLASSES[leg.account.kind]
        path = account_path(account_class, own.number if own else "", label)
        key = (path, leg.entry.currency)
        wanted[key] = wanted.get(key, Decimal(0)) + Decimal(leg.cents) / 100
    assert found == wanted
    keys = Entry.objects.filter(pk__in=legs.values("entry")).values_list(
        "pk", flat=True
    )
    assert named == {str(key) for key in keys}
    return found


class TestJournal(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.book = book(cls.who)

    def setUp(self):
        self.client.force_login(self.who.abel)

    def entries(self, first=FIRST, last=LAST):
        return list(read_journal(Period([self.who.riverside], first, last)))

    def file(self, form, first=FIRST, last=LAST):
        days = {"first": first.isoformat(), "last": last.isoformat(), "as": form}
        answer = self.client.get(reverse("journal"), days)
        assert answer.status_code == 200
        return answer.getvalue()

    def rows(self):
        return list(csv.reader(io.StringIO(self.file("csv").decode("utf-8-sig"))))

    def test_beancount_reads_the_download_and_finds_the_ledgers_sums(self):
        text = self.file("beancount").decode()
        found = expect_as_in_the_ledger(text, [self.who.riverside], FIRST, LAST)
        # 450.00 charged, 150.00 of it shipped, and 150.00 charged twice and undone.
        assert found["Assets:Deposits-receivable", "USD"] == Decimal(300)

    def test_beancount_would_refuse_a_journal_that_is_off_by_a_cent(self):
        text = self.file("beancount").decode()
        _, errors, _ = loader.load_string(text.replace("150.00 USD", "150.01 USD", 1))
        assert any("does not balance" in error.message for error in errors)

    def test_text_that_looks_like_the_language_stays_text(self):
        sly = 'Ward\'s "Best" \\\n2026-01-01 open Assets:Sly'
        supplier = self.book.supplier
        supplier.name = sly
        supplier.save()
        AccountNumber.objects.create(
            location=self.who.riverside,
            kind="deposits-receivable",
            number="1290",
            name="Caisses (dépôts) 押金",
        )
        text = self.file("beancount").decode()
        entries, errors, _ = loader.load_string(text)
        assert errors == []
        payees = {one.payee for one in entries if isinstance(one, Transaction)}
        assert payees == {" ".join(sly.split())}
        assert "Assets:1290-Caisses-depots" in text

    def test_both_sides_are_even_and_the_files_say_the_same(self):
        total = self.rows()[-1]
        assert total[0] == "Total USD"
        assert total[8] == total[9] != ""
        page = openpyxl.load_workbook(io.BytesIO(self.file("xlsx"))).active
        last = [cell.value for cell in page[page.max_row]]
        assert last[8:10] == [float(total[8])] * 2
        assert page.max_row == len(self.rows())

    def test_only_the_days_asked_for_are_told(self):
        kinds = [one.entry.kind for one in self.entries(date(2026, 4, 1), LAST)]
        assert kinds == ["credit-expected", "memo", "dispute"]

    def test_another_location_has_none_of_it(self):
        self.client.force_login(self.who.nell)
        assert b"INV-7" not in self.file("csv")
        assert list(read_journal(Period([self.who.hillcrest], FIRST, LAST))) == []

    def test_an_account_stands_under_the_dealer_s_own_number(self):
        AccountNumber.objects.create(
            location=self.who.riverside,
            kind="deposits-receivable",
            number="1290",
            name="Crate deposits",
        )
        line = self.entries()[0].lines[0]
        assert (line.number, line.account) == ("1290", "Crate deposits")

    def test_a_mark_that_looks_like_a_formula_stays_text(self):
        rows = self.rows()
        place = rows[0].index("Deposit")
        assert any(row[place].startswith("'=HT-9") for row in rows)

    def test_a_workbook_too_long_is_not_made_and_says_what_to_do(self):
        days = {"first": "2026-03-01", "last": "2026-04-30", "as": "xlsx"}
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr("inventory.views.ledger.journal.MOST_IN_WORKBOOK", 3)
            answer = self.client.get(reverse("journal"), days, follow=True)
        self.assertContains(answer, "No file was made.")
        self.assertContains(answer, "Entries from Sun 1 Mar 2026")


class TestByKeys(TestCase):
    """More entries than a page has, many of them on one day and at one moment."""

    @classmethod
    def setUpTestData(cls):
        cls.book = make_book()
        for number in range(12):
            charge(cls.book, invoiced_on=FIRST + timedelta(days=number // 7))

    def setUp(self):
        patch = pytest.MonkeyPatch()
        patch.setattr(books, "ON_ONE_PAGE", 5)
        patch.setattr(books, "AT_ONCE", 5)
        self.addCleanup(patch.undo)

    def period(self, *more):
        return Period([self.book.location, *more], FIRST, LAST)

    def walked(self, period):
        """Return the keys of every page, forward, and the same pages backward."""
        forward, page = [], journal_page(period)
        assert page.before is None
        while page:
            forward.append([one.entry.pk for one in page.entries])
            last = page
            page = journal_page(period, after=page.after) if page.after else None
        backward, page = [], last
        while page:
            backward.insert(0, [one.entry.pk for one in page.entries])
            page = journal_page(period, before=page.before) if page.before else None
        return forward, backward

    def test_pages_hold_every_entry_once_both_ways(self):
        for period in (self.period(), self.period(self.book.who.hillcrest)):
            forward, backward = self.walked(period)
            keys = [key for page in forward for key in page]
            assert set(keys) == set(Entry.objects.values_list("pk", flat=True))
            assert len(keys) == 12
            assert backward == forward
            whole = [one.entry.pk for one in read_journal(period)]
            assert sorted(whole) == sorted(keys)
            days = [one.entry.effective_on for one in read_journal(period)]
            assert days == sorted(days)

    def test_an_entry_of_other_days_begins_no_page(self):
        key = Entry.objects.first().pk
        later = Period([self.book.location], LAST, LAST)
        assert journal_page(later, after=key) is None
        self.client.force_login(self.book.who.abel)
        for asked in (str(key), "x", "9" * 4000, f"{key}'"):
            for name in ("after", "before"):
                days = {"first": str(LAST), "last": str(LAST), name: asked}
                answer = self.client.get(reverse("journal"), days)
                self.assertContains(answer, "The first entries are shown instead")

    def test_a_page_takes_three_queries_and_one_more_behind_another(self):
        page = journal_page(self.period())
        with self.assertNumQueries(4):
            journal_page(self.period())
        with self.assertNumQueries(5):
            journal_page(self.period(), after=page.after)

    @pytest.mark.skipif(connection.vendor != "sqlite", reason="reads SQLite's own plan")
    def test_an_index_gives_the_entries_in_order_so_that_none_is_read_in_vain(self):
        page = journal_page(self.period())
        for period, index in (
            (self.period(), "journal_of_one"),
            (self.period(self.book.who.hillcrest), "journal_of_all"),
        ):
            for more in ({}, {"after": page.after}, {"before": page.after}):
                with CaptureQueriesContext(connection) as taken:
                    journal_page(period, **more)
                [sql] = [
                    one["sql"]
                    for one in taken.captured_queries
                    if "LIMIT 6" in one["sql"]
                ]
                with connection.cursor() as cursor:
                    cursor.execute(f"EXPLAIN QUERY PLAN {sql}")
                    plan = " ".join(row[3] for row in cursor.fetchall())
                assert index in plan, plan
                assert "TEMP B-TREE" not in plan, plan
