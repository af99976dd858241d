"""A photo withheld after a packet: the old packet stays, the next one leaves it out."""

import io
import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import TestCase
from pypdf import PdfReader

from claims.actions.packet.packets import build_packet, packet_bytes
from claims.models import FindingPhoto
from inventory.actions.evidence.keeping import keep_evidence
from inventory.actions.evidence.withholding import (
    show_evidence_again,
    withhold_evidence,
)
from tests.claims.stage import AT, TODAY, claim_it, set_stage
from tests.people import cast
from tests.pictures import jpeg

pytestmark = pytest.mark.database


class TestWithheldFromPackets(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.stage = set_stage(cls.people)
        cls.claim = claim_it(cls.people, cls.stage)
        cls.photo = keep_evidence(
            person=cls.people.tomas,
            at=AT,
            upload=SimpleUploadedFile("photo.jpg", jpeg(colour=(200, 90, 60))),
            client_id=uuid.uuid5(uuid.NAMESPACE_OID, "the driver"),
            kind="damage",
            shipment=cls.stage.shipment,
            caption="Deck with the driver",
        ).evidence
        FindingPhoto.objects.create(finding=cls.stage.finding, evidence=cls.photo)

    def act(self, act):
        mina = self.people.mina
        act(person=mina, at=AT, evidence=self.photo, reason="It shows the driver.")

    def build(self):
        return build_packet(
            claim=self.claim, person=self.people.mina, at=AT, today=TODAY
        )

    def holds_the_photo(self, packet):
        pages = PdfReader(io.BytesIO(packet_bytes(packet))).pages
        text = "".join("".join(page.extract_text().split()) for page in pages)
        return "Deckwiththedriver" in text or self.photo.original_id in text

    def test_the_old_packet_stays_and_the_next_leaves_it_out(self):
        first = self.build()
        sent = packet_bytes(first)
        assert self.holds_the_photo(first)

        self.act(withhold_evidence)
        second = self.build()

        assert packet_bytes(first) == sent
        assert not self.holds_the_photo(second)

    def test_shown_again_it_is_in_the_next(self):
        self.act(withhold_evidence)
        self.act(show_evidence_again)

        assert self.holds_the_photo(self.build())
