"""A withheld photo is hidden everywhere, with the reason; nothing of it is lost."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import DatabaseError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from claims.queries.claim.proof import evidence_of as files_of
from claims.queries.desk.stories import evidence_of
from claims.queries.packet.gathered import findings_of
from inventory.evidence.store import originals as store
from inventory.models import Event, Evidence, Withholding
from tests import making
from tests.people import cast
from tests.pictures import jpeg
from tests.prepared_once import PreparedOnce

pytestmark = pytest.mark.database

REASON = "It shows the driver's papers."


class TestWithholding(PreparedOnce):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.delivery = making.make_signed_delivery(location=cls.who.riverside)
        cls.shipment = making.make_shipment(
            location=cls.who.riverside, carrier=cls.delivery.carrier
        )
        making.make_handover(cls.delivery, cls.shipment)
        cls.claim = making.make_claim(cls.shipment, made_by=cls.who.mina)
        cls.line = making.make_claim_line(cls.claim, finding=cls.finding_on())
        cls.prepare_class()

    @classmethod
    def finding_on(cls):
        crate = making.make_crate(cls.shipment, delivery=cls.delivery, look="clear")
        cls.unit = making.make_unit(cls.shipment, crate=crate)
        look = making.make_inspection(
            crate=crate, unit=cls.unit, looked_by=cls.who.tomas
        )
        cls.finding = making.make_finding(look, recorded_by=cls.who.tomas)
        return cls.finding

    def setUp(self):
        self.client.force_login(self.who.mina)

    def prepare_once(self):
        url = f"{reverse('add_evidence')}?shipment={self.shipment.pk}"
        self.client.post(
            url,
            {
                "kind": "packing-list",
                "photos": [SimpleUploadedFile("a.jpg", jpeg())],
                "caption": "List on the lid",
            },
        )
        self.kept = Evidence.objects.get()
        self.finding.photo_links.create(evidence=self.kept)

    def at(self, name, *more):
        return reverse(name, args=[self.kept.pk, *more])

    def withhold(self, reason=REASON):
        return self.client.post(self.at("withhold_evidence"), {"reason": reason})

    def test_bytes_hash_and_row_stay(self):
        before = Evidence.everything.values().get()

        assert self.withhold().status_code == 302
        assert store.is_intact(self.kept.original_id)
        assert Evidence.everything.values().get() == before

    def test_no_list_and_no_packet_query_holds_it(self):
        assert len(evidence_of(shipment=self.shipment)) == 1
        assert len(findings_of([self.line])[0].photos.all()) == 1
        assert len(files_of(self.shipment)) == 1

        self.withhold()

        assert evidence_of(shipment=self.shipment) == []
        assert list(findings_of([self.line])[0].photos.all()) == []
        assert files_of(self.shipment) == []
        assert list(self.finding.photos.all()) == []
        assert list(self.shipment.evidence.all()) == []

    def test_no_page_shows_it(self):
        pages = [
            reverse("shipment", args=[self.shipment.pk]),
            reverse("finding", args=[self.finding.pk]),
            reverse("edit_finding", args=[self.finding.pk]),
        ]
        assert str(self.kept.pk) in self.client.get(pages[0]).content.decode()
        self.withhold()
        for page in pages:
            with self.subTest(page=page):
                answer = self.client.get(page)
                assert answer.status_code == 200
                assert str(self.kept.pk) not in answer.content.decode()

    def test_a_finding_left_without_a_photo_asks_for_one_again(self):
        self.client.force_login(self.who.tomas)
        asks = reverse("edit_finding", args=[self.finding.pk])
        self.assertNotContains(self.client.get(reverse("bench")), "Add a photo")

        self.client.force_login(self.who.mina)
        self.withhold()
        self.client.force_login(self.who.tomas)

        page = self.client.get(reverse("bench")).content.decode()
        assert "Your findings without a photo: 1" in page, asks

    def test_the_record_says_who_and_why_and_the_picture_is_gone(self):
        self.withhold()

        record = self.client.get(self.at("evidence"))
        self.assertContains(record, "It shows the driver&#x27;s papers.")
        self.assertContains(record, "Mina Okoro")
        self.assertContains(record, self.kept.original_id)
        self.assertNotContains(record, self.at("photo", 1600))
        for url in (self.at("photo", 320), self.at("photo", 1600), self.at("original")):
            answer = self.client.get(url)
            self.assertContains(answer, "driver&#x27;s papers", status_code=410)

    def test_a_copy_in_the_browser_is_asked_about_each_time(self):
        first = self.client.get(self.at("photo", 320))
        again = {"if-none-match": first["ETag"]}

        assert first["Cache-Control"] == "private, no-cache"
        assert self.client.get(self.at("photo", 320), headers=again).status_code == 304
        self.withhold()
        assert self.client.get(self.at("photo", 320), headers=again).status_code == 410

    def test_it_is_an_event_of_all_it_belongs_to(self):
        self.withhold()

        event = Event.objects.order_by("-sequence").first()
        assert event.kind == "evidence.withheld"
        assert event.data["reason"] == REASON
        assert event.data["sha256"] == self.kept.original_id
        nouns = set(event.subjects.values_list("noun", flat=True))
        assert nouns == {"shipment", "evidence"}

    def test_it_is_shown_again_by_another_act_and_both_stay_on_record(self):
        self.withhold()
        answer = self.client.post(
            self.at("show_evidence"), {"reason": "The papers are ours."}
        )

        assert answer.status_code == 302
        assert len(evidence_of(shipment=self.shipment)) == 1
        record = self.client.get(self.at("evidence"))
        self.assertContains(record, "Hidden: It shows")
        self.assertContains(record, "Shown again: The papers are ours.")
        self.withhold("Still private.")
        assert evidence_of(shipment=self.shipment) == []

    def test_a_reason_is_needed(self):
        for reason in ("", "   ", "\u202e"):
            with self.subTest(reason=reason):
                answer = self.withhold(reason)
                self.assertContains(answer, "Enter the reason", status_code=422)
        assert Withholding.objects.count() == 0

    def test_twice_is_refused_plainly(self):
        self.withhold()
        self.assertContains(self.withhold(), "already hidden", status_code=422)

    def test_what_is_shown_cannot_be_shown_again(self):
        answer = self.client.post(self.at("show_evidence"), {"reason": "Why not."})
        self.assertContains(answer, "not hidden", status_code=422)

    def test_the_same_upload_repeated_finds_its_row_though_it_is_withheld(self):
        self.withhold()
        url = f"{reverse('add_evidence')}?shipment={self.shipment.pk}"
        answer = self.client.post(
            url,
            {
                "kind": "packing-list",
                "photos": [SimpleUploadedFile("a.jpg", jpeg())],
                "client_id": str(self.kept.client_id),
            },
        )

        assert answer.status_code == 302
        assert Evidence.everything.count() == 1

    def test_the_word_can_be_neither_changed_nor_taken_away(self):
        self.withhold()
        for change in (
            lambda: Withholding.objects.update(is_withheld=False),
            lambda: Withholding.objects.all()._raw_delete("default"),
        ):
            with pytest.raises(DatabaseError), transaction.atomic():
                change()
        assert Withholding.objects.get().is_withheld

    def test_lists_ask_no_more_questions_than_before(self):
        with CaptureQueriesContext(connection) as before:
            evidence_of(shipment=self.shipment)
        for number in range(5):
            making.make_evidence(shipment=self.shipment, caption=str(number))
        self.withhold()
        with CaptureQueriesContext(connection) as after:
            assert len(evidence_of(shipment=self.shipment)) == 5
        # The photos, the marks on them, and what was read of them.
        assert len(before) == len(after) == 3
