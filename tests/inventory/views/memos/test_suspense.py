"""The list of undecided credits, its page and its acts, for those who keep the books."""

from datetime import UTC, datetime
from uuid import uuid4

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import TestCase
from django.urls import reverse

from inventory.actions.memos.posting import post_memo
from inventory.models import Event, SuspenseLine
from tests.pictures import jpeg
from tests.returning import AT, balances, make_stage, memo_of, shipped

pytestmark = pytest.mark.database

NOW = datetime(2026, 5, 4, 15, 0, tzinfo=UTC)


@time_machine.travel(NOW, tick=False)
class TestSuspense(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.book = make_stage()
        shipped(cls.book)
        cls.memo = memo_of(cls.book, (cls.book.crates[0], 12_000), ("ZZ-77", 1_000))
        post_memo(memo=cls.memo, version=1, person=cls.book.who.abel, at=AT)
        cls.held = SuspenseLine.objects.get()

    def setUp(self):
        self.client.force_login(self.book.who.abel)

    def send(self, name, **data):
        values = {
            "version": self.held.version,
            "decided_on": "2026-05-01",
            "once": str(uuid4()),
        }
        return self.client.post(reverse(name, args=[self.held.pk]), values | data)

    def test_the_desk_names_it_with_its_amount_and_leads_to_it(self):
        answer = self.client.get(reverse("deposits"))
        self.assertContains(answer, "line 2, credits what is not ours")
        self.assertContains(answer, reverse("suspense_line", args=[self.held.pk]))

    def test_the_list_holds_the_undecided_until_all_are_asked_for(self):
        listed = reverse("suspense_line", args=[self.held.pk])
        self.assertContains(self.client.get(reverse("suspense")), listed)
        self.send("return_suspense", reason="They took it back.")
        self.assertNotContains(self.client.get(reverse("suspense")), listed)
        everything = self.client.get(reverse("suspense"), {"which": "all"})
        self.assertContains(everything, "Returned to the supplier")

    def test_the_memo_says_what_is_held(self):
        answer = self.client.get(reverse("memo", args=[self.memo.pk]))
        self.assertContains(answer, "10.00, held in suspense")
        self.assertContains(answer, "10.00 held</a>, undecided")

    def test_it_is_matched_on_its_page(self):
        deposit = self.book.deposits[1]
        answer = self.send("match_suspense", deposit=deposit.pk)
        assert answer.status_code == 302
        assert balances()["credits-expected"] == 24_000 - 1_000
        shown = self.client.get(reverse("suspense_line", args=[self.held.pk]))
        self.assertContains(shown, "Matched to a crate")

    def test_income_without_the_answer_is_refused_and_the_typed_text_comes_back(self):
        answer = self.send("take_suspense", reason="It is two years old.")
        self.assertContains(answer, "Enter who wrote the answer", status_code=422)
        self.assertContains(answer, "It is two years old.", status_code=422)
        assert "credits-kept" not in balances()

    def test_the_file_of_the_answer_stands_at_the_decision_and_on_the_memo(self):
        upload = SimpleUploadedFile("answer.jpg", jpeg(), "image/jpeg")
        said = {"answered_on": "2026-04-30", "answered_by": "J. Hale, email"}
        answer = self.send("take_suspense", documents=upload, **said)
        assert answer.status_code == 302
        kept = self.held.evidence.get()
        assert kept.location == self.book.location
        told = Event.objects.get(kind="evidence.kept").subjects.values_list("noun")
        assert ("suspenseline",) in told
        page = reverse("evidence", args=[kept.pk])
        for shown in (
            reverse("suspense_line", args=[self.held.pk]),
            reverse("memo", args=[self.memo.pk]),
        ):
            self.assertContains(self.client.get(shown), page)
        self.assertContains(self.client.get(page), "Supplier&#x27;s written answer")
        assert balances()["credits-kept"] == -1_000

    def test_a_bad_file_is_named_and_nothing_is_decided(self):
        upload = SimpleUploadedFile("answer.exe", b"MZ no picture", "image/jpeg")
        said = {"answered_on": "2026-04-30", "answered_by": "J. Hale, email"}
        answer = self.send("take_suspense", documents=upload, **said)
        self.assertContains(answer, "answer.exe", status_code=422)
        assert not self.held.evidence.exists()
        assert "credits-kept" not in balances()

    def test_a_manager_must_give_a_reason(self):
        self.client.force_login(self.book.who.mina)
        answer = self.send("take_suspense_by_reason", reason="")
        self.assertContains(answer, "Enter a reason.", status_code=422)
        self.send("take_suspense_by_reason", reason="They closed the account.")
        assert balances()["credits-kept"] == -1_000

    def test_the_file_sums_what_is_undecided(self):
        answer = self.client.get(reverse("suspense"), {"as": "csv"})
        text = answer.content.decode()
        assert "10.00,0.00,0.00,0.00,0.00,USD" in text.splitlines()[1]
