"""A posted memo is reversed on its page and entered again; a loss likewise."""

from datetime import UTC, datetime
from uuid import uuid4

import pytest
import time_machine
from django.test import TestCase
from django.urls import reverse

from inventory.actions.memos.posting import post_memo
from inventory.actions.memos.short_credits import accept_short
from inventory.actions.returns.losses import lose_crate
from inventory.models import CreditMemo, ShortCredit
from tests.returning import (
    AT,
    LEFT,
    balances,
    decided,
    make_stage,
    memo_of,
    shipped,
)

pytestmark = pytest.mark.database

NOW = datetime(2026, 5, 4, 15, 0, tzinfo=UTC)
ASKED = {"effective_on": "2026-05-01", "reason": "Typed for the wrong supplier."}


@time_machine.travel(NOW, tick=False)
class TestReversing(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_stage()
        cls.home = shipped(cls.book)
        cls.memo = memo_of(cls.book, (cls.book.crates[0], 9_000, "late"))
        post_memo(memo=cls.memo, version=1, person=cls.book.who.abel, at=AT)
        cls.memo.refresh_from_db()

    def setUp(self):
        self.client.force_login(self.book.who.abel)

    def send(self, name, row, **over):
        data = ASKED | {"version": row.version, "once": str(uuid4())} | over
        return self.client.post(reverse(name, args=[row.pk]), data)

    def test_it_is_reversed_and_entered_again(self):
        page = reverse("memo", args=[self.memo.pk])
        self.assertContains(self.client.get(page), "Reverse the memo")
        self.assertRedirects(self.send("reverse_memo", self.memo), page)
        shown = self.client.get(page)
        self.assertContains(shown, "Typed for the wrong supplier.")
        self.assertContains(shown, "Enter it again")
        self.assertNotContains(shown, "Reverse the memo")
        again = self.client.post(reverse("enter_memo_again", args=[self.memo.pk]))
        (made,) = CreditMemo.objects.exclude(pk=self.memo.pk)
        self.assertRedirects(again, reverse("memo", args=[made.pk]))
        assert balances()["credits-expected"] == 36_000

    def test_what_must_be_undone_first_is_named_with_what_was_typed(self):
        short = ShortCredit.objects.get(cause="late")
        accept_short(
            short=short, version=short.version, decided=decided(self.book, "Late.")
        )
        answer = self.send("reverse_memo", self.memo)
        self.assertContains(answer, "is now loss accepted", status_code=422)
        self.assertContains(answer, ASKED["reason"], status_code=422)
        assert balances()["forfeited-deposits"] == 3_000

    def test_a_reason_is_needed(self):
        answer = self.send("reverse_memo", self.memo, reason="")
        self.assertContains(answer, "Enter a reason.", status_code=422)

    def test_a_memo_that_is_not_posted_says_why_not(self):
        waiting = memo_of(self.book, (self.book.crates[1], 12_000))
        answer = self.client.get(reverse("reverse_memo", args=[waiting.pk]))
        self.assertContains(answer, "is not posted")

    def test_a_loss_is_reversed_from_the_return(self):
        line = self.home.lines.get(crate=self.book.crates[2])
        lose_crate(
            line=line,
            version=line.version,
            lost_on=LEFT,
            reason="Not found.",
            person=self.book.who.abel,
            at=AT,
        )
        line.refresh_from_db()
        page = reverse("crate_return", args=[self.home.pk])
        self.assertContains(self.client.get(page), reverse("find_lost", args=[line.pk]))
        assert balances()["carrier-losses"] == 12_000
        assert self.send("find_lost", line).status_code == 302
        assert "carrier-losses" not in balances()
