"""The journal that the dealer's books take in: beancount 3 reads it and finds it even.

beancount is an independent double-entry checker: it refuses any transaction whose
postings do not sum to zero.
"""

import csv
import io
from datetime import date
from itertools import groupby

import openpyxl
import pytest
from beancount import loader
from django.test import TestCase

from inventory.documents.core.sheet_files import csv_bytes, xlsx_bytes
from inventory.models import AccountNumber
from inventory.queries.ledger.journal import journal, journal_sheet, sides
from tests.inventory.queries.ledger.books import book
from tests.people import cast

pytestmark = pytest.mark.database

FIRST, LAST = date(2026, 3, 1), date(2026, 4, 30)


def csv_rows(entries):
    text = csv_bytes(journal_sheet(entries)).decode("utf-8-sig")
    return [row for row in csv.DictReader(io.StringIO(text)) if row["Day"]]


def as_beancount(rows):
    """Write the export's rows as beancount text, one transaction an entry."""
    names = sorted({account_of(row) for row in rows})
    lines = [f"2026-01-01 open {name}" for name in names]
    for key, legs in groupby(rows, key=lambda row: (row["Day"], row["Entry"])):
        lines.append(f'{key[0]} * "{key[1]}"')
        for leg in legs:
            amount = leg["Debit"] or f"-{leg['Credit']}"
            lines.append(f"  {account_of(leg)}  {amount} {leg['Currency']}")
    return "\n".join(lines)


def account_of(row):
    return f"{row['Class']}:{row['Account'].title().replace(' ', '')}"


class TestJournal(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.book = book(cls.who)

    def entries(self, first=FIRST, last=LAST):
        return journal([self.who.riverside], first, last)

    def test_beancount_reads_the_export_and_every_entry_balances(self):
        _, errors, _ = loader.load_string(as_beancount(csv_rows(self.entries())))
        assert errors == []

    def test_beancount_would_refuse_a_journal_that_is_off_by_a_cent(self):
        rows = csv_rows(self.entries())
        rows[0]["Debit"] = "450.01"
        _, errors, _ = loader.load_string(as_beancount(rows))
        assert any("does not balance" in error.message for error in errors)

    def test_both_sides_are_even_and_the_files_say_the_same(self):
        entries = self.entries()
        [(currency, debit, credit)] = sides(entries)
        assert (currency, debit) == ("USD", credit)
        text = csv_bytes(journal_sheet(entries)).decode("utf-8-sig").splitlines()[-1]
        total = f"{debit / 100:.2f}"
        assert text.split(",").count(total) == 2
        page = openpyxl.load_workbook(
            io.BytesIO(xlsx_bytes(journal_sheet(entries), made_on=LAST))
        ).active
        last = [cell.value for cell in page[page.max_row]]
        assert last.count(debit / 100) == 2

    def test_only_the_days_asked_for_are_told(self):
        kinds = [one.entry.kind for one in self.entries(date(2026, 4, 1), LAST)]
        assert kinds == ["credit-expected", "memo", "dispute"]

    def test_another_location_has_none_of_it(self):
        assert journal([self.who.hillcrest], FIRST, LAST) == []

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
        cells = [row["Deposit"] for row in csv_rows(self.entries())]
        assert any(cell.startswith("'=HT-9") for cell in cells)

    def test_the_number_of_queries_does_not_grow_with_the_entries(self):
        with self.assertNumQueries(3):
            self.entries()
