"""What is open with a supplier, how it came to it, and the paper that says so."""

import io
from datetime import date

import pytest
from django.test import TestCase
from pypdf import PdfReader

from inventory.documents.papers.statements import statement_pdf
from inventory.queries.memos.supplier_statement import Span, open_cents, statement_of
from tests.inventory.queries.ledger.books import book
from tests.people import cast

pytestmark = pytest.mark.database

DAY = date(2026, 5, 2)
SPRING = Span(first=date(2026, 3, 4), last=date(2026, 4, 30), currency="USD")


class TestStatement(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.book = book(cls.who)

    def statement(self, span=SPRING):
        return statement_of(self.who.riverside, self.book.supplier, span)

    def test_what_is_open_is_receivable_expected_and_disputed(self):
        # Two crates of 150.00 with us, 25.00 of the third in dispute.
        assert self.statement().balances == (
            ("Deposits receivable", "300.00"),
            ("Credits expected", "0.00"),
            ("Disputed credits", "25.00"),
            ("Open in all", "325.00"),
        )

    def test_the_movements_lead_from_the_opening_to_the_closing(self):
        told = self.statement()
        assert told.opening == "450.00"
        assert [row.balance for row in told.movements] == [
            "600.00",
            "450.00",
            "435.00",
            "325.00",
        ]
        assert told.movements[-1].balance == told.closing

    def test_the_open_deposits_add_up_to_what_is_open(self):
        told = self.statement()
        assert [row.amount for row in told.deposits] == ["25.00", "150.00", "150.00"]

    def test_a_day_in_the_past_is_told_as_it_then_was(self):
        past = open_cents(
            self.who.riverside, self.book.supplier, "USD", date(2026, 3, 5)
        )
        assert past == 60_000

    def test_the_paper_says_the_same_as_the_figures(self):
        told = self.statement()
        pages = PdfReader(io.BytesIO(statement_pdf(told, made_on=DAY))).pages
        text = " ".join(page.extract_text() for page in pages)
        for words in (told.closing, told.opening, "Harrow & Tine Works", "HT-2"):
            assert words in text

    def paper(self):
        return statement_pdf(self.statement(), made_on=DAY)

    def test_the_file_says_the_day_on_which_it_was_made(self):
        said = PdfReader(io.BytesIO(self.paper())).metadata.creation_date
        assert said.date() == DAY

    def test_the_same_statement_is_the_same_bytes(self):
        assert self.paper() == self.paper()

    def test_a_supplier_with_nothing_open_gets_a_whole_paper(self):
        told = self.statement(Span(date(2020, 1, 1), date(2020, 1, 31), "USD"))
        assert (told.closing, told.deposits, told.movements) == ("0.00", (), ())
        assert statement_pdf(told, made_on=DAY).startswith(b"%PDF")
