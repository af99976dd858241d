"""Marks made after a packet: the old packet stays, the next draws them on a copy."""

import io
import json
import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import TestCase
from django.test.utils import CaptureQueriesContext
from pypdf import PdfReader

from claims.actions.claim.steps import Step
from claims.actions.packet.packets import build_packet, draft_packet, packet_bytes
from claims.models import FindingPhoto
from claims.rules.packet.content import FORMAT, from_json
from claims.rules.packet.manifest import MANIFEST_NAME
from inventory.actions.evidence.keeping import keep_evidence
from inventory.actions.evidence.marking import mark_photo
from inventory.evidence.store import originals as store
from inventory.rules.evidence.markup import Mark
from tests.claims.stage import AT, TODAY, claim_it, set_stage
from tests.people import cast
from tests.pictures import jpeg

pytestmark = pytest.mark.database

MARK = Mark("words", 100, 100, 100, 100, "Hinge torn")


class TestMarkedInPackets(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.stage = set_stage(cls.people)
        cls.claim = claim_it(cls.people, cls.stage)
        cls.photo = keep_evidence(
            person=cls.people.tomas,
            at=AT,
            upload=SimpleUploadedFile("IMG_7.jpg", jpeg(colour=(200, 90, 61))),
            client_id=uuid.uuid5(uuid.NAMESPACE_OID, "the hinge"),
            kind="damage",
            shipment=cls.stage.shipment,
        ).evidence
        FindingPhoto.objects.create(finding=cls.stage.finding, evidence=cls.photo)

    def build(self):
        return build_packet(
            claim=self.claim, person=self.people.mina, at=AT, today=TODAY
        )

    def mark(self, *marks, version=0):
        return mark_photo(
            person=self.people.mina,
            at=AT,
            evidence=self.photo,
            marks=marks,
            version=version,
        )

    def text_of(self, packet):
        pages = PdfReader(io.BytesIO(packet_bytes(packet))).pages
        return " ".join(" ".join(page.extract_text().split()) for page in pages)

    def test_the_packet_that_went_out_is_not_drawn_again(self):
        first = self.build()
        sent = packet_bytes(first)
        self.mark(MARK)
        second = self.build()

        assert packet_bytes(first) == sent
        assert "Hinge torn" not in self.text_of(first)
        named = f"SHA-256 {self.photo.original_id[:12]}..., file IMG_7.jpg."
        assert f"Marked copy. Original: {named}" in self.text_of(second)
        assert "Hinge torn" in self.text_of(second)

    def test_marks_that_were_removed_are_not_in_the_next(self):
        made = self.mark(MARK)
        self.mark(version=made.pk)
        text = self.text_of(self.build())
        assert "Hinge torn" not in text
        assert "Marked copy." not in text

    def test_the_list_of_originals_names_the_untouched_one(self):
        self.mark(MARK)
        packet = self.build()

        attached = PdfReader(io.BytesIO(packet_bytes(packet))).attachments
        (listed,) = json.loads(attached[MANIFEST_NAME][0])["originals"]
        assert listed["sha256"] == self.photo.original_id
        assert store.is_intact(self.photo.original_id)
        assert json.loads(listed["sealed"]["body"])["kind"] == "evidence.kept"

    def test_the_marks_are_frozen_with_the_content(self):
        self.mark(MARK)
        content = from_json(self.build().content)
        (photo,) = content.exhibits
        assert (content.format, photo.name, photo.marks) == (
            FORMAT,
            "IMG_7.jpg",
            (MARK,),
        )

    @pytest.mark.slow
    def test_many_marked_photos_ask_no_more_questions(self):
        step = Step(
            person=self.people.mina, at=AT, today=TODAY, version=self.claim.version
        )

        def asked():
            draft_packet(claim=self.claim, step=step)  # seals what is new
            with CaptureQueriesContext(connection) as queries:
                draft_packet(claim=self.claim, step=step)
            return len(queries)

        self.mark(MARK)
        one = asked()
        for number in range(4):
            photo = keep_evidence(
                person=self.people.tomas,
                at=AT,
                upload=SimpleUploadedFile("b.jpg", jpeg(colour=(9, 9, number))),
                client_id=uuid.uuid5(uuid.NAMESPACE_OID, f"more {number}"),
                kind="damage",
                shipment=self.stage.shipment,
            ).evidence
            FindingPhoto.objects.create(finding=self.stage.finding, evidence=photo)
        assert asked() == one
