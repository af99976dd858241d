"""The desk, the claim's page and every form that acts on a claim."""

from datetime import timedelta

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from claims.actions.claim import steps as claim_steps
from claims.actions.claim.making import Pick, supplement_claim
from claims.models import Claim, Deadline, DeadlineOverride, Notice
from claims.queries.core.payments import claim_money
from inventory.models import Event
from tests.claims.stage import (
    AT,
    TODAY,
    claim_it,
    second_finding,
    set_stage,
    step,
)
from tests.people import cast
from tests.prepared_once import PreparedOnce
from tests.sizes import some_of

pytestmark = pytest.mark.database


class PageCase(PreparedOnce):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.stage = set_stage(cls.people)
        cls.claim = claim_it(cls.people, cls.stage)
        cls.line = cls.claim.lines.get()
        cls.prepare_class()

    def setUp(self):
        travel = time_machine.travel(AT + timedelta(hours=2), tick=False)
        travel.start()
        self.addCleanup(travel.stop)
        self.client.force_login(self.people.mina)
        self.claim.refresh_from_db()

    def url(self, name, *args):
        return reverse(name, args=args)

    def send(self):
        claim_steps.send_claim(
            claim=self.claim, how="email", step=step(self.people, self.claim)
        )
        self.claim.refresh_from_db()

    def receive(self):
        self.send()
        claim_steps.record_receipt(claim=self.claim, step=step(self.people, self.claim))
        self.claim.refresh_from_db()

    def post(self, name, *args, **data):
        data.setdefault("version", self.claim.version)
        return self.client.post(self.url(name, *args), data)


class ClaimPageTests(PageCase):
    def test_it_shows_clocks_worksheet_claimant_and_proof(self):
        answer = self.client.get(self.url("claim", self.claim.pk))

        for words in (
            "C-RIV-2026-0001",
            "$600.00",
            "Written claim to the carrier",
            "49 U.S.C. 14706",
            "Loss on this line",
            "Full loss, all lines",
            "Expected recovery under the limit",
            "FOB origin",
            "Packing list",
            "Receiving clerk, from the crate or the supplier",
        ):
            self.assertContains(answer, words)

    def test_running_clocks_come_before_those_that_are_kept(self):
        text = self.client.get(self.url("claim", self.claim.pk)).content.decode()

        self.assertLess(
            text.index("Written claim to the carrier"),
            text.index("Notice of visible damage")
            if "Notice of visible damage" in text
            else text.index('id="documents"'),
        )

    def test_an_override_stands_beside_the_counted_date(self):
        row = Deadline.objects.get(duty="claim", superseded_at=None)
        self.client.post(
            self.url("override_deadline", row.pk),
            {"due": "2026-11-02", "reason": "Their tariff says eight months."},
        )

        answer = self.client.get(self.url("claim", self.claim.pk))

        self.assertContains(answer, "Our own date: Mon 2 Nov 2026")
        self.assertContains(answer, "Thu 10 Dec 2026")
        self.assertEqual(DeadlineOverride.objects.count(), 1)

    def test_accounting_sees_it_and_is_offered_no_act(self):
        self.client.force_login(self.people.abel)

        answer = self.client.get(self.url("claim", self.claim.pk))

        self.assertContains(answer, "$600.00")
        self.assertNotContains(answer, self.url("send_claim", self.claim.pk))
        self.assertNotContains(answer, self.url("build_packet", self.claim.pk))
        self.assertNotContains(answer, self.url("adjust_line", self.line.pk))

    def test_questions_do_not_grow_with_lines(self):
        def count():
            with CaptureQueriesContext(
                connection,
            ) as seen:
                self.client.get(self.url("claim", self.claim.pk))
            return len(seen)

        self.client.get(self.url("claim", self.claim.pk))
        one = count()
        picks = [Pick(second_finding(self.stage), "repair") for _ in range(20)]
        supplement_claim(
            claim=self.claim, picks=picks, step=step(self.people, self.claim)
        )

        self.assertEqual(count(), one)


class WhoMayTests(PageCase):
    def test_roles_strangers_and_visitors(self):
        acts = [
            ("make_claim", self.stage.shipment.pk),
            ("supplement_claim", self.claim.pk),
            ("send_claim", self.claim.pk),
            ("record_receipt", self.claim.pk),
            ("record_acknowledgement", self.claim.pk),
            ("record_offer", self.claim.pk),
            ("record_disallowance", self.claim.pk),
            ("record_settlement", self.claim.pk),
            ("give_up_claim", self.claim.pk),
            ("withdraw_claim", self.claim.pk),
            ("adjust_line", self.line.pk),
            ("strike_line", self.line.pk),
        ]
        for name, key in acts:
            with self.subTest(name=name):
                url = self.url(name, key)
                self.client.force_login(self.people.mina)
                self.assertEqual(self.client.get(url).status_code, 200)
                self.client.force_login(self.people.abel)
                self.assertEqual(self.client.get(url).status_code, 403)
                self.client.force_login(self.people.nell)
                self.assertEqual(self.client.get(url).status_code, 404)
                self.client.logout()
                self.assertRedirects(
                    self.client.get(url),
                    f"{reverse('login')}?next={url}",
                    fetch_redirect_response=False,
                )

    def test_other_methods_are_refused(self):
        for name in ("claim", "send_claim", "build_packet"):
            with self.subTest(name=name):
                answer = self.client.put(self.url(name, self.claim.pk))
                self.assertEqual(answer.status_code, 405)


class ActTests(PageCase):
    @pytest.mark.slow
    def test_the_whole_life_through_the_pages(self):
        self.post("send_claim", self.claim.pk, on="2026-03-16", how="email")
        self.claim.refresh_from_db()
        self.post(
            "record_receipt", self.claim.pk, on="2026-03-16", words="Their answer."
        )
        self.claim.refresh_from_db()
        self.post(
            "record_acknowledgement", self.claim.pk, on="2026-03-16", number="pw-7"
        )
        self.claim.refresh_from_db()
        self.post("record_offer", self.claim.pk, on="2026-03-16", amount="250.00")
        self.claim.refresh_from_db()
        self.post(
            "record_disallowance",
            self.claim.pk,
            on="2026-03-16",
            part="whole",
            reason="No.",
        )
        self.claim.refresh_from_db()
        self.post(
            "record_payment",
            self.claim.pk,
            on="2026-03-16",
            amount="580.00",
            method="check",
        )
        self.claim.refresh_from_db()
        answer = self.post(
            "record_settlement",
            self.claim.pk,
            on="2026-03-16",
            note="Their last word. 20.00 is not worth a suit.",
        )

        self.assertRedirects(answer, self.url("claim", self.claim.pk))
        self.claim.refresh_from_db()
        self.assertEqual(self.claim.state, "settled")
        self.assertIsNone(self.claim.settled_cents)
        self.assertEqual(claim_money(self.claim).balance_cents, 2_000)
        self.assertEqual(self.claim.carrier_claim_number, "PW-7")

    def test_a_refused_act_says_why_and_keeps_what_was_typed(self):
        answer = self.post(
            "record_receipt", self.claim.pk, on="2026-03-16", words="Their own words"
        )

        self.assertContains(answer, "has not been sent yet", status_code=422)
        self.assertContains(answer, "Their own words", status_code=422)

    def test_a_stale_form_is_told_and_can_be_saved_again(self):
        stale = self.claim.version
        self.send()
        answer = self.post(
            "send_claim", self.claim.pk, version=stale, on="2026-03-16", how="post"
        )

        self.assertContains(
            answer, "Someone changed this after you opened it", status_code=422
        )
        again = self.post("send_claim", self.claim.pk, on="2026-03-16", how="post")
        self.assertEqual(again.status_code, 302)

    def test_withdrawing_asks_for_a_reason(self):
        answer = self.post("withdraw_claim", self.claim.pk, reason="  ")

        self.assertContains(answer, "Enter a reason.", status_code=422)
        self.claim.refresh_from_db()
        self.assertEqual(self.claim.state, "drafted")

    def test_a_line_is_adjusted_and_struck(self):
        self.client.post(
            self.url("adjust_line", self.line.pk),
            {
                "version": self.line.version,
                "outcome": "repair",
                "value": "4,125.00",
                "adjusted": "555.55",
                "reason": "Labour agreed by telephone.",
            },
        )
        self.line.refresh_from_db()
        self.assertEqual(self.line.adjusted_cents, 55_555)

        self.client.post(
            self.url("strike_line", self.line.pk),
            {"version": self.line.version, "reason": "Paid by the supplier."},
        )
        self.line.refresh_from_db()
        self.assertEqual(self.line.struck_reason, "Paid by the supplier.")

    def test_a_paper_is_said_not_to_be_needed(self):
        url = self.url("decide_paper", self.claim.pk, "packing-list")
        self.client.post(url, {"reason": "One machine a crate; the bill lists it."})

        answer = self.client.get(self.url("claim", self.claim.pk))

        self.assertContains(answer, "One machine a crate; the bill lists it.")
        self.assertEqual(
            self.client.get(
                self.url("decide_paper", self.claim.pk, "moon")
            ).status_code,
            404,
        )

    def test_a_supplement_is_added_sent_and_received(self):
        self.receive()
        finding = second_finding(self.stage)
        self.post(
            "supplement_claim",
            self.claim.pk,
            **{f"take_{finding.number}": "on", f"outcome_{finding.number}": "repair"},
        )
        row = self.claim.supplement_rows.get()
        send = {"version": row.version, "on": "2026-03-16", "how": "email"}
        self.client.post(self.url("send_supplement", row.pk), send)
        row.refresh_from_db()
        receive = {"version": row.version, "on": "2026-03-16", "words": "Read receipt"}
        self.client.post(self.url("receive_supplement", row.pk), receive)

        row.refresh_from_db()
        self.assertEqual((row.sent_on, row.received_on), (TODAY, TODAY))


BAD_DAYS = [
    "",
    "tomorrow",
    "2026-02-30",
    "9999-12-31",
    "2026-03-17",
    "1999-01-01",
    "16/03/2026",
    "２０２６-03-16",
    "2026-03-16\x00x",
    "9" * 5000,
]
BAD_AMOUNTS = ["", "-1", "1.005", "NaN", "1e9", "９", str(2**63), "x" * 5000, "\x00"]


class BadInputTests(PageCase):
    def assert_told(self, name, key, data):
        answer = self.client.post(self.url(name, key), data)

        self.assertEqual(answer.status_code, 422, (name, data))

    @pytest.mark.slow
    def test_every_bad_day_is_told(self):
        self.receive()
        forms = {
            "send_claim": {"how": "email"},
            "record_receipt": {"words": "x"},
            "record_acknowledgement": {"number": "1"},
            "record_offer": {"amount": "1.00"},
            "record_disallowance": {"reason": "x", "part": "whole"},
            "record_payment": {"amount": "1.00", "method": "check"},
            "record_settlement": {"note": "x"},
        }
        for name, data in forms.items():
            for day in some_of(BAD_DAYS, 2, name):
                with self.subTest(name=name, day=day[:20]):
                    self.assert_told(
                        name,
                        self.claim.pk,
                        {"version": self.claim.version, **data, "on": day},
                    )

    def test_every_bad_amount_is_told(self):
        self.receive()
        for name in ("record_offer", "record_payment"):
            for amount in BAD_AMOUNTS:
                with self.subTest(name=name, amount=amount[:20]):
                    self.assert_told(
                        name,
                        self.claim.pk,
                        {
                            "version": self.claim.version,
                            "on": "2026-03-16",
                            "amount": amount,
                        },
                    )

    def test_bad_lines_are_told(self):
        good = {
            "version": self.line.version,
            "outcome": "repair",
            "value": "1.00",
            "reason": "x",
        }
        bad = [
            {"outcome": "burnt"},
            {"value": "-4"},
            {"salvage": "1.999"},
            {"reason": "x" * 1001},
            {"reason": ""},
            {"version": "-1"},
            {"version": "9" * 40},
        ]
        for over in bad:
            with self.subTest(over=str(over)[:40]):
                self.assert_told("adjust_line", self.line.pk, {**good, **over})

    def test_a_claim_needs_a_tick_and_known_words(self):
        finding = second_finding(self.stage)
        number = finding.number
        for data in (
            {},
            {f"take_{number}": "on", f"outcome_{number}": "burnt"},
            {
                f"take_{number}": "on",
                f"outcome_{number}": "repair",
                f"salvage_{number}": "-1",
                "claimant": "us",
                "basis": "invoice",
            },
        ):
            with self.subTest(data=data):
                self.assert_told("make_claim", self.stage.shipment.pk, data)

    def test_a_text_file_named_as_a_photo_is_no_proof(self):
        self.send()
        answer = self.post(
            "record_receipt",
            self.claim.pk,
            on="2026-03-16",
            words="Signed",
            photo=SimpleUploadedFile("proof.jpg", b"not a picture at all, " * 9),
        )

        self.assertContains(answer, "This is not a photo", status_code=422)
        self.claim.refresh_from_db()
        self.assertEqual(self.claim.state, "sent")

    def test_an_override_needs_a_day_and_a_reason(self):
        row = Deadline.objects.get(duty="claim", superseded_at=None)
        for data in (
            {"due": "tomorrow", "reason": "x"},
            {"due": "2026-02-30", "reason": "x"},
            {"due": "2026-11-02", "reason": ""},
            {"due": "9" * 3000, "reason": "x"},
        ):
            with self.subTest(data=str(data)[:40]):
                self.assert_told("override_deadline", row.pk, data)
        self.assertEqual(DeadlineOverride.objects.count(), 0)

    def test_a_line_out_of_range_is_not_found(self):
        for key in (2**63, 0):
            with self.subTest(key=key):
                answer = self.client.get(f"/lines/{key}/adjust/")
                self.assertEqual(answer.status_code, 404)


class NoticeTests(PageCase):
    def write(self, kind="concealed", **over):
        url = self.url("write_notice", self.stage.shipment.pk, kind)
        url += f"?delivery={self.stage.delivery.pk}"
        data = {"addressee": "Plainsway, claims", "text": "Subject\n\nBody.", **over}
        return self.client.post(url, data)

    def test_the_page_composes_from_the_record(self):
        url = self.url("write_notice", self.stage.shipment.pk, "concealed")

        answer = self.client.get(url)

        self.assertContains(answer, "Deck shell cracked at the left hinge, 12 cm.")
        self.assertContains(answer, "inspect the goods at our dock")

    def test_written_sent_and_received_it_meets_the_duty(self):
        self.write()
        row = Notice.objects.get()
        self.client.post(
            self.url("send_notice", row.pk),
            {"version": row.version, "on": "2026-03-16", "how": "email"},
        )
        duty = Deadline.objects.get(duty="concealed-notice", superseded_at=None)
        self.assertIsNone(duty.met_on)
        row.refresh_from_db()
        self.client.post(
            self.url("receive_notice", row.pk),
            {"version": row.version, "on": "2026-03-16", "words": "Read receipt"},
        )

        duty.refresh_from_db()
        self.assertEqual(duty.met_on, TODAY)
        self.assertContains(
            self.client.get(self.url("notice", row.pk)), "<span>Received</span>"
        )
        self.assertEqual(Event.objects.latest("sequence").kind, "notice.received")

    def test_the_letter_is_a_pdf(self):
        self.write()

        answer = self.client.get(self.url("notice_letter", Notice.objects.get().pk))

        self.assertTrue(answer.content.startswith(b"%PDF-"))
        self.assertIn("attachment", answer["Content-Disposition"])

    def test_receipt_before_sending_is_refused(self):
        self.write()
        row = Notice.objects.get()
        answer = self.client.post(
            self.url("receive_notice", row.pk),
            {"version": row.version, "on": "2026-03-16", "words": "x"},
        )

        self.assertContains(
            answer, "The notice has not been sent yet.", status_code=422
        )

    def test_bad_words_are_told(self):
        for over in ({"text": ""}, {"text": "x" * 9000}, {"addressee": ""}):
            with self.subTest(over=str(over)[:30]):
                self.assertEqual(self.write(**over).status_code, 422)
        self.assertEqual(Notice.objects.count(), 0)

    def test_a_truck_of_another_bill_and_an_unknown_kind_are_not_found(self):
        other = set_stage(self.people)
        base = self.url("write_notice", self.stage.shipment.pk, "concealed")
        for url in (
            f"{base}?delivery={other.delivery.pk}",
            f"{base}?delivery=abc",
            f"{base}?delivery={2**70}",
            self.url("write_notice", self.stage.shipment.pk, "ransom"),
        ):
            with self.subTest(url=url):
                self.assertEqual(self.client.get(url).status_code, 404)

    def test_accounting_reads_a_notice_and_may_not_send_it(self):
        self.write()
        row = Notice.objects.get()
        self.client.force_login(self.people.abel)

        self.assertEqual(self.client.get(self.url("notice", row.pk)).status_code, 200)
        self.assertEqual(
            self.client.get(self.url("send_notice", row.pk)).status_code, 403
        )
        self.client.force_login(self.people.nell)
        self.assertEqual(self.client.get(self.url("notice", row.pk)).status_code, 404)


class MakeClaimTests(PageCase):
    def test_a_claim_is_made_from_ticked_findings(self):
        stage = set_stage(self.people)
        answer = self.client.post(
            self.url("make_claim", stage.shipment.pk),
            {
                "take_1": "on",
                "outcome_1": "total",
                "salvage_1": "125.00",
                "claimant": "us",
                "basis": "invoice",
            },
        )

        made = Claim.objects.get(shipment=stage.shipment)
        self.assertRedirects(answer, self.url("claim", made.pk))
        # 4,125.00 less 125.00 salvage, and freight by weight: 840 x 640/3200.
        self.assertEqual(made.lines.get().worked_cents, 400_000 + 16_800)

    def test_without_a_free_finding_the_page_says_so(self):
        answer = self.client.get(self.url("make_claim", self.stage.shipment.pk))

        self.assertContains(answer, "No findings to claim.")
