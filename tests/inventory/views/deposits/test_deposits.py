"""One deposit and its entries, through their pages."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.models import AccountNumber, Deposit, Entry
from inventory.queries.ledger.balances import deposit_balance
from inventory.rules.deposits import postings
from tests.inventory.views.deposits.deposit_forms import LedgerCase
from tests.ledger import charge, charged_crate, make_terms, post
from tests.making import make_crate, make_reusable

pytestmark = pytest.mark.database


class TestOneDeposit(LedgerCase):
    def test_its_page_tells_what_stands_and_each_posting(self):
        make_terms(self.book.supplier)
        _crate, deposit = charged_crate(self.book)

        answer = self.client.get(reverse("deposit", args=[deposit.pk]))

        self.assertContains(answer, "Deposits receivable")
        self.assertContains(answer, "How the credit is calculated")
        self.assertContains(answer, "Deposit of USD 120.00 charged")

    def test_it_takes_as_many_queries_with_many_postings(self):
        deposit = charge(self.book)
        url = reverse("deposit", args=[deposit.pk])
        with CaptureQueriesContext(
            connection,
        ) as once:
            self.client.get(url)
        for _ in range(10):
            lines = postings.forfeited(deposit.pk, 100)
            post(self.book, "forfeiture", lines, note="One more")

        with CaptureQueriesContext(connection) as often:
            self.client.get(url)

        assert len(often) == len(once)

    def test_a_deposit_is_matched_to_a_crate(self):
        deposit = charge(self.book)
        crate = make_reusable(self.book.shipment)
        url = reverse("match_deposit", args=[deposit.pk])

        self.client.post(url, {"crate": crate.pk, "version": deposit.version})

        deposit.refresh_from_db()
        assert deposit.crate == crate

    def test_a_refused_crate_cannot_be_chosen(self):
        deposit = charge(self.book)
        refused = make_crate(self.book.shipment, kind="reusable", look="refused")
        url = reverse("match_deposit", args=[deposit.pk])

        answer = self.client.post(url, {"crate": refused.pk, "version": 1})

        self.assertContains(answer, "Choose one of those listed", status_code=422)

    def test_a_stale_match_is_refused(self):
        deposit = charge(self.book)
        crate = make_reusable(self.book.shipment)
        url = reverse("match_deposit", args=[deposit.pk])

        answer = self.client.post(url, {"crate": crate.pk, "version": 9})

        self.assertContains(
            answer, "Someone changed this after you opened it", status_code=422
        )

    def test_a_charge_is_taken_back_once(self):
        deposit = charge(self.book)
        url = reverse("withdraw_deposit", args=[deposit.pk])
        form = self.reason(version=deposit.version)

        self.client.post(url, form)
        again = self.client.post(url, form)
        other = self.client.post(url, self.reason(version=deposit.version + 1))

        deposit.refresh_from_db()
        assert deposit.is_withdrawn
        assert deposit_balance(deposit) == 0
        assert again.status_code == 302
        self.assertContains(other, "already withdrawn", status_code=422)
        assert Entry.objects.count() == 2

    def test_it_is_not_taken_back_once_money_has_moved(self):
        deposit = charge(self.book)
        post(self.book, "forfeiture", postings.forfeited(deposit.pk, 1))
        url = reverse("withdraw_deposit", args=[deposit.pk])

        answer = self.client.post(url, self.reason(version=deposit.version))

        self.assertContains(answer, "Money has moved", status_code=422)

    def test_a_line_taken_back_can_be_charged_anew(self):
        line = self.line()
        self.client.post("/deposits/charge/", line)
        deposit = Deposit.objects.get()
        url = reverse("withdraw_deposit", args=[deposit.pk])
        self.client.post(url, self.reason(version=deposit.version))

        self.client.post("/deposits/charge/", self.line(amount_cents="130.00"))

        assert Deposit.objects.filter(is_withdrawn=False).get().amount_cents == 13_000

    def test_a_deposit_is_forfeited_with_its_crate(self):
        crate, deposit = charged_crate(self.book)
        url = reverse("forfeit_deposit", args=[deposit.pk])
        form = self.reason(reason="Burnt")

        self.client.post(url, form)
        again = self.client.post(url, form)

        crate.refresh_from_db()
        assert crate.state == "forfeited"
        assert deposit_balance(deposit) == 0
        assert again.status_code == 302
        assert Entry.objects.count() == 2

    def test_a_crate_on_its_way_is_not_forfeited(self):
        crate, deposit = charged_crate(self.book)
        type(crate).objects.filter(pk=crate.pk).update(state="shipped")
        url = reverse("forfeit_deposit", args=[deposit.pk])

        answer = self.client.post(url, self.reason())

        self.assertContains(answer, "was shipped back", status_code=422)
        assert deposit_balance(deposit) == 12_000


class TestEntries(LedgerCase):
    def test_an_entry_shows_its_legs(self):
        charge(self.book)
        AccountNumber.objects.create(
            location=self.book.location, kind="supplier-account", number="2150"
        )
        entry = Entry.objects.get()

        answer = self.client.get(reverse("entry", args=[entry.pk]))

        self.assertContains(answer, "2150")
        self.assertContains(answer, "Withdraw a charge on the page of its deposit")

    def test_a_forfeiture_is_reversed_and_its_crate_put_back(self):
        crate, deposit = charged_crate(self.book)
        self.client.post(reverse("forfeit_deposit", args=[deposit.pk]), self.reason())
        entry = Entry.objects.get(kind="forfeiture")
        url = reverse("reverse_entry", args=[entry.pk])
        form = self.reason()

        self.client.post(url, form)
        again = self.client.post(url, form)
        other = self.client.post(url, self.reason())

        crate.refresh_from_db()
        assert crate.state == "emptied"
        assert deposit_balance(deposit) == 12_000
        assert again.status_code == 302
        self.assertContains(other, "already reversed", status_code=422)

    def test_a_charge_is_not_reversed_here(self):
        charge(self.book)
        url = reverse("reverse_entry", args=[Entry.objects.get().pk])

        answer = self.client.post(url, self.reason())

        self.assertContains(answer, "page of its deposit", status_code=422)

    def test_it_is_not_undone_before_its_day(self):
        deposit = charge(self.book)
        entry = post(self.book, "forfeiture", postings.forfeited(deposit.pk, 12_000))
        url = reverse("reverse_entry", args=[entry.pk])

        answer = self.client.post(url, self.reason(effective_on="2026-03-09"))

        self.assertContains(
            answer, "cannot be reversed before that day", status_code=422
        )
