"""The letter about a disputed credit: a draft at first, then kept as it went out."""

import hashlib
import uuid
from unittest.mock import patch

import pytest
import time_machine
from django.urls import reverse

from inventory.actions.memos.posting import post_memo
from inventory.evidence.store.homes import StoreUnavailableError
from inventory.models import Event, SentDocument, ShortCredit
from tests.inventory.views.memos.test_memos import NOW, Case
from tests.inventory.views.returns.test_returns import words_of
from tests.returning import AT, memo_of

pytestmark = pytest.mark.database

DRAFT = "Draft, not to be sent."


@time_machine.travel(NOW, tick=False)
class TestDisputeLetters(Case):
    def prepare_once(self):
        memo = memo_of(
            self.book,
            (self.one, 9_000, "bracket missing"),
            (self.two, 12_000),
            (self.three, 12_000),
        )
        post_memo(memo=memo, version=memo.version, person=self.book.who.abel, at=AT)
        self.short = ShortCredit.objects.get()

    def told(self):
        return {
            "version": self.short.version,
            "posting_key": str(uuid.uuid4()),
            "decided_on": "2026-05-01",
            "reason": "Our check lists it.",
        }

    def kept(self):
        rows = SentDocument.objects.filter(kind="dispute-letter")
        return list(rows.order_by("document_version"))

    def letter(self):
        return self.client.get(reverse("dispute_letter", args=[self.short.pk])).content

    def make(self):
        """Make the letter as Abel and return its bytes as anyone downloads them."""
        self.send("renew_dispute_letter", self.short.pk)
        return self.letter()

    def test_reading_the_letter_keeps_nothing_and_says_that_it_is_a_draft(self):
        assert DRAFT in words_of(self.letter())
        self.send("dispute_short", self.short.pk, **self.told())
        events = Event.objects.count()
        assert DRAFT in words_of(self.letter())
        assert not self.kept()
        assert Event.objects.count() == events

    def test_the_letter_made_after_the_dispute_is_kept_and_given_ever_after(self):
        self.send("dispute_short", self.short.pk, **self.told())
        first = self.make()
        self.book.supplier.name = "Another name"
        self.book.supplier.save()
        self.client.force_login(self.book.who.mina)
        with patch("inventory.views.memos.dispute_letters.drawn") as draw:
            again = self.letter()

        draw.assert_not_called()
        assert again == first
        assert DRAFT not in words_of(first)
        (sent,) = self.kept()
        assert (sent.kind, sent.key) == ("dispute-letter", str(self.short.pk))
        assert sent.original_id == hashlib.sha256(first).hexdigest()
        assert sent.made_by == self.book.who.abel
        assert Event.objects.latest("sequence").kind == "short.letter"

    def test_who_may_not_post_reads_the_draft_and_is_offered_no_letter(self):
        self.send("dispute_short", self.short.pk, **self.told())
        page = reverse("short_credit", args=[self.short.pk])
        assert ">Make the letter<" in self.client.get(page).content.decode()
        self.client.force_login(self.book.who.mina)
        answer = self.client.get(page)

        self.assertContains(answer, "Draft of the dispute letter (PDF)")
        self.assertNotContains(answer, ">Make the letter<")

    def test_the_letter_is_written_anew_only_when_asked_and_the_first_stays(self):
        self.send("dispute_short", self.short.pk, **self.told())
        page = reverse("short_credit", args=[self.short.pk])
        self.assertNotContains(self.client.get(page), "Make the letter again")
        first = self.make()
        self.assertContains(self.client.get(page), "Make the letter again")
        self.book.supplier.address = "New Street 1"
        self.book.supplier.save()

        self.assertContains(self.client.get(page), 'name="after" value="1"')
        answer = self.send("renew_dispute_letter", self.short.pk, after="1")

        self.assertRedirects(answer, page)
        second = self.letter()
        assert second != first
        assert "New Street 1" in words_of(second)
        kept = self.kept()
        assert [row.document_version for row in kept] == [1, 2]
        assert kept[0].original_id == hashlib.sha256(first).hexdigest()

    def test_a_second_click_makes_no_second_letter(self):
        self.send("dispute_short", self.short.pk, **self.told())
        first = self.make()
        self.book.supplier.address = "New Street 1"
        self.book.supplier.save()
        for after in ("", "0", "-1", "x", "9" * 30):
            self.send("renew_dispute_letter", self.short.pk, after=after)
            assert self.letter() == first
        assert len(self.kept()) == 1

    def test_where_the_disk_refuses_no_letter_is_given(self):
        self.send("dispute_short", self.short.pk, **self.told())
        refuse = StoreUnavailableError("The disk is nearly full.")
        with patch(
            "inventory.evidence.store.originals.store_original", side_effect=refuse
        ):
            answer = self.client.post(
                reverse("renew_dispute_letter", args=[self.short.pk]), follow=True
            )
        self.assertContains(answer, "The disk could not take the document")

    def test_no_letter_goes_out_about_a_difference_that_is_not_in_dispute(self):
        answer = self.send("renew_dispute_letter", self.short.pk)
        url = reverse("short_credit", args=[self.short.pk])
        self.assertRedirects(answer, url, fetch_redirect_response=False)
        page = self.client.get(url)
        self.assertContains(page, "This short-paid credit is not disputed")
        assert not self.kept()
