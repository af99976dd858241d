"""Open claims from a list: opened elsewhere, counted from proven days alone."""

from datetime import UTC, date, datetime, timedelta

import pytest
import time_machine
from django.core.management import call_command
from django.urls import reverse

from claims.actions.books.opening import open_claims_in_books
from claims.actions.claim import answers
from claims.actions.claim import steps as claim_steps
from claims.actions.claim.payments import Received, record_payment
from claims.models import Claim, Deadline, ToldClaim
from claims.queries.core.payments import claim_money
from claims.rules.books.kinds import REGISTER
from inventory.models import Leg, Shipment
from inventory.queries.receiving.dock import bills_to_fill
from tests.inventory.views.imports.lists import csv_rows
from tests.inventory.views.imports.test_undoing import UndoCase
from tests.making import make_carrier, make_shipment

pytestmark = pytest.mark.database

NOW = datetime(2026, 5, 4, 15, 0, tzinfo=UTC)
TODAY = date(2026, 5, 4)
HEAD = (
    "Carrier",
    "PRO number",
    "Bill date",
    "Delivered on",
    "Proof of the delivery day",
    "Claim filed on",
    "Proof of filing",
    "Carrier's claim number",
    "Amount claimed",
    "Amounts received",
    "Declined on",
    "Proof of the denial",
    "Offer dated",
    "Offer",
    "Note",
)
BASE = {
    "Carrier": "Heron Haulage",
    "PRO number": "88-1190",
    "Bill date": "2026-01-09",
    "Claim filed on": "2026-02-03",
    "Amount claimed": "1,840.00",
}
PROVEN = {
    "Delivered on": "2026-01-14",
    "Proof of the delivery day": "Receipt, signed copy",
    "Proof of filing": "Certified mail 7019",
}


@time_machine.travel(NOW, tick=False)
class TestOpenClaims(UndoCase):
    sender = "mina"
    kind = "open-claims"

    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.carrier = make_carrier(name="Heron Haulage")

    def setUp(self):
        super().setUp()
        self.more = {"location": self.who.riverside.pk}

    def rows(self, **over):
        row = {**BASE, **over}
        return (HEAD, [row.get(name, "") for name in HEAD])

    def claim(self, **over):
        self.listed = self.bring(*self.rows(**over), kind="open-claims")
        return Claim.objects.get()

    def duties(self):
        rows = Deadline.objects.filter(superseded_at=None)
        return {row.duty: row for row in rows}

    def step(self, claim, **over):
        claim.refresh_from_db()
        values = {"person": self.who.mina, "at": NOW, "today": TODAY, "on": TODAY}
        values |= {"version": claim.version, "reason": "By letter.", "proof": "D. Oak"}
        return claim_steps.Step(**{**values, **over})

    def said(self, **over):
        return self.reasons(self.load(csv_rows(*self.rows(**over)), "open-claims"))[2]

    def test_proven_days_run_as_of_any_claim(self):
        claim = self.claim(**PROVEN)
        assert (claim.state, claim.received_on) == ("received", date(2026, 2, 3))
        duties = self.duties()
        # 49 CFR 370.5: acknowledged within 30 days, 5 March; and 370.9: paid, declined
        # or offered within 120 days of receipt, 3 June.
        assert duties["acknowledgement"].due == date(2026, 3, 5)
        assert duties["disposition"].due == date(2026, 6, 3)
        assert duties["claim"].met_on == date(2026, 2, 3)
        assert duties["claim"].starts_on == date(2026, 1, 14)
        assert not any("Not proven" in "".join(row.notes) for row in duties.values())

    def test_days_without_proof_are_shown_and_counted_from_the_safe_side(self):
        claim = self.claim(
            **{"Delivered on": "2026-01-14", "Declined on": "2026-04-01"},
            **{"Offer dated": "2026-03-02", "Offer": "500"},
        )
        assert claim.state == "sent"
        assert (claim.received_on, claim.disallowed_on) == (None, None)
        assert (claim.offered_on, claim.offered_cents) == (None, None)
        duties = self.duties()
        assert "acknowledgement" not in duties
        assert "disposition" not in duties
        # Nine months from the bill's date, 9 January, not from the 14th as told.
        assert duties["claim"].starts_on == date(2026, 1, 9)
        assert (duties["claim"].due, duties["claim"].met_on) == (
            date(2026, 10, 9),
            None,
        )
        assert duties["suit"].starts_on == date(2026, 1, 9)
        assert duties["suit"].notes[0].startswith("Not proven: the denial was told")
        page = self.client.get(reverse("claim", args=[claim.pk]))
        self.assertContains(page, "Written claim to the carrier, not proven")
        self.assertContains(page, "14 Jan")
        self.assertContains(page, "Counted from the safe side", 2)

    def test_a_denial_on_paper_shows_that_the_carrier_had_the_claim(self):
        denied = {"Declined on": "2026-04-01", "Proof of the denial": "Letter HC-3"}
        claim = self.claim(**denied)
        assert (claim.state, claim.disallowed_on) == ("disallowed", date(2026, 4, 1))
        assert claim.received_on == date(2026, 4, 1)
        # 49 U.S.C. 14706(e)(1): not less than two years from the written denial.
        assert self.duties()["suit"].starts_on == date(2026, 4, 1)
        assert self.duties()["suit"].due.year == 2028

    def test_it_is_marked_needs_nothing_and_is_not_at_the_dock(self):
        claim = self.claim(**PROVEN, **{"Amounts received": "2026-03-20: 300"})
        for name in ("claims", "carrier", "shipment"):
            keys = {"carrier": self.carrier.pk, "shipment": claim.shipment_id}
            args = [keys[name]] if name in keys else []
            page = self.client.get(reverse(name, args=args))
            if name != "carrier":
                self.assertContains(page, "pened elsewhere")
        found = self.client.get(reverse("search"), {"q": claim.number})
        self.assertContains(found, "opened elsewhere")
        file = self.client.get(reverse("claims"), {"as": "csv"}).content.decode()
        assert "elsewhere" in file
        call_command("verify", "--rows-only", verbosity=0)
        page = self.client.get(reverse("claim", args=[claim.pk]))
        self.assertContains(page, "Opened elsewhere")
        self.assertNotContains(page, "Missing:")
        assert page.context["page"].proof.missing == ()
        assert page.context["page"].money.balance_cents == 154_000
        assert bills_to_fill(self.who.rosa) == []
        assert claim.number not in self.client.get(reverse("dock")).content.decode()

    def test_it_lives_on_and_enters_the_books_as_an_opening(self):
        claim = self.claim(**PROVEN, **{"Amounts received": "2026-03-20: 300"})
        open_claims_in_books(
            location=self.who.riverside, on=TODAY, person=self.who.abel, at=NOW
        )
        # 1,840.00 claimed less 300.00 received before, beside the books by default.
        assert Leg.objects.get(account__kind=REGISTER).cents == 154_000
        later = {"person": self.who.mina}
        claim_steps.record_acknowledgement(
            claim=claim, carrier_number="HC-9", step=self.step(claim, **later)
        )
        answers.record_offer(claim=claim, cents=90_000, step=self.step(claim))
        record_payment(
            claim=claim, received=Received(154_000, "check"), step=self.step(claim)
        )
        claim.refresh_from_db()
        assert claim.state == "offered"
        assert claim_money(claim).balance_cents == 0
        said = "is used by"
        self.assertContains(self.undo(self.listed), said, status_code=422)

    def test_proof_of_delivery_recorded_here_proves_the_filing(self):
        claim = self.claim(**{"Delivered on": "2026-01-14"})
        on = date(2026, 2, 10)
        claim_steps.record_receipt(claim=claim, step=self.step(claim, on=on))
        duties = self.duties()
        assert duties["claim"].met_on == on
        assert duties["disposition"].due == on + timedelta(days=120)

    def test_a_proof_of_the_delivery_day_moves_the_deadline_to_it(self):
        claim = self.claim(**{"Delivered on": "2026-01-14"})
        page = reverse("prove_delivery", args=[claim.pk])
        self.assertContains(self.client.get(reverse("claim", args=[claim.pk])), page)
        sent = {"version": claim.version, "words": "Signed receipt"}
        for day in ("2026-01-08", "2026-02-04"):
            answer = self.client.post(page, {**sent, "on": day})
            self.assertContains(answer, "Check the day", status_code=422)
        self.client.post(page, {**sent, "on": "2026-01-16"})
        running = self.duties()["claim"]
        assert (running.starts_on, running.due.month) == (date(2026, 1, 16), 10)
        assert not any("Not proven" in note for note in running.notes)
        again = self.client.post(page, {**sent, "version": 2, "on": "2026-01-15"})
        self.assertContains(again, "proven already", status_code=422)
        told = ToldClaim.objects.values_list("delivered_on", "delivered_proof")
        assert list(told) == [
            (date(2026, 1, 14), ""),
            (date(2026, 1, 16), "Signed receipt"),
        ]

    def test_an_undo_retires_the_claim_and_the_file_may_come_again(self):
        claim = self.claim(**PROVEN)
        number = claim.number
        self.undo(self.listed)
        assert not Claim.objects.exists()
        assert not Shipment.objects.exists()
        assert not self.duties()
        kept = Claim.everything.get()
        assert kept.retired_reason == "Retired by import undo: The wrong list"
        answer = self.client.get(reverse("claim", args=[kept.pk]))
        assert answer.status_code == 404
        self.assertNotContains(self.client.get(reverse("claims")), number)
        again = self.claim(**PROVEN)
        assert again.number != number
        assert ToldClaim.objects.count() == 2

    def test_what_is_wrong_is_said_and_what_is_there_stays(self):
        make_shipment(
            location=self.who.riverside, carrier=self.carrier, pro_number="55"
        )
        wrong = {
            "is recorded already": {"PRO number": "55"},
            "It is before the bill": {"Claim filed on": "2026-01-02"},
            "before the claim was filed": {"Declined on": "2026-01-20"},
            "There is a proof, but no day": {"Proof of the denial": "Letter"},
            "An offer has a day and an amount": {"Offer": "50"},
            "Write each as day and amount": {"Amounts received": "300"},
            "All of it was received": {"Amounts received": "2026-03-01: 1840"},
            "no carrier “Nobody”": {"Carrier": "Nobody"},
        }
        for words, over in wrong.items():
            with self.subTest(words):
                assert words in self.said(**over)
        self.claim()
        again = self.load(csv_rows(*self.rows(**{"PRO number": "881190"})))
        assert [state for *_, state in self.fates(again)] == ["there"]
