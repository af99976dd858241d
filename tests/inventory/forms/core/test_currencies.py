"""An amount is read in the currency of what it is for, with that one's digits."""

from datetime import date

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.template import engines
from django.test import TestCase

from claims.forms.claim.answers import OfferForm
from claims.forms.claim.making import AdjustLineForm
from claims.forms.claim.payments import PaymentForm
from inventory.forms.core.number_fields import MoneyField
from inventory.forms.deposits.deposits import ChargeForm
from inventory.forms.memos.memos import EnterMemoForm, ImportMemoForm
from inventory.models import Crate, Deposit, Location
from tests.ledger import make_book, make_terms

pytestmark = pytest.mark.database

TODAY = date(2026, 4, 20)


class TestCurrencies(TestCase):
    """A dock that reckons in dollars, and a supplier whose terms are in yen."""

    @classmethod
    def setUpTestData(cls):
        cls.book = make_book()
        make_terms(cls.book.supplier, currency="JPY")

    def charge(self, amount, **over):
        data = {
            "posting_key": "6f1c8a7e-7c0a-4a35-9a56-0a5f7a3c9f10",
            "location": self.book.location.pk,
            "supplier": self.book.supplier.pk,
            "invoice_number": "INV-1",
            "line_number": "1",
            "invoiced_on": "2026-04-01",
            "crate_type": self.book.crate_type.pk,
            "count": "1",
            "amount_cents": amount,
            "marks": "",
        }
        return ChargeForm(
            {**data, **over},
            places=Location.objects.filter(pk=self.book.location.pk),
            today=TODAY,
            crates=Crate.objects.none(),
        )

    def test_a_charge_is_read_by_the_suppliers_terms(self):
        form = self.charge("12,000")
        assert form.is_valid(), form.errors
        assert form.cleaned_data["amount_cents"] == 12_000
        assert "JPY has no decimals" in str(self.charge("120.50").errors)

    def test_a_charge_is_read_in_the_currency_typed(self):
        form = self.charge("120.00", currency="USD")
        assert form.is_valid(), form.errors
        assert form.cleaned_data["amount_cents"] == 12_000

    def test_a_memo_typed_is_read_by_the_terms_of_its_day(self):
        data = {
            "supplier": self.book.supplier.pk,
            "number": "CM-1",
            "dated_on": "2026-04-02",
            "received_on": "2026-04-03",
            "lines-TOTAL_FORMS": "8",
            "lines-INITIAL_FORMS": "0",
            "lines-0-mark": "HT-1",
            "lines-0-amount": "12,000",
        }
        form = EnterMemoForm(data, location=self.book.location, today=TODAY)
        assert form.is_valid(), form.errors
        assert [line.amount for line in form.memo_lines()] == [12_000]

    def test_a_memo_from_a_file_is_read_so_too(self):
        form = ImportMemoForm(
            {
                "supplier": self.book.supplier.pk,
                "number": "CM-1",
                "dated_on": "2026-04-02",
                "received_on": "2026-04-03",
            },
            {"sheet": SimpleUploadedFile("m.csv", b"mark,amount\nHT-1,12000\n")},
            location=self.book.location,
            today=TODAY,
        )
        assert form.is_valid(), form.errors
        assert [line.amount for line in form.reading.lines] == [12_000]

    def test_a_line_of_a_claim_is_adjusted_in_the_claims_currency(self):
        data = {"version": "1", "outcome": "repair", "reason": "x", "adjusted": "1.234"}
        form = AdjustLineForm(data, currency="KWD")
        assert form.is_valid(), form.errors
        assert form.cleaned_data["adjusted"] == 1_234

    def test_so_are_an_offer_and_the_money_that_came(self):
        for form_class in (OfferForm, PaymentForm):
            data = {"version": "1", "on": "2026-04-02", "amount": "1.234"}
            form = form_class(data, today=TODAY, currency="KWD")
            form.is_valid()
            assert form.cleaned_data["amount"] == 1_234

    def test_a_row_of_amounts_names_its_currency(self):
        with pytest.raises(LookupError, match="Name the currency"):
            Deposit(location=self.book.location, amount_cents=1)


def test_a_field_without_a_currency_reads_nothing():
    field = MoneyField(label="Paid")
    with pytest.raises(LookupError, match="No currency was set for Paid"):
        field.clean("5")


@pytest.mark.parametrize(
    ("cents", "code", "words"),
    [
        (123_456, "USD", "$1,234.56"),
        (123_456, "JPY", "123,456 JPY"),
        (123_456, "KWD", "123.456 KWD"),
    ],
)
def test_a_page_writes_each_currency_with_its_own_digits(cents, code, words):
    page = engines["django"].from_string("{% load house %}{{ cents|money:code }}")
    assert page.render({"cents": cents, "code": code}) == words
