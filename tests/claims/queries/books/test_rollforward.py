"""A month of claims rolled forward by hand, tied to the list of open claims.

Each claim of the stage asks 600.00, and a later find 125.00: one hour at the shop's
125.00. What is expected is worked out in the comments, in dollars.
"""

from datetime import date

import pytest
from django.test import TestCase

from claims.actions.claim import endings
from claims.actions.claim.answers import Denial, accept_offer, record_disallowance
from claims.actions.claim.making import Pick, supplement_claim
from claims.actions.claim.overlap import answer_overlap
from claims.actions.claim.payments import reverse_payment
from claims.actions.claim.supplements import send_supplement
from claims.models import Claim, ClaimPayment
from claims.queries.books.month import month_of
from claims.queries.books.rollforward import books_of, open_claims
from claims.rules.books import kinds
from claims.rules.books.rollforward import LINES, Roll, age_label, bars_of, roll_of
from claims.rules.letters.overlap import OverlapAnswer
from tests.claims.booking import balances, do, pay, reopen, set_basis
from tests.claims.stage import claim_it, second_finding, set_stage, step
from tests.people import cast

pytestmark = pytest.mark.database

MARCH = (date(2026, 3, 1), date(2026, 3, 31))
APRIL = (date(2026, 4, 1), date(2026, 4, 30))
FILED = date(2026, 3, 16)


class MonthCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        set_basis(cls.people, "filing", 4_200)
        cls.stage_a, cls.a = cls.file()
        cls.stage_b, cls.b = cls.file()

    @classmethod
    def file(cls, **over):
        stage = set_stage(cls.people)
        for name, value in over.items():
            setattr(stage.shipment, name, value)
        stage.shipment.save()
        # The shop's rate counts in its own currency only.
        stage.finding.rate_cents = 12_500
        stage.finding.save()
        claim = claim_it(cls.people, stage)
        answer_overlap(claim=claim, said=OverlapAnswer(), step=step(cls.people, claim))
        do(cls.people, claim, "send", "receive")
        return stage, claim

    def step(self, row, day, **over):
        return step(self.people, row, on=day, today=day, **over)

    def pay(self, claim, cents, day, **over):
        return pay(self.people, claim, cents, on=day, today=day, **over)

    def supplement(self, day):
        """Claim a later find of 125.00 on claim A, and send it."""
        finding = second_finding(self.stage_a, repair_minutes=60)
        made = supplement_claim(
            claim=self.a, picks=[Pick(finding, "repair")], step=self.step(self.a, day)
        )
        send_supplement(supplement=made, how="email", step=self.step(made, day))

    def books(self, span):
        return books_of([self.people.riverside], *span)


class HandWorkedTests(MonthCase):
    def test_two_months_by_hand(self):
        self.supplement(date(2026, 3, 20))
        april = date(2026, 4, 5)
        accept = date(2026, 4, 8)
        # A: 50 came in April, and bounced; 64 credited against freight; salvage 1.
        bounced = self.pay(self.a, 5_000, april)
        reverse_payment(payment=bounced, step=self.step(self.a, april))
        self.pay(self.a, 6_400, april, method="credit", bills="PRO 7711")
        do(self.people, self.a, "salvage-sold", on=april, today=april)
        # A: 500 agreed of 600 + 125 = 725, so 225 are released.
        do(self.people, self.a, "acknowledge", "offer", on=accept, today=accept)
        accept_offer(claim=self.a, cents=50_000, step=self.step(self.a, accept))
        # B: 200 paid, the rest of 400 given up, then opened again.
        self.pay(self.b, 20_000, april)
        endings.give_up(claim=self.b, step=self.step(self.b, accept))
        reopen(self.people, self.b, on=accept, today=accept)

        (march,) = self.books(MARCH)
        # 0 + 600 + 600 + 125 = 1,325
        assert march.total == Roll(
            0,
            {**dict.fromkeys(LINES, 0), "filed": 120_000, "supplements": 12_500},
            132_500,
        )
        (after,) = self.books(APRIL)
        # 1,325 - 225 - (50 + 200) - 64 - 1 - 400 + (50 + 400) = 835
        assert after.total == Roll(
            132_500,
            {
                **dict.fromkeys(LINES, 0),
                "reductions": -22_500,
                "cash": -25_000,
                "credits": -6_400,
                "salvage": -100,
                "written-off": -40_000,
                "reversals": 45_000,
            },
            83_500,
        )
        # A: 500 - 64 - 1 = 435. B: 600 - 200 = 400.
        assert {one.claim.pk: one.listed_cents for one in after.claims} == {
            self.a.pk: 43_500,
            self.b.pk: 40_000,
        }
        for month in (march, after):
            assert month.total.difference == 0
            assert month.difference == 0
            assert all(one.roll.difference == 0 for one in month.partners)

    def test_an_overpayment_by_hand(self):
        april, later = date(2026, 4, 5), date(2026, 4, 9)
        # A: 700 by check on 600: 100 are owed to the carrier and on no line.
        self.pay(self.a, 70_000, april, reason="They paid two claims at once.")
        # B: 650 credited against freight on 600: 50 are owed.
        more = {"method": "credit", "bills": "PRO 7711", "reason": "So they wrote."}
        self.pay(self.b, 65_000, april, **more)
        (paid,) = self.books((date(2026, 4, 1), date(2026, 4, 8)))
        # 600 + 600 - 600 - 600 = 0
        assert paid.total == Roll(
            120_000,
            {**dict.fromkeys(LINES, 0), "cash": -60_000, "credits": -60_000},
            0,
        )
        assert balances()[kinds.OWED] == -15_000
        # A: 125 more are claimed, and take the 100 that came as money.
        self.supplement(later)
        (after,) = self.books((date(2026, 4, 9), date(2026, 4, 30)))
        # 0 + 125 - 100 = 25
        assert after.total == Roll(
            0,
            {**dict.fromkeys(LINES, 0), "supplements": 12_500, "cash": -10_000},
            2_500,
        )
        assert (after.difference, balances()[kinds.OWED]) == (0, -5_000)

    def test_the_list_of_an_earlier_day_ties_too(self):
        self.pay(self.a, 10_000, date(2026, 4, 5))

        (march,) = self.books(MARCH)
        assert (march.listed_cents, march.total.closing) == (120_000, 120_000)

    def test_a_payment_behind_the_books_shows_as_a_difference(self):
        ClaimPayment.objects.create(
            claim=self.a,
            number=1,
            on=FILED,
            cents=700,
            method="check",
            recorded_at=self.a.made_at,
            recorded_by=self.people.abel,
        )

        (march,) = self.books(MARCH)
        assert march.difference == -700

    def test_a_claim_closed_behind_the_books_shows_too(self):
        Claim.objects.filter(pk=self.a.pk).update(state="not-pursued")

        (march,) = self.books(MARCH)
        assert march.difference == -60_000

    def test_currencies_are_never_added_and_the_home_one_is_first(self):
        self.file(currency="CAD")

        american, canadian = self.books(MARCH)
        assert (canadian.currency, canadian.total.closing) == ("CAD", 60_000)
        assert (american.currency, american.total.closing) == ("USD", 120_000)

    def test_each_carrier_has_its_column(self):
        (march,) = self.books(MARCH)

        carriers = {self.stage_a.shipment.carrier_id, self.stage_b.shipment.carrier_id}
        assert {one.key for one in march.partners} == carriers

    def test_what_is_declined_stands_apart_and_stays_open(self):
        day = date(2026, 4, 5)
        record_disallowance(
            claim=self.a, step=self.step(self.a, day), denial=Denial(cents=10_000)
        )

        (before,) = self.books(MARCH)
        assert sum(one.disputed_cents for one in before.claims) == 0
        (after,) = self.books(APRIL)
        one = next(row for row in after.claims if row.claim.pk == self.a.pk)
        assert (one.disputed_cents, one.undisputed_cents) == (10_000, 50_000)
        assert after.total.closing == 120_000

    def test_aging_by_carrier_ties_to_the_closing_and_to_disputed_claims(self):
        day = date(2026, 4, 5)
        record_disallowance(
            claim=self.a, step=self.step(self.a, day), denial=Denial(cents=10_000)
        )
        self.pay(self.b, 20_000, day)
        # On 30 June both claims, filed on 16 March, are 106 days old.
        (june,) = self.books((date(2026, 6, 1), date(2026, 6, 30)))
        laid = month_of(june)

        assert {(one.name, one.disputed, one.total) for one in laid.aged} == {
            (str(self.stage_a.shipment.carrier), 10_000, 60_000),
            (str(self.stage_b.shipment.carrier), 0, 40_000),
        }
        for one in (*laid.aged, laid.aged_total):
            ages = dict(one.ages)
            assert ages["61 to 120 days"] == one.total - one.disputed
            assert sum(ages.values()) + one.disputed == one.total
        assert laid.aged_total.total == june.total.closing == 100_000
        assert laid.aged_total.disputed == balances()[kinds.DISPUTED]

    def test_ages_run_from_the_filing(self):
        (one, _) = open_claims([self.people.riverside], date(2026, 4, 15))

        assert (one.days, one.age) == (30, "0 to 30 days")

    def test_what_stands_beside_the_books_is_said(self):
        set_basis(self.people, "register")
        self.file()

        (march,) = self.books(MARCH)
        assert march.total.closing == 180_000
        assert march.beside_cents == 60_000
        # A and B at their loss of 434 each: 120,000 - 2 x 16,600.
        assert march.allowance_cents == -33_200
        assert march.shown_cents == 86_800

    @pytest.mark.slow
    def test_queries_do_not_grow(self):
        with self.assertNumQueries(16):
            self.books(MARCH)
        self.file()
        self.file()
        with self.assertNumQueries(16):
            self.books(MARCH)


class TestRules:
    @pytest.mark.parametrize(
        ("days", "label"),
        [
            (0, "0 to 30 days"),
            (30, "0 to 30 days"),
            (31, "31 to 60 days"),
            (60, "31 to 60 days"),
            (61, "61 to 120 days"),
            (120, "61 to 120 days"),
            (121, "Over 120 days"),
        ],
    )
    def test_day_30_is_in_the_first_column(self, days, label):
        assert age_label(days) == label

    def test_the_published_roll_forward_of_deposits_in_this_form(self):
        # Spiceland et al., an exercise on deposits for containers, in thousands:
        # 597 + 899 - 838 - 54 = 604 and 623 + 948 - 873 - 42.75 = 655.25.
        for figures, closing in (
            ((597_000, 899_000, 838_000, 54_000), 604_000),
            ((623_000, 948_000, 873_000, 42_750), 655_250),
        ):
            opening, came, paid, lost = figures
            moves = [
                ("claim-filed", came),
                ("claim-paid", -paid),
                ("not-pursued", -lost),
            ]
            roll = roll_of(opening, moves)
            assert (roll.closing, roll.difference) == (closing, 0)

    def test_an_entry_of_no_line_leaves_a_difference(self):
        assert roll_of(0, [("claim-value", 5)]).difference == 5

    def test_the_bars_stand_on_one_another(self):
        roll = roll_of(100, [("claim-filed", 100), ("claim-paid", -50)])
        bars = bars_of(roll, 200)

        assert [(bar.x, bar.width) for bar in bars if bar.width] == [
            (0, 100),
            (100, 100),
            (150, 50),
            (0, 150),
        ]
        assert [bar.look for bar in bars if bar.width] == ["sum", "more", "less", "sum"]
