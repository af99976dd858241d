"""Notices and letters about a hold are kept as they went out, and never redrawn."""

import hashlib
from io import BytesIO
from unittest.mock import patch

import pytest
from django.urls import reverse
from pypdf import PdfReader

from claims.models import Notice
from inventory.evidence.store.homes import StoreUnavailableError
from inventory.evidence.store.originals import path_of
from inventory.models import Event, SentDocument
from tests import making
from tests.claims.crate_stage import Crates
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

    def mark_sent(self, who="carrier"):
        self.hold.refresh_from_db()
        return self.client.post(
            reverse(f"ask_{who}", args=[self.hold.pk]),
            {"version": self.hold.version, "on": self.today.isoformat()},
        )

    def letter(self, who="carrier", **asked):
        return self.client.get(reverse(f"{who}_letter", args=[self.hold.pk]), asked)

    def test_each_letter_is_kept_as_it_was_sent(self):
        for who in ("carrier", "supplier"):
            before = self.letter(who).content
            self.mark_sent(who)
            making.make_finding(crate=self.crate, facts="Found only later.")

            assert self.letter(who).content == before
            sent = SentDocument.objects.get(kind=f"{who}-hold-letter")
            assert sent.original_id == hashlib.sha256(before).hexdigest()
            assert (sent.noun, sent.key) == ("packaginghold", str(self.hold.pk))

    def test_before_it_is_sent_it_is_a_draft(self):
        before = self.letter().content
        making.make_finding(crate=self.crate, facts="Found only later.")
        assert self.letter().content != before
        assert not SentDocument.objects.exists()

    def test_asking_again_sends_a_new_letter_and_keeps_both(self):
        self.mark_sent()
        first = self.letter().content
        making.make_finding(crate=self.crate, facts="Found only later.")
        page = self.page("ask_carrier", self.hold)
        url = reverse("carrier_letter", args=[self.hold.pk])
        self.assertContains(page, f"{url}?draft=1")
        draft = self.letter(draft="1").content
        assert "Found only later." in words_of(draft)
        self.mark_sent()

        assert self.letter().content == draft != first
        kept = SentDocument.objects.order_by("document_version")
        assert [row.original_id for row in kept] == [
            hashlib.sha256(data).hexdigest() for data in (first, draft)
        ]

    def test_the_page_of_the_hold_gives_the_letter_as_sent(self):
        url = reverse("carrier_letter", args=[self.hold.pk])
        self.assertNotContains(self.page("packaging_hold", self.hold), url)
        self.mark_sent()
        self.assertContains(self.page("packaging_hold", self.hold), f'"{url}"')

    def test_a_stale_form_keeps_nothing(self):
        self.hold.version = 99
        self.client.post(
            reverse("ask_carrier", args=[self.hold.pk]),
            {"version": 99, "on": self.today.isoformat()},
        )
        assert not SentDocument.objects.exists()
