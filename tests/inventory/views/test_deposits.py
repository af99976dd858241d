"""Charging deposits and what follows, through the pages."""

import uuid
from datetime import date

import pytest
from django.db import connection
from django.test import TestCase
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.actions.ledger import lines_of
from inventory.models import AccountNumber, Deposit, Entry, PeriodLock
from inventory.queries.balances import deposit_balance
from inventory.rules import postings
from tests.ledger import charge, charged_crate, make_book, make_terms, post
from tests.making import make_crate, make_reusable

pytestmark = pytest.mark.database


class Case(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_book()

    def setUp(self):
        self.client.force_login(self.book.who.abel)

    def line(self, **over):
        values = {
            "posting_key": str(uuid.uuid4()),
            "location": self.book.location.pk,
            "supplier": self.book.supplier.pk,
            "invoice_number": "inv 88",
            "line_number": "1",
            "invoiced_on": "2026-03-10",
            "booked_on": "",
            "crate_type": self.book.crate_type.pk,
            "count": "1",
            "amount_cents": "120.00",
            "currency": "",
            "marks": "",
            "crate": "",
        }
        return {**values, **over}

    def reason(self, **over):
        values = {
            "posting_key": str(uuid.uuid4()),
            "effective_on": "2026-03-20",
            "reason": "The supplier took it off.",
        }
        return {**values, **over}


class TestCharging(Case):
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

        self.assertContains(answer, "posted already", status_code=422)
        self.assertContains(answer, "130.00", status_code=422)
        assert Entry.objects.count() == 1

    def test_a_line_is_not_charged_twice_under_another_key(self):
        self.client.post(self.url, self.line())

        answer = self.client.post(self.url, self.line())

        self.assertContains(answer, "charged already", status_code=422)

    def test_a_refused_crate_is_never_charged(self):
        make_crate(self.book.shipment, kind="reusable", look="refused", mark="HT-9")

        answer = self.client.post(self.url, self.line(marks="HT-9"))

        self.assertContains(answer, "was refused", status_code=422)
        assert not Deposit.objects.exists()

    def test_marks_and_count_must_agree(self):
        answer = self.client.post(self.url, self.line(count="3", marks="A\nB"))

        self.assertContains(answer, "2 marks are listed", status_code=422)

    def test_a_key_that_was_damaged_is_refused(self):
        answer = self.client.post(self.url, self.line(posting_key="x"))

        self.assertContains(answer, "damaged on the way", status_code=422)

    def test_nonsense_is_answered_with_words(self):
        nonsense = ("\x00", "9" * 400, "-1", "NaN", "１", "<b>", "2" + "0" * 18)
        fields = ("location", "count", "amount_cents", "invoiced_on", "line_number")
        for field in (*fields, "crate", "crate_type", "booked_on"):
            for text in nonsense:
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


class TestOpenings(Case):
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

        self.assertContains(answer, "before the day of its invoice", status_code=422)


class TestOneDeposit(Case):
    def test_its_page_tells_what_stands_and_each_posting(self):
        make_terms(self.book.supplier)
        _crate, deposit = charged_crate(self.book)

        answer = self.client.get(reverse("deposit", args=[deposit.pk]))

        self.assertContains(answer, "Deposits receivable")
        self.assertContains(answer, "would be credited")
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

        self.assertContains(answer, "changed since you opened it", status_code=422)

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
        self.assertContains(other, "taken back already", status_code=422)
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


class TestEntries(Case):
    def test_an_entry_shows_its_legs(self):
        charge(self.book)
        AccountNumber.objects.create(
            location=self.book.location, kind="supplier-account", number="2150"
        )
        entry = Entry.objects.get()

        answer = self.client.get(reverse("entry", args=[entry.pk]))

        self.assertContains(answer, "2150")
        self.assertContains(answer, "taken back on the page of its deposit")

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
        self.assertContains(other, "reversed already", status_code=422)

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

        self.assertContains(answer, "undone before that", status_code=422)


class TestBooks(Case):
    def test_a_locked_period_takes_no_posting(self):
        lock = {"location": self.book.location.pk, "through": "2026-03-31"}
        self.client.post("/deposits/lock/", lock)

        answer = self.client.post("/deposits/charge/", self.line())
        booked = self.line(booked_on="2026-04-01")

        self.assertContains(answer, "locked through 2026-03-31", status_code=422)
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

        self.assertContains(answer, "never taken back", status_code=422)
        assert PeriodLock.objects.count() == 1

    def test_today_is_not_locked(self):
        place = self.book.location.pk

        answer = self.client.post(
            "/deposits/lock/", {"location": place, "through": "2999-01-01"}
        )

        self.assertContains(answer, "Only days that are over", status_code=422)

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
        self.assertContains(stale, "changed since you opened it", status_code=422)

    def test_a_number_is_not_given_twice(self):
        url = f"/deposits/accounts/?place={self.book.location.pk}"

        answer = self.client.post(
            url, {"number_supplier-account": "21", "number_return-freight": "21"}
        )

        self.assertContains(answer, "Write its own", status_code=422)
        assert not AccountNumber.objects.exists()
