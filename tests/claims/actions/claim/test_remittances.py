"""One remittance put against several claims: rows, books, deadlines, and the way back.

The arithmetic is done by hand beside each figure: a stage claims 600.00.
"""

from datetime import timedelta

import pytest
from django.test import TestCase

from claims.actions.claim import remittances as acts
from claims.actions.claim.payments import Received, decide_payment, reverse_payment
from claims.actions.claim.remittances import Against
from claims.models import Claim, ClaimPayment, Remittance
from claims.queries.books.open_to_pay import payers_at
from claims.queries.books.rollforward import books_of
from claims.queries.core.payments import claim_money
from claims.queries.core.remittances import (
    entries_of_rest,
    joined_remittances,
    rest_of,
)
from claims.rules.books import kinds
from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.actions.ledger.periods import lock_period
from inventory.models import Entry, Event
from tests.claims.acts import ask_nobody
from tests.claims.booking import balances, do, filed_claim, pay
from tests.claims.stage import AT, TODAY, step
from tests.making import make_carrier
from tests.people import cast

pytestmark = pytest.mark.database


def remitted(people, claims, parts, cents, *, reason="", on=TODAY, **over):
    """Record a remittance of the claims' carrier; a part of 0 is none."""
    rows = [Claim.objects.get(pk=claim.pk) for claim in claims]
    against = [
        Against(row, part, row.version)
        for row, part in zip(rows, parts, strict=True)
        if part
    ]
    received = Received(cents, over.pop("method", "transfer"), "Wire 5512", **over)
    said = step(people, rows[0], reason=reason, on=on)
    (payer,) = payers_at([people.riverside])
    return acts.record_remittance(
        payer=payer, received=received, parts=against, step=said
    )


def again(row):
    return joined_remittances().get(pk=row.pk)


def act(people, row, **over):
    return step(people, Remittance.objects.get(pk=row.pk), **over)


class RemittanceTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        carrier = make_carrier()
        cls.one, cls.two, cls.three = (
            filed_claim(cls.people, basis=basis, carrier=carrier)
            for basis in ("filing", "", "")
        )
        cls.claims = (cls.one, cls.two, cls.three)

    def paid(self):
        return [claim_money(Claim.objects.get(pk=c.pk)).paid_cents for c in self.claims]

    def test_the_parts_are_payments_and_the_rest_is_owed(self):
        row = remitted(
            self.people,
            self.claims,
            [60_000, 25_000, 0],
            90_000,
            reason="Their adjuster rounded up.",
        )

        assert row.number.startswith("M-RIV-")
        assert self.paid() == [60_000, 25_000, 0]
        assert rest_of(again(row)) == 90_000 - 60_000 - 25_000
        held = balances()
        assert held[kinds.CASH] == 90_000
        assert held[kinds.OWED] == -5_000
        assert held[kinds.RECEIVABLE] == 3 * 60_000 - 85_000
        said = Event.objects.get(kind="remittance.recorded")
        assert said.data["rest"].startswith("USD 50.00 is owed to")
        assert Event.objects.filter(kind="claim.paid").count() == 2
        notes = Entry.objects.filter(kind=kinds.PAID).values_list("note", flat=True)
        assert all(f"{row}, Wire 5512" in note for note in notes)
        (own,) = entries_of_rest(row)
        assert own.note == f"{row}, Wire 5512"
        (month,) = books_of([self.people.riverside], TODAY, TODAY)
        assert month.difference == month.total.difference == 0

    def test_what_does_not_fit_is_refused_with_every_reason(self):
        for parts, cents, over, words in (
            ([60_001, 0, 0], 60_001, {}, "USD 600.00 is open on claim"),
            ([60_000, 1_000, 0], 60_000, {}, "USD 10.00 more than the remittance"),
            ([60_000, 0, 0], 61_000, {}, "USD 10.00 is put against no claim"),
            ([0, 0, 0], 61_000, {"reason": "So."}, "at least one claim"),
            ([9_000, 0, 0], 9_000, {"method": "credit"}, "Name the freight bills"),
            (
                [9_000, 0, 0],
                10_000,
                {"reason": "So.", "in_full": True},
                "waits for a decision as a whole",
            ),
        ):
            with self.subTest(words), pytest.raises(RefusedError, match=words):
                remitted(self.people, self.claims, parts, cents, **over)
        assert not Remittance.objects.exists()
        assert not ClaimPayment.objects.exists()

    def test_a_claim_that_changed_or_that_another_is_to_pay_is_refused(self):
        other = filed_claim(self.people, basis="")
        stale = Against(self.one, 100, self.one.version - 1)
        payers = payers_at([self.people.riverside])
        payer = next(one for one in payers if len(one.claims) == 3)
        said = step(self.people, self.one)
        received = Received(100, "check")
        for part, error in (
            (Against(other, 100, other.version), RefusedError),
            (stale, StaleRowError),
        ):
            with pytest.raises(error):
                acts.record_remittance(
                    payer=payer, received=received, parts=[part], step=said
                )
        assert not Remittance.objects.exists()

    def test_one_part_reversed_is_owed_and_goes_to_another_claim(self):
        row = remitted(self.people, self.claims, [30_000, 20_000, 0], 50_000)
        wrong = row.parts.get(claim=self.two)
        with pytest.raises(RefusedError, match="is a part of Remittance"):
            reverse_payment(payment=wrong, step=step(self.people, self.two))
        later = TODAY + timedelta(days=2)
        acts.reverse_part(
            payment=wrong, step=step(self.people, self.two, today=later, on=later)
        )
        assert self.paid() == [30_000, 0, 0]
        assert balances()[kinds.OWED] == -20_000
        assert balances()[kinds.CASH] == 50_000

        three = Claim.objects.get(pk=self.three.pk)
        acts.match_rest(
            remittance=again(row),
            parts=[Against(three, 15_000, three.version)],
            step=act(self.people, row, reason="It was for this one."),
        )
        assert self.paid() == [30_000, 0, 15_000]
        assert balances()[kinds.OWED] == -5_000
        assert balances()[kinds.CASH] == 50_000
        three.refresh_from_db()
        with pytest.raises(RefusedError, match=r"Only USD 50\.00"):
            acts.match_rest(
                remittance=again(row),
                parts=[Against(three, 5_001, three.version)],
                step=act(self.people, row),
            )

    def test_reversed_whole_nothing_is_left_of_it(self):
        row = remitted(
            self.people, self.claims, [30_000, 20_000, 0], 51_000, reason="More."
        )
        before = Entry.objects.count()
        acts.reverse_remittance(
            remittance=row, step=act(self.people, row, reason="It bounced.")
        )
        assert self.paid() == [0, 0, 0]
        assert kinds.CASH not in balances()
        assert kinds.OWED not in balances()
        made = Entry.objects.exclude(reverses=None).count()
        assert made == 3
        assert Entry.objects.count() == before + 3
        with pytest.raises(RefusedError, match="already reversed"):
            acts.reverse_remittance(remittance=row, step=act(self.people, row))

    def test_a_closed_claim_keeps_the_whole_from_being_reversed(self):
        row = remitted(self.people, self.claims, [30_000, 60_000, 0], 90_000)
        ask_nobody(self.two, step(self.people, self.two))
        do(self.people, self.two, "settle")
        with pytest.raises(RefusedError, match=rf"{self.two}.*Reopen it first"):
            acts.reverse_remittance(remittance=row, step=act(self.people, row))
        assert self.paid() == [30_000, 60_000, 0]

    def test_in_full_it_waits_and_is_decided_as_one(self):
        row = remitted(
            self.people,
            self.claims,
            [30_000, 20_000, 0],
            50_000,
            method="check",
            in_full=True,
        )
        assert self.paid() == [0, 0, 0]
        assert kinds.CASH not in balances()
        part = row.parts.get(claim=self.one)
        for alone in (
            lambda: decide_payment(
                payment=part, choice="part", step=step(self.people, self.one)
            ),
            lambda: acts.reverse_part(payment=part, step=step(self.people, self.one)),
        ):
            with pytest.raises(RefusedError, match="Remittance"):
                alone()
        acts.decide_remittance(
            remittance=row, choice="full", step=act(self.people, row)
        )
        assert self.paid() == [30_000, 20_000, 0]
        states = {c.pk: c.state for c in Claim.objects.all()}
        assert states[self.one.pk] == states[self.two.pk] == "settled"
        assert states[self.three.pk] == "received"
        assert balances()[kinds.CASH] == 50_000
        with pytest.raises(RefusedError, match="left to decide"):
            acts.decide_remittance(
                remittance=row, choice="full", step=act(self.people, row)
            )

    def test_in_a_locked_period_it_is_posted_on_the_first_open_day(self):
        through = TODAY + timedelta(days=3)
        lock_period(
            location=self.people.riverside,
            through=through,
            person=self.people.abel,
            at=AT + timedelta(days=9),
        )
        row = remitted(self.people, self.claims, [100, 100, 0], 300, reason="More.")

        days = Entry.objects.filter(kind__in=(kinds.PAID, kinds.REST))
        assert set(days.values_list("effective_on", flat=True)) == {
            through + timedelta(days=1)
        }
        assert row.received_on == TODAY

    def test_a_single_payment_and_a_part_are_the_same(self):
        """The same money, once alone and once as a part: the same rows and deadlines."""
        remitted(self.people, self.claims, [12_345, 0, 0], 12_345)
        pay(self.people, self.two, 12_345, method="transfer", reference="Wire 5512")
        part, alone = (
            ClaimPayment.objects.filter(claim=claim).values(
                "number", "on", "cents", "method", "reference", "in_full"
            )
            for claim in (self.one, self.two)
        )
        assert list(part) == list(alone)
        sums = [balances(entry__note__startswith=str(c)) for c in self.claims[:2]]
        assert sums[0] == sums[1]
        first, second = (
            Claim.objects.get(pk=claim.pk) for claim in (self.one, self.two)
        )
        assert first.state == second.state

    def test_a_supplier_that_pays_has_a_book_of_its_own(self):
        claim = filed_claim(self.people, basis="", claimant="supplier")
        supplier = claim.shipment.supplier
        payers = payers_at([self.people.riverside])
        payer = next(one for one in payers if one.partner == supplier)
        said = step(self.people, claim, reason="More.")
        row = acts.record_remittance(
            payer=payer,
            received=Received(10_000, "transfer", "ACH 9"),
            parts=[Against(claim, 9_000, claim.version)],
            step=said,
        )
        assert row.payer == supplier
        assert balances(entry__supplier=supplier)[kinds.OWED] == -1_000
        assert balances(entry__supplier=supplier)[kinds.CASH] == 10_000
