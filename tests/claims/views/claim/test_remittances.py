"""The pages of a remittance: what is typed, what is shown, and where it is found again."""

from uuid import uuid4

import pytest
from django.test import TestCase
from django.urls import reverse

from claims.models import Claim, ClaimPayment, Remittance
from claims.queries.books.open_to_pay import payers_at
from claims.rules.books import kinds
from tests.claims.booking import balances, filed_claim
from tests.claims.stage import TODAY
from tests.making import make_carrier
from tests.people import cast

pytestmark = pytest.mark.database


class RemittancePagesTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        carrier = make_carrier(name="Gannet Overland")
        cls.one, cls.two = (
            filed_claim(cls.people, basis=basis, carrier=carrier)
            for basis in ("filing", "")
        )
        (payer,) = payers_at([cls.people.riverside])
        page = reverse("record_remittance", args=[cls.people.riverside.pk])
        cls.page = f"{page}?payer={payer.key}"

    def setUp(self):
        self.client.force_login(self.people.abel)

    def said(self, one, two, amount, **over):
        parts = {}
        for claim, cents in ((self.one, one), (self.two, two)):
            claim.refresh_from_db()
            parts |= {f"part_{claim.pk}": cents, f"seen_{claim.pk}": claim.version}
        values = {
            "once": str(uuid4()),
            "on": TODAY.isoformat(),
            "amount": amount,
            "method": "transfer",
            "reference": "Wire 5512",
        }
        return {**values, **parts, **over}

    def test_it_is_entered_once_and_found_everywhere(self):
        listed = self.client.get(reverse("remittances"))
        self.assertContains(listed, self.page.replace("&", "&amp;"))
        note = "They rounded up."
        data = self.said("600.00", "300.00", "950.00", note=note)
        answers = [self.client.post(self.page, data) for _ in range(2)]
        row = Remittance.objects.get()
        shown = reverse("remittance", args=[row.pk])
        for answer in answers:
            self.assertRedirects(answer, shown, fetch_redirect_response=False)
        page = self.client.get(shown)
        for words in (self.one.number, self.two.number, "$50.00", note, "Wire 5512"):
            self.assertContains(page, words)
        claim = self.client.get(reverse("claim", args=[self.one.pk]))
        self.assertContains(claim, f'<a href="{shown}">Remittance {row.number}</a>')
        account = self.client.get(
            reverse("ledger_account"),
            {
                "kind": kinds.CASH,
                "currency": "USD",
                "first": "2026-03-01",
                "last": TODAY.isoformat(),
            },
        )
        for words in (f"{self.one}, {row}, Wire 5512", f">{row}, Wire 5512<"):
            self.assertContains(account, words)

    def test_what_does_not_fit_comes_back_with_all_that_was_typed(self):
        answer = self.client.post(self.page, self.said("600.00", "x", "950.00"))
        self.assertContains(answer, 'value="600.00"', status_code=422)
        answer = self.client.post(self.page, self.said("600.00", "300.00", "950.00"))
        self.assertContains(answer, "USD 50.00 is put against no", status_code=422)
        self.assertContains(answer, 'value="300.00"', status_code=422)
        assert not Remittance.objects.exists()

    def test_a_claim_that_changed_meanwhile_is_shown_as_it_is_now(self):
        data = self.said("100.00", "", "100.00")
        Claim.objects.filter(pk=self.one.pk).update(version=self.one.version + 1)
        answer = self.client.post(self.page, data)
        self.assertContains(answer, "Someone changed this", status_code=422)
        version = self.one.version + 1
        self.assertContains(answer, f'value="{version}"', status_code=422)

    def test_an_amount_against_a_claim_that_is_not_open_is_not_dropped(self):
        data = self.said("600.00", "", "700.00", note="So.", part_999999="100.00")
        answer = self.client.post(self.page, data)
        self.assertContains(answer, "no longer open", status_code=422)
        assert not ClaimPayment.objects.exists()

    def test_a_part_and_the_whole_are_reversed_on_their_pages(self):
        self.client.post(self.page, self.said("600.00", "300.00", "900.00"))
        row = Remittance.objects.get()
        part = row.parts.get(claim=self.two)
        self.two.refresh_from_db()
        back = {
            "once": str(uuid4()),
            "version": self.two.version,
            "reason": "It was for another claim.",
        }
        self.client.post(reverse("reverse_payment", args=[part.pk]), back)
        row.refresh_from_db()
        assert balances()[kinds.OWED] == -30_000
        whole = {"once": str(uuid4()), "version": row.version, "reason": "It bounced."}
        self.client.post(reverse("reverse_remittance", args=[row.pk]), whole)
        assert kinds.CASH not in balances()
        page = self.client.get(reverse("remittance", args=[row.pk]))
        self.assertContains(page, "It bounced.")
        self.assertNotContains(page, reverse("reverse_remittance", args=[row.pk]))

    def test_marked_as_full_payment_each_claim_leads_to_the_remittance(self):
        data = self.said("600.00", "300.00", "900.00", method="check", in_full="on")
        self.client.post(self.page, data)
        row = Remittance.objects.get()
        shown = reverse("remittance", args=[row.pk])
        for name in ("decide_payment", "reverse_payment"):
            self.client.force_login(self.people.mina)
            way = self.client.get(reverse(name, args=[row.parts.all()[0].pk]))
            self.assertRedirects(way, shown, fetch_redirect_response=False)
        decide = reverse("decide_remittance", args=[row.pk])
        self.assertContains(self.client.get(shown), decide)
        said = {
            "once": str(uuid4()),
            "version": row.version,
            "on": TODAY.isoformat(),
            "choice": "return",
        }
        self.assertRedirects(
            self.client.post(decide, said), shown, fetch_redirect_response=False
        )
        self.assertNotContains(self.client.get(shown), decide)
