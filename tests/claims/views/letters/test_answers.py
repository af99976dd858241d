"""Answers to an offer and to a written denial: chosen, previewed, confirmed, printed."""

import io
from dataclasses import replace
from datetime import timedelta

import pytest
from django.urls import reverse
from pypdf import PdfReader

from claims.actions.claim.answers import Denial, record_disallowance, record_offer
from claims.actions.claim.endings import settle_claim
from claims.actions.claim.payments import Received, record_payment
from claims.actions.claim.steps import (
    record_receipt,
)
from claims.models import ClaimLetter
from tests import making
from tests.claims.acts import ask_nobody
from tests.claims.stage import step
from tests.claims.views.letters.test_claim_letters import Letters

pytestmark = pytest.mark.database

POINT = {"points_load-and-count": ["load-and-count/load-photos"]}


class Answers(Letters):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        making.make_evidence(shipment=cls.claim.shipment, kind="load")
        people, claim = cls.people, cls.claim
        record_receipt(claim=claim, step=step(people, claim))
        record_offer(claim=claim, cents=10_000, step=step(people, claim))
        declined = Denial(with_offer=True)
        ask_nobody(claim, step(people, claim))
        record_disallowance(claim=claim, step=step(people, claim), denial=declined)

    def setUp(self):
        super().setUp()
        self.day = (self.today + timedelta(days=30)).isoformat()

    def preview(self, **typed):
        return self.client.post(self.at(), {"answer_by": self.day, **typed})

    def printed(self):
        letter = ClaimLetter.objects.get()
        answer = self.client.get(reverse("claim_letter_pdf", args=[letter.pk]))
        pages = PdfReader(io.BytesIO(answer.content)).pages
        return " ".join(" ".join(page.extract_text().split()) for page in pages)


class TestRebuttal(Answers):
    kind = "rebuttal"

    def test_what_was_chosen_is_previewed_confirmed_and_printed(self):
        answer = self.preview(**POINT)
        self.assertContains(answer, "The load was photographed before it was unloaded")
        assert self.confirm(self.shown(answer)).status_code == 302
        text = self.printed()
        assert text.count("The load was photographed before it was unloaded") == 1
        assert "request to reopen and pay" in text

    def test_a_point_whose_fact_changed_meanwhile_is_not_confirmed(self):
        seen = self.shown(self.preview(**POINT))
        making.make_evidence(shipment=self.claim.shipment, kind="load")
        assert self.confirm(seen).status_code == 422
        assert not ClaimLetter.objects.exists()

    def test_without_a_point_the_form_comes_back(self):
        answer = self.preview(own_words="Call us")
        self.assertContains(answer, "Choose at least one point", status_code=422)

    def test_a_day_that_is_over_is_refused(self):
        answer = self.preview(**POINT, answer_by=self.today.isoformat())
        self.assertContains(answer, "not after today", status_code=422)


class TestCounterOffer(Answers):
    kind = "counter-offer"

    def test_the_worksheet_is_printed_in_columns_and_spelled_out_in_the_mail(self):
        answer = self.preview(way="lines", line_1="200.00", why="Labor")
        self.assertContains(answer, "  We propose: 200.00")
        self.assertNotContains(answer, "| Line |")
        assert self.confirm(self.shown(answer)).status_code == 302
        text = self.printed()
        assert "Line What was lost Our claim You offered We propose" in text
        assert "propose USD 200.00" in text

    def test_more_than_the_claim_is_refused(self):
        answer = self.preview(way="sum", whole="99,999.00", why="Labor")
        self.assertContains(answer, "it is no compromise", status_code=422)


class TestAcceptance(Answers):
    kind = "acceptance"

    def test_the_named_line_is_released(self):
        answer = self.preview(line_1="100.00")
        assert self.confirm(self.shown(answer)).status_code == 302
        text = self.printed()
        assert "Amount accepted USD 100.00" in text
        assert "cleared funds" in text

    def test_more_than_the_claim_and_what_was_paid_are_refused(self):
        answer = self.preview(line_1="99,999.00")
        self.assertContains(answer, "Line 1 is above the claim", status_code=422)
        claim = self.claim
        paid = step(self.people, claim)
        received = Received(cents=10_000, method="check", reference="Check 1")
        record_payment(claim=claim, received=received, step=paid)
        claim.refresh_from_db()
        closed = replace(step(self.people, claim), reason="Agreed")
        settle_claim(claim=claim, step=closed)
        answer = self.preview(line_1="100.00")
        self.assertContains(answer, "settled or withdrawn", status_code=422)
        assert not ClaimLetter.objects.exists()

    def test_a_photo_of_the_carriers_own_form_is_one_press_away(self):
        page = self.client.get(self.at())
        self.assertContains(page, "Do not sign it and do not send it back.")
        self.assertContains(page, "kind=carrier-letter&amp;next=/claims/")


class TestWhoMay(Answers):
    def test_only_a_manager_writes_an_answer(self):
        self.client.force_login(self.people.rosa)
        for kind in ("rebuttal", "counter-offer", "acceptance"):
            assert self.client.get(self.at(kind=kind)).status_code == 403
