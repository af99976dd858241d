"""A claim to each of its ends, over HTTP: every form sent as its page sends it.

The day of the suit is checked against 49 U.S.C. 14706(e)(1): not less than two years from
the date the carrier gives written notice that it has disallowed any part of the claim.
"""

from datetime import date, datetime, timedelta

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import TestCase
from django.urls import reverse

from claims.actions.claim.making import Pick
from claims.models import Claim, ClaimPayment, Deadline
from claims.queries.core.payments import claim_money
from tests.claims.stage import AT, claim_it, second_finding, set_stage
from tests.people import cast
from tests.pictures import jpeg

pytestmark = [pytest.mark.database, pytest.mark.slow]

START = datetime(2026, 3, 16, 15, 0, tzinfo=AT.tzinfo)


class EndingCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.stage = set_stage(cls.people)
        cls.claim = claim_it(cls.people, cls.stage)

    def setUp(self):
        self.client.force_login(self.people.mina)

    def act(self, name, day, *, row=None, by=None, **data):
        """Do one act on a day of 2026 and return the claim's page after it."""
        self.client.force_login(by or self.people.mina)
        at = START.replace(month=day[0], day=day[1]) + timedelta(hours=1)
        with time_machine.travel(at, tick=False):
            self.claim.refresh_from_db()
            address = reverse(name, args=[row or self.claim.pk])
            self.assertEqual(self.client.get(address).status_code, 200)
            on = date(2026, *day).isoformat()
            form = {"version": self.claim.version, "on": on, **data}
            answer = self.client.post(address, form)
            self.assertEqual(answer.status_code, 302, answer.context)
            return self.page()

    def page(self):
        self.claim.refresh_from_db()
        return self.client.get(reverse("claim", args=[self.claim.pk]))

    def filed(self):
        self.act("send_claim", (3, 16), how="email")
        self.act("record_receipt", (3, 17), words="Automatic reply")
        self.act("record_acknowledgement", (4, 2), number="PW-7714")

    def money(self):
        return claim_money(Claim.objects.get(pk=self.claim.pk))

    def suit(self):
        return Deadline.objects.get(claim=self.claim, duty="suit", superseded_at=None)

    def assert_quiet(self, page, words):
        """A closed claim says so, and nothing on its page is late or missing."""
        text = page.content.decode()
        body = text[text.index("<main") : text.index("</main>")]
        self.assertIn(words, body)
        for alarm in (
            "notice late",
            "notice running",
            "state late",
            "state missing",
            "state running",
        ):
            self.assertNotIn(alarm, body)
        self.assertNotIn(reverse("supplement_claim", args=[self.claim.pk]), body)


class EndingTests(EndingCase):
    def test_paid_in_full(self):
        self.filed()
        page = self.act(
            "record_payment",
            (5, 4),
            by=self.people.abel,
            amount="600.00",
            method="transfer",
            reference="ACH 88120",
        )
        self.assertNotContains(page, "Close as settled")  # accounting decides nothing
        page = self.act("record_settlement", (5, 5))

        self.assertEqual(self.claim.state, "settled")
        self.assertEqual((self.money().balance_cents, self.money().days_taken), (0, 48))
        self.assert_quiet(page, "Settled. Nothing to do.")
        refused = self.client.get(reverse("supplement_claim", args=[self.claim.pk]))
        self.assertContains(refused, "The claim is closed. Reopen it first.")
        self.assertNotContains(refused, "Add the supplement")

    def test_offer_counter_and_settled_in_two_payments(self):
        self.filed()
        self.act("record_offer", (5, 4), amount="380.00", by_day="2026-05-20")
        page = self.act("record_counter", (5, 6), amount="540.00")
        self.assertContains(page, "Wait for the carrier&#x27;s answer")
        nobody = {"insurer": "no", "supplier": "no"}
        self.act("ask_overlap", (5, 12), **nobody)
        self.act("accept_offer", (5, 12), amount="520.00", note="By letter of May 11.")
        self.act("record_payment", (6, 1), amount="300.00", method="check")
        page = self.act(
            "record_payment",
            (6, 20),
            amount="220.00",
            method="credit",
            bills="PRO 5512, PRO 5513",
        )
        self.assertContains(page, "Close the claim as settled today")
        page = self.act("record_settlement", (6, 21), note="Agreed at 520.00.")

        self.assertEqual(
            [row.cents for row in self.claim.payments.all()], [30000, 22000]
        )
        self.assertEqual(self.money().balance_cents, 8_000)
        self.assert_quiet(page, "Settled. Nothing to do.")

    def test_a_part_declined_runs_the_suit_from_the_first_letter(self):
        self.filed()
        data = {"reason": "Only the deck shell is allowed.", "words": "R. Voss"}
        letter = SimpleUploadedFile("letter.jpg", jpeg(), "image/jpeg")
        self.act(
            "record_disallowance",
            (4, 20),
            part="part",
            amount="250.00",
            why="documents",
            whom="Its insurer",
            documents=letter,
            **data,
        )
        first = self.suit().due
        self.act("record_offer", (5, 8), amount="350.00")
        self.act("record_disallowance", (6, 30), part="whole", **data)

        self.assertEqual(first, date(2028, 4, 20))
        self.assertEqual(self.suit().due, first)
        step = self.claim.steps.filter(act="disallow").first()
        self.assertEqual((step.cents, step.whom), (25_000, "Its insurer"))
        self.assertEqual(step.files.count(), 1)
        self.assertContains(
            self.page(), reverse("evidence", args=[step.files.get().pk])
        )

    def test_given_up(self):
        self.filed()
        self.act("record_disallowance", (4, 20), part="whole", reason="Packing.")
        page = self.act("give_up_claim", (5, 2), reason="Too small for a suit.")

        self.assertEqual(self.claim.state, "not-pursued")
        self.assertEqual(self.money().balance_cents, 60_000)
        self.assert_quiet(page, "Not pursued. Nothing to do.")
        self.act("reopen_claim", (5, 9), reason="They called.")
        self.assertEqual(self.claim.state, "disallowed")
        self.assertEqual(self.suit().due, date(2028, 4, 20))

    def test_withdrawn_with_its_letter(self):
        self.filed()
        page = self.act("withdraw_claim", (4, 20), reason="The supplier paid.")
        self.assertContains(page, "Send the withdrawal letter today")
        self.assertFalse(self.may_claim_again())
        page = self.act(
            "tell_withdrawal", (4, 21), how="email", words="Its claims desk"
        )

        self.assert_quiet(page, "Withdrawn. Nothing to do.")
        self.assertTrue(self.may_claim_again())

    def may_claim_again(self):
        desk = self.client.get(reverse("claims"))
        return reverse("finding", args=[self.stage.finding.pk]) in desk.content.decode()

    def test_a_check_marked_as_full_is_held_for_the_manager(self):
        self.filed()
        page = self.act(
            "record_payment",
            (5, 4),
            by=self.people.abel,
            amount="400.00",
            method="check",
            in_full="on",
        )
        self.assertContains(page, "Do not deposit it.")
        paid = ClaimPayment.objects.get()
        self.act("decide_payment", (5, 5), row=paid.pk, choice="deposited")
        self.assertContains(self.page(), "Repay by Mon 3 Aug 2026")
        self.assertContains(self.page(), "Ask counsel.")
        page = self.act("decide_payment", (5, 6), row=paid.pk, choice="full")

        self.assert_quiet(page, "Settled. Nothing to do.")
        self.assertEqual(self.money().balance_cents, 20_000)

    def test_two_machines_of_one_bill_end_apart(self):
        other = claim_it(
            self.people,
            self.stage,
            picks=[Pick(second_finding(self.stage), "repair")],
        )
        self.filed()
        self.act("record_payment", (5, 4), amount="600.00", method="check")
        self.act("record_settlement", (5, 5))

        desk = self.client.get(reverse("claims"))
        self.assertContains(desk, other.number)
        self.assertContains(desk, "Written claim to the carrier")

    def test_the_carriers_own_number_is_found(self):
        self.filed()

        answer = self.client.get(reverse("search"), {"q": "pw-7714"})

        self.assertContains(answer, self.claim.number)
