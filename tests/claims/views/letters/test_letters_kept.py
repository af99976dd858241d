"""Notices and letters about a hold are kept as they went out, and never redrawn."""

import hashlib
from datetime import timedelta
from io import BytesIO
from unittest.mock import patch

import pytest
from django.urls import reverse
from pypdf import PdfReader

from claims.actions.letters import notices
from claims.models import Notice
from inventory.evidence.store.homes import StoreUnavailableError
from inventory.evidence.store.originals import path_of
from inventory.models import Event, SentDocument
from tests import making
from tests.claims.crate_stage import Crates
from tests.claims.stage import AT
from tests.claims.views.claim.test_claims import PageCase
from tests.verifying import report_now

pytestmark = pytest.mark.database


def words_of(data):
    return " ".join(
        " ".join(page.extract_text() for page in PdfReader(BytesIO(data)).pages).split()
    )


class TestNotices(PageCase):
    def setUp(self):
        super().setUp()
        self.row = making.make_notice(
            self.stage.shipment, written_by=self.people.mina, text="Subject\n\nBody."
        )

    def mark_sent(self, on="2026-03-16", how="email"):
        self.row.refresh_from_db()
        return self.client.post(
            reverse("send_notice", args=[self.row.pk]),
            {"version": self.row.version, "on": on, "how": how},
        )

    def letter(self):
        return self.client.get(reverse("notice_letter", args=[self.row.pk]))

    def kept(self):
        return list(SentDocument.objects.filter(kind="notice"))

    def test_a_notice_that_was_not_sent_keeps_nothing(self):
        self.letter()
        assert not self.kept()

    def test_the_letter_is_kept_as_it_was_sent(self):
        self.mark_sent()
        first = self.letter().content
        assert "Body." in words_of(first)
        assert "March 16, 2026" in words_of(first)
        self.stage.shipment.carrier.claims_address = "New Street 1"
        self.stage.shipment.carrier.save()

        with patch("claims.documents.letters.letter_pdf") as draw:
            again = self.letter().content

        draw.assert_not_called()
        assert again == first
        (sent,) = self.kept()
        assert sent.original_id == hashlib.sha256(first).hexdigest()
        assert (sent.noun, sent.key) == ("notice", str(self.row.pk))
        assert sent.made_by == self.people.mina

    def test_the_event_of_the_sending_seals_it(self):
        self.mark_sent()
        told = Event.objects.get(kind="notice.sent")
        assert f'["sentdocument","{self.kept()[0].pk}"' in told.body

    def test_sent_again_it_is_the_same_letter(self):
        self.mark_sent(on="2026-03-15")
        first = self.letter().content
        self.stage.shipment.location.name = "Another name"
        self.stage.shipment.location.save()
        self.mark_sent(on="2026-03-16", how="post")

        assert self.letter().content == first
        assert [row.document_version for row in self.kept()] == [1, 2]
        assert len({row.original_id for row in self.kept()}) == 1

    def test_a_letter_that_is_made_again_meanwhile_does_not_go_out_as_it_was(self):
        keep = {"notice": self.row, "person": self.people.mina, "at": AT}
        notices.keep_letter(**keep)
        real = notices._letter_going_out

        def meanwhile(notice, step):
            document = real(notice, step)
            self.stage.shipment.carrier.claims_address = "New Street 1"
            self.stage.shipment.carrier.save()
            notices.keep_letter(**keep, is_new=False)
            return document

        with patch.object(notices, "_letter_going_out", meanwhile):
            answer = self.mark_sent()
        self.assertContains(answer, "made again", status_code=422)
        assert Notice.objects.get(pk=self.row.pk).sent_on is None
        self.mark_sent()
        assert "New Street 1" in words_of(self.letter().content)

    def test_a_sending_that_is_refused_keeps_nothing(self):
        with patch("inventory.evidence.store.originals.store_original") as store:
            assert self.mark_sent(on="2026-04-30").status_code == 422
        store.assert_not_called()
        assert not self.kept()

    def test_where_the_disk_refuses_nothing_is_recorded(self):
        refuse = StoreUnavailableError("The disk is nearly full.")
        with patch(
            "inventory.evidence.store.originals.store_original", side_effect=refuse
        ):
            answer = self.mark_sent()
        self.assertContains(answer, "nothing was recorded", status_code=422)
        assert Notice.objects.get(pk=self.row.pk).sent_on is None

    def test_a_lost_letter_is_said_to_be_lost_and_found_by_verify(self):
        self.mark_sent()
        sha256 = self.kept()[0].original_id
        path = path_of(sha256)
        self.addCleanup(path.write_bytes, path.read_bytes())
        path.unlink()

        self.assertContains(self.letter(), "not drawn again", status_code=404)
        assert any(
            said.startswith(f"Original {sha256} is missing")
            for said in faults_of_originals()
        )

    def test_a_changed_letter_is_found_by_verify(self):
        self.mark_sent()
        sha256 = self.kept()[0].original_id
        path = path_of(sha256)
        self.addCleanup(path.write_bytes, path.read_bytes())
        path.chmod(0o644)
        path.write_bytes(b"%PDF-1.4 something else")

        assert f"Original {sha256} no longer has its hash." in faults_of_originals()


def faults_of_originals():
    with patch("inventory.evidence.seal.verification.SHOWN", 10_000):
        return [said for said in report_now().first if said.startswith("Original ")]


class TestLettersAboutAHold(Crates):
    def setUp(self):
        super().setUp()
        self.charge(50)
        self.hold = making.make_packaging_hold(self.crate)

    def confirm(self, who="carrier", **over):
        form = self.page(f"ask_{who}", self.hold).context["form"]
        names = ("version", "digest", "once")
        seen = {name: form[name].value() for name in names} | over
        return self.client.post(reverse(f"ask_{who}", args=[self.hold.pk]), seen)

    def mark_sent(self, who="carrier", **over):
        self.hold.refresh_from_db()
        said = {"version": self.hold.version, "on": self.today.isoformat(), **over}
        return self.client.post(reverse(f"{who}_asked", args=[self.hold.pk]), said)

    def letter(self, who="carrier", **asked):
        return self.client.get(reverse(f"{who}_letter", args=[self.hold.pk]), asked)

    def test_each_letter_is_frozen_when_it_is_confirmed_and_sent_as_it_is(self):
        for who in ("carrier", "supplier"):
            self.confirm(who)
            before = self.letter(who).content
            making.make_finding(crate=self.crate, facts="Found only later.")
            assert self.mark_sent(who).status_code == 302

            assert self.letter(who).content == before
            assert "Found only later." not in words_of(before)
            assert "DRAFT" not in words_of(before)
            sent = SentDocument.objects.get(kind=f"{who}-hold-letter")
            assert sent.original_id == hashlib.sha256(before).hexdigest()
            assert (sent.noun, sent.key) == ("packaginghold", str(self.hold.pk))
            self.crate.findings.filter(facts="Found only later.").delete()

    def test_the_event_of_the_confirmation_has_the_hash_of_what_was_read(self):
        page = self.page("ask_carrier", self.hold)
        self.confirm()
        event = Event.objects.filter(kind="packaging.letter").get()
        assert event.actor == self.who.mina
        assert event.data["confirmed"] == page.context["form"]["digest"].value()
        assert event.data["sha"] == SentDocument.objects.get().original_id
        assert report_now().first == []

    def test_what_changed_after_it_was_read_is_not_confirmed(self):
        digest = self.page("ask_carrier", self.hold).context["form"]["digest"].value()
        making.make_finding(crate=self.crate, facts="Found only later.")
        answer = self.confirm(digest=digest)
        self.assertContains(answer, "changed after you read it", status_code=422)
        assert not SentDocument.objects.exists()
        assert self.confirm().status_code == 302

    def test_before_it_is_confirmed_it_is_a_draft(self):
        before = self.letter().content
        assert "DRAFT: not confirmed, not to be sent" in words_of(before)
        making.make_finding(crate=self.crate, facts="Found only later.")
        assert self.letter().content != before
        assert not SentDocument.objects.exists()

    def test_nothing_is_recorded_as_sent_that_was_not_confirmed(self):
        page = self.page("carrier_asked", self.hold)
        self.assertContains(page, "Read it and confirm it first.")
        answer = self.mark_sent()
        self.assertContains(answer, "confirm it first", status_code=422)
        self.confirm()
        early = (self.today - timedelta(days=1)).isoformat()
        self.hold.placed_on = self.today - timedelta(days=3)
        self.hold.save()
        self.assertContains(
            self.mark_sent(on=early), "was not sent before", status_code=422
        )
        assert self.mark_sent().status_code == 302
        again = self.mark_sent()
        self.assertContains(again, "confirm it first", status_code=422)

    def test_asking_again_confirms_a_new_letter_and_keeps_both(self):
        self.confirm()
        self.mark_sent()
        first = self.letter().content
        making.make_finding(crate=self.crate, facts="Found only later.")
        self.assertContains(
            self.page("ask_carrier", self.hold),
            reverse("carrier_letter", args=[self.hold.pk]) + "?draft=1",
        )
        assert "Found only later." in words_of(self.letter(draft="1").content)
        self.confirm()
        second = self.letter().content
        page = self.page("packaging_hold", self.hold)
        self.assertContains(page, "next letter, not sent yet")
        self.mark_sent()

        assert self.letter().content == second != first
        kept = SentDocument.objects.order_by("document_version")
        assert [row.original_id for row in kept] == [
            hashlib.sha256(data).hexdigest() for data in (first, second)
        ]

    def test_the_page_of_the_hold_says_what_comes_next(self):
        letter = reverse("carrier_letter", args=[self.hold.pk])
        ask = reverse("ask_carrier", args=[self.hold.pk])
        sent = reverse("carrier_asked", args=[self.hold.pk])
        page = self.page("packaging_hold", self.hold)
        self.assertContains(page, ask)
        self.assertNotContains(page, letter)
        self.confirm()
        page = self.page("packaging_hold", self.hold)
        self.assertContains(page, "letter confirmed, not sent yet")
        self.assertContains(page, sent)
        self.mark_sent()
        page = self.page("packaging_hold", self.hold)
        self.assertContains(page, "letter as sent")
        self.assertNotContains(page, sent)

    def test_a_stale_form_records_nothing(self):
        self.confirm()
        assert self.mark_sent(version=99).status_code == 422
        self.hold.refresh_from_db()
        assert self.hold.carrier_asked_on is None

    def test_a_released_hold_confirms_no_letter(self):
        form = self.page("ask_carrier", self.hold).context["form"]
        digest = form["digest"].value()
        making.make_evidence(shipment=self.shipment, kind="inspection-report")
        self.client.post(
            reverse("release_packaging", args=[self.hold.pk]),
            {"version": self.hold.version, "how": "inspected", "reason": "He came."},
        )
        answer = self.confirm(digest=digest)
        assert answer.status_code == 422
        assert not SentDocument.objects.exists()
