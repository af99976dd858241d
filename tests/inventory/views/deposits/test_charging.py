"""Charging deposits, the balances of before, and the books, through the pages."""

from datetime import date

import pytest
from django.urls import reverse

from inventory.actions.ledger.posting import lines_of
from inventory.models import AccountNumber, Deposit, Entry, PeriodLock
from inventory.queries.ledger.balances import deposit_balance
from tests.inventory.views.deposits.deposit_forms import LedgerCase
from tests.ledger import make_terms
from tests.making import make_crate, make_reusable
from tests.sizes import some_of

pytestmark = pytest.mark.database


class TestCharging(LedgerCase):
    url = "/deposits/charge/"

    def test_an_invoice_line_charges_one_deposit_a_crate(self):
        crate = make_reusable(self.book.shipment, mark="HT-77")

        answer = self.client.post(self.url, self.line(count="2", marks="ht-77\nHT-78"))

        first, second = Deposit.objects.order_by("piece_number")
        self.assertRedirects(answer, reverse("deposit", args=[first.pk]))
        assert (first.crate, second.crate) == (crate, None)
        assert {first.amount_cents, second.amount_cents} == {12_000}
        assert first.invoice_number == "INV 88"

    def test_a_double_click_charges_once(self):
        line = self.line()

        self.client.post(self.url, line)
        answer = self.client.post(self.url, line)

        assert answer.status_code == 302
        assert Entry.objects.count() == 1

    def test_the_same_key_with_other_figures_is_refused(self):
        line = self.line()
        self.client.post(self.url, line)

        answer = self.client.post(self.url, {**line, "amount_cents": "130.00"})

        self.assertContains(answer, "Already saved as", status_code=422)
        self.assertContains(answer, "130.00", status_code=422)
        assert Entry.objects.count() == 1

    def test_a_line_is_not_charged_twice_under_another_key(self):
        self.client.post(self.url, self.line())

        answer = self.client.post(self.url, self.line())

        self.assertContains(answer, "already charged", status_code=422)

    def test_a_refused_crate_is_never_charged(self):
        make_crate(self.book.shipment, kind="reusable", look="refused", mark="HT-9")

        answer = self.client.post(self.url, self.line(marks="HT-9"))

        self.assertContains(answer, "was refused", status_code=422)
        assert not Deposit.objects.exists()

    def test_marks_and_count_must_agree(self):
        answer = self.client.post(self.url, self.line(count="3", marks="A\nB"))

        self.assertContains(answer, "2 marks are listed", status_code=422)

    @pytest.mark.slow
    def test_nonsense_is_answered_with_words(self):
        nonsense = ("\x00", "9" * 400, "-1", "NaN", "１", "<b>", "2" + "0" * 18)
        fields = ("location", "count", "amount_cents", "invoiced_on", "line_number")
        for field in (*fields, "crate", "crate_type", "booked_on"):
            for text in some_of(nonsense, 2, field):
                with self.subTest(field=field, text=text[:9]):
                    answer = self.client.post(self.url, self.line(**{field: text}))
                    assert answer.status_code == 422
        assert not Deposit.objects.exists()

    def test_a_charge_begun_at_a_crate_knows_what_the_terms_say(self):
        make_terms(self.book.supplier, rates=((self.book.crate_type, 12_500),))
        crate = make_reusable(self.book.shipment, crate_type=self.book.crate_type)

        answer = self.client.get(self.url, {"crate": crate.pk})

        self.assertContains(answer, "125.00")
        self.assertContains(answer, crate.mark)

    def test_an_invoice_that_differs_from_the_terms_is_told(self):
        make_terms(self.book.supplier, rates=((self.book.crate_type, 12_500),))

        answer = self.client.post(self.url, self.line(), follow=True)

        self.assertContains(answer, "terms give USD 125.00")

    def test_the_clerk_may_not(self):
        self.client.force_login(self.book.who.rosa)

        assert self.client.get(self.url).status_code == 403
        assert self.client.post(self.url, self.line()).status_code == 403


class TestOpenings(LedgerCase):
    def test_open_deposits_are_brought_in_against_the_opening_balances(self):
        line = self.line(count="2", opened_on="2026-03-31")

        self.client.post("/deposits/openings/", line)
        self.client.post("/deposits/openings/", line)

        one, two = Deposit.objects.all()
        assert one.is_opening
        assert deposit_balance(one) == deposit_balance(two) == 12_000
        accounts = {line.account for line in lines_of(Entry.objects.all()[0])}
        assert accounts == {"deposits-receivable", "opening-balances"}

    def test_they_are_not_older_than_their_invoice(self):
        line = self.line(opened_on="2026-03-09")

        answer = self.client.post("/deposits/openings/", line)

        self.assertContains(
            answer, "cannot be before the invoice date", status_code=422
        )


class TestBooks(LedgerCase):
    def test_a_locked_period_takes_no_posting(self):
        lock = {"location": self.book.location.pk, "through": "2026-03-31"}
        self.client.post("/deposits/lock/", lock)

        answer = self.client.post("/deposits/charge/", self.line())
        booked = self.line(booked_on="2026-04-01")

        self.assertContains(answer, "locked through Tue 31 Mar 2026", status_code=422)
        assert self.client.post("/deposits/charge/", booked).status_code == 302
        assert Entry.objects.get().effective_on == date(2026, 4, 1)

    def test_a_lock_is_not_taken_back(self):
        place = self.book.location.pk
        self.client.post(
            "/deposits/lock/", {"location": place, "through": "2026-03-31"}
        )

        answer = self.client.post(
            "/deposits/lock/", {"location": place, "through": "2026-02-28"}
        )

        self.assertContains(answer, "A lock cannot be undone", status_code=422)
        assert PeriodLock.objects.count() == 1

    def test_today_is_not_locked(self):
        place = self.book.location.pk

        answer = self.client.post(
            "/deposits/lock/", {"location": place, "through": "2999-01-01"}
        )

        self.assertContains(answer, "Only past days can be locked", status_code=422)

    def test_accounts_are_numbered_and_renumbered(self):
        url = f"/deposits/accounts/?place={self.book.location.pk}"
        first = {"number_supplier-account": "2150", "name_supplier-account": "Harrow"}
        self.client.post(url, first)
        row = AccountNumber.objects.get()
        second = {**first, "version_supplier-account": row.version}

        self.client.post(url, {**second, "number_supplier-account": "2151"})
        stale = self.client.post(url, {**second, "number_supplier-account": "2152"})

        row.refresh_from_db()
        assert row.number == "2151"
        self.assertContains(
            stale, "Someone changed this after you opened it", status_code=422
        )

    def test_a_number_that_stays_is_not_written_again(self):
        url = f"/deposits/accounts/?place={self.book.location.pk}"
        first = {"number_return-freight": "6100", "name_return-freight": "Freight"}
        self.client.post(url, first)
        row = AccountNumber.objects.get()
        more = {"version_return-freight": row.version, "number_supplier-account": "21"}

        answer = self.client.post(url, {**first, **more}, follow=True)

        row.refresh_from_db()
        assert row.version == 1
        self.assertContains(answer, "1 account number saved")

    def test_a_number_is_not_given_twice(self):
        url = f"/deposits/accounts/?place={self.book.location.pk}"

        answer = self.client.post(
            url, {"number_supplier-account": "21", "number_return-freight": "21"}
        )

        self.assertContains(answer, "Enter its own", status_code=422)
        assert not AccountNumber.objects.exists()
