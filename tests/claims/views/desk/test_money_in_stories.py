"""A story tells amounts only to those who may see them, and a packet none of ours."""

import pytest
from django.test import TestCase
from django.urls import reverse

from claims.queries.packet.working import _chronology
from inventory.actions.core.events import record_event
from inventory.queries.core.history import story_of
from tests import ledger
from tests.making import make_claim

pytestmark = pytest.mark.database


class TestMoneyInStories(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = ledger.make_book()
        cls.crate, cls.deposit = ledger.charged_crate(cls.book)
        claim = make_claim(cls.book.shipment)
        record_event(
            kind="claim.offered",
            at=ledger.AT,
            actor=cls.book.who.mina,
            location=cls.book.location,
            subjects=[cls.book.shipment, claim],
            data={"number": "C-1", "amount": "USD 77.00", "on": "2026-03-20"},
        )

    def story(self, person):
        self.client.force_login(getattr(self.book.who, person))
        url = reverse("shipment", args=[self.book.shipment.pk])
        return self.client.get(url).content.decode()

    def test_the_bill_s_story_tells_deposits_to_accounting_alone(self):
        assert "Deposit of USD 120.00 charged" in self.story("abel")
        for person in ("rosa", "tomas"):
            with self.subTest(person=person):
                told = self.story(person)
                assert "Deposit of" not in told
                assert "120.00" not in told

    def test_the_bill_s_story_tells_offers_to_who_sees_claims(self):
        assert "USD 77.00" in self.story("mina")
        assert "77.00" not in self.story("tomas")

    def test_a_packet_s_chronology_says_nothing_of_our_deposits(self):
        rows = [self.book.shipment, self.crate]
        kinds = {item.kind for item in story_of(rows, self.book.location, leave_out=())}
        assert "deposit.charged" in kinds
        told = _chronology(rows, self.book.location)
        words = " ".join(event.what for event in told)
        assert "offered USD 77.00" in words
        assert "120.00" not in words
        assert "INV-" not in words
