"""Claims of before are brought in once, as they stand; what accounting decides counts."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test import TestCase
from django.test.utils import CaptureQueriesContext

from claims.actions.books.opening import open_claims_in_books
from claims.actions.books.settings import set_booking_basis, state_figure
from claims.actions.claim.answers import Denial, record_disallowance
from claims.actions.claim.payments import reverse_payment
from claims.models import BookingBasis, ClaimBooking, ClaimPosting
from claims.queries.books.booking import new_booking
from claims.queries.books.opening import joined_waiting, opening_for, waiting_claims
from claims.queries.books.rollforward import books_of
from inventory.actions.core.versions import RefusedError
from inventory.actions.ledger.periods import lock_period
from inventory.models import Entry, Event
from tests.claims.booking import (
    balances,
    do,
    filed_claim,
    older_claim,
    open_cents,
    pay,
    set_basis,
)
from tests.claims.stage import AT, TODAY, claim_it, set_stage, step
from tests.people import cast

pytestmark = pytest.mark.database


class OpeningCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()

    def older(self, **over):
        return older_claim(self.people, **over)

    def open(self, on=TODAY, at=AT):
        return open_claims_in_books(
            location=self.people.riverside, on=on, person=self.people.abel, at=at
        )

    def dry_run(self):
        setting = BookingBasis.objects.last()
        return [
            opening_for(
                claim, new_booking(claim, setting, person=self.people.abel, at=AT)
            )
            for claim in joined_waiting([self.people.riverside])
        ]


class OpeningTests(OpeningCase):
    def test_what_is_open_is_posted_once_against_opening_balances(self):
        set_basis(self.people, "filing", 4_200)
        claim = self.older()
        pay(self.people, claim, 20_000)
        record_disallowance(
            claim=claim, step=step(self.people, claim), denial=Denial(cents=5_000)
        )
        assert not Entry.objects.exists()
        (shown,) = self.dry_run()

        self.open()
        # 600 claimed, 200 paid: 400 open, of which 50 declined. Of the loss of 434,
        # 200 came and 234 may still be shown; 166 are in the allowance.
        assert balances() == {
            "claims-receivable": 35_000,
            "disputed-claims": 5_000,
            "claims-allowance": -16_600,
            "claims-opening": -23_400,
        }
        assert (shown.gross_cents, shown.shown_cents) == (40_000, 23_400)
        assert Entry.objects.get().kind == "claim-opening"
        with pytest.raises(RefusedError, match="No claim waits"):
            self.open()

    def test_what_follows_starts_from_there(self):
        set_basis(self.people, "filing", 4_200)
        claim = self.older()
        old = pay(self.people, claim, 20_000)
        self.open()
        pay(self.people, claim, 40_000)

        assert open_cents() == 0
        assert balances()["claims-cash"] == 40_000  # not the 200 of before
        reverse_payment(payment=old, step=step(self.people, claim))
        assert open_cents() == 20_000
        assert balances()["claims-cash"] == 20_000
        (month,) = books_of([self.people.riverside], TODAY, TODAY)
        assert month.difference == month.total.difference == 0
        assert month.total.lines["brought-in"] == 40_000

    def test_beside_the_books_no_opening_balance_moves(self):
        self.older()
        self.open()

        assert balances() == {
            "claims-register": 60_000,
            "claims-register-contra": -60_000,
        }

    def test_a_closed_claim_gets_no_entry_and_can_be_reopened(self):
        set_basis(self.people, "filing", 4_200)
        claim = self.older(state="not-pursued", closed_on=TODAY)
        self.open()
        assert not Entry.objects.exists()
        assert ClaimBooking.objects.get().opened_on == TODAY

        do(self.people, claim, "reopen")
        assert open_cents() == 60_000
        assert claim.state == "received"

    def test_a_locked_or_future_day_is_refused(self):
        self.older()
        with pytest.raises(RefusedError, match="in the future"):
            self.open(on=TODAY + timedelta(days=1))
        lock_period(
            location=self.people.riverside,
            through=TODAY - timedelta(days=1),
            person=self.people.abel,
            at=AT,
        )
        with pytest.raises(RefusedError, match="locked through"):
            self.open(on=TODAY - timedelta(days=1))
        assert not ClaimPosting.objects.exists()

    def test_a_draft_and_a_booked_claim_do_not_wait(self):
        filed_claim(self.people)
        claim_it(self.people, set_stage(self.people))

        assert not waiting_claims([self.people.riverside]).exists()

    def test_the_dry_run_takes_the_same_queries_for_many(self):
        self.older()
        with self.assertNumQueries(9):
            self.dry_run()
        self.older()
        self.older()
        with self.assertNumQueries(9):
            self.dry_run()

    def test_bringing_in_takes_the_same_queries_for_many_lines(self):
        taken = []
        for lines in (1, 4):
            self.older(lines=lines)
            with CaptureQueriesContext(connection) as queries:
                self.open()
            taken.append(len(queries))

        assert taken[0] == taken[1]


class DecisionTests(OpeningCase):
    def set(self, basis="filing", rate=4_200):
        return set_booking_basis(
            location=self.people.riverside,
            basis=basis,
            labor_rate_cents=rate,
            person=self.people.abel,
            at=AT,
        )

    def test_the_basis_is_set_with_its_event_and_once(self):
        self.set()
        self.set()

        assert BookingBasis.objects.count() == 1
        event = Event.objects.get(kind="books.basis-set")
        assert event.data == {"basis": "when the claim is filed", "rate": "USD 42.00"}

    def test_a_figure_is_posted_at_once(self):
        claim = filed_claim(self.people, basis="probable")
        assert "claim-recoveries" not in balances()
        for what, cents in (("probable", 30_000), ("loss", 50_000)):
            state_figure(
                claim=claim,
                what=what,
                cents=cents,
                reason="Their adjuster agreed by phone.",
                person=self.people.abel,
                at=AT,
            )

        found = balances()
        assert found["claim-recoveries"] == -30_000
        assert found["freight-damage-loss"] == 50_000
        assert Event.objects.filter(kind="claim.figure-stated").count() == 2

    def test_a_claim_outside_the_books_takes_no_figure(self):
        with pytest.raises(RefusedError, match="not in the books"):
            state_figure(
                claim=self.older(),
                what="loss",
                cents=1,
                reason="No.",
                person=self.people.abel,
                at=AT,
            )
