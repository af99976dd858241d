"""Claims, answers, payments and reversals in any order: the books hold every time."""

import random
from datetime import timedelta

import pytest
from django.db.models import Sum
from django.test import TestCase

from claims.actions.claim.answers import Denial, accept_offer, record_disallowance
from claims.actions.claim.payments import decide_payment, reverse_payment
from claims.models import Claim
from claims.queries.books.month import month_of
from claims.queries.books.rollforward import books_of
from claims.queries.core.payments import claim_money, payments_of
from claims.rules.books import kinds
from claims.rules.claim.life import LIFE
from inventory.actions.core.versions import RefusedError
from inventory.models import Entry, Leg
from inventory.rules.deposits.postings import lowest_from
from tests.claims.acts import last_payment
from tests.claims.booking import do, filed_claim, pay, set_basis
from tests.claims.stage import TODAY, step
from tests.people import cast
from tests.sizes import cases

pytestmark = [pytest.mark.database, pytest.mark.slow]

PLAIN = ("give-up", "settle", "reopen", "withdraw", "salvage-sold", "offer", "send")


class ByChanceTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()

    def test_the_books_hold_after_every_act(self):
        for seed in range(cases(2, 12)):
            with self.subTest(seed=seed):
                self.walk(random.Random(seed))

    def walk(self, chance):
        claims = []
        for basis in ("register", "filing", "probable"):
            claim = filed_claim(self.people, basis=basis)
            do(self.people, claim, "acknowledge")
            claims.append(claim)
        set_basis(self.people, "register")
        today = TODAY
        for _ in range(cases(40, 60)):
            today += timedelta(days=chance.randint(0, 3))
            claim = chance.choice(claims)
            try:
                self.act(chance, claim, today)
            except RefusedError:
                continue
            self.check(claims, today)

    def act(self, chance, claim, today):
        row = Claim.objects.get(pk=claim.pk)
        late = today - timedelta(days=chance.randint(0, 15))
        over = {"on": max(late, TODAY), "today": today}
        now = step(self.people, row, **over)
        cents = chance.randint(1, 90_000)
        way = chance.randint(0, 6)
        if way == 0:
            more = {"method": "credit", "bills": "PRO 1"} if cents % 2 else {}
            full = {"in_full": not cents % 5}
            pay(self.people, row, cents, reason="More.", **over, **more, **full)
        elif way == 1 and row.payments.exists():
            reverse_payment(payment=last_payment(row), step=now)
        elif way == 2:
            denial = Denial(cents=cents if cents % 2 else None)
            record_disallowance(claim=row, step=now, denial=denial)
        elif way == 3:
            accept_offer(claim=row, cents=cents, step=now)
        elif way == 4 and row.payments.exists():
            one = last_payment(row)
            choice = chance.choice(["full", "part", "deposited", "repaid", "return"])
            decide_payment(payment=one, choice=choice, step=now)
        else:
            acts = [act for act in PLAIN if LIFE.can_start(row.state, act)]
            do(self.people, row, chance.choice(acts or ["send"]), **over)

    def check(self, claims, today):
        uneven = (
            Entry.objects.annotate(sum=Sum("legs__cents")).exclude(sum=0).values("pk")
        )
        assert not uneven
        for claim in claims:
            self.check_claim(Claim.objects.get(pk=claim.pk))
        for month in books_of([self.people.riverside], TODAY, today):
            assert month.difference == 0
            assert month.total.difference == 0
            assert month_of(month).aged_total.total == month.total.closing
            for one in month.claims:
                assert 0 <= one.disputed_cents <= one.listed_cents, one.claim

    def check_claim(self, claim):
        legs = Leg.objects.filter(entry__note=str(claim))
        mirrored = Leg.objects.filter(entry__reverses__note=str(claim))
        assert set(mirrored.values_list("pk")) <= set(legs.values_list("pk"))
        for kind in kinds.GROSS:
            dated = legs.filter(account__kind=kind).values_list(
                "entry__effective_on", "cents"
            )
            assert lowest_from(list(dated), TODAY) >= 0, (claim, kind)
        cash = legs.filter(account__kind__in=(kinds.CASH, kinds.FREIGHT))
        here = sum(
            one.cents
            for one in payments_of(claim)
            if one.state == "counted" or (one.state == "held" and one.deposited_on)
        )
        assert (cash.aggregate(sum=Sum("cents"))["sum"] or 0) == here
        assert claim_money(claim).paid_cents <= here
