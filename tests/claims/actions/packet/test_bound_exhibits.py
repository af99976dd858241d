"""Uploaded PDFs are pages of the claim file; one that cannot be bound is listed."""

import io
import uuid

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import TestCase
from pypdf import PdfReader, PdfWriter
from reportlab.pdfgen.canvas import Canvas

from claims.actions.packet.drawing import draw
from claims.actions.packet.packets import build_packet, packet_bytes
from claims.rules.packet.content import PacketContent
from inventory.actions.evidence.keeping import keep_evidence
from inventory.rules.core import frozen
from tests.claims.stage import AT, TODAY, claim_it, set_stage
from tests.people import cast

pytestmark = pytest.mark.database


def pdf_of(*pages):
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(612, 792), invariant=1)
    for words in pages:
        canvas.drawString(72, 700, words)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def locked(data):
    writer = PdfWriter(clone_from=io.BytesIO(data))
    writer.encrypt("a", algorithm="RC4-128")
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


class TestBoundExhibits(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.people = cast()
        cls.stage = set_stage(cls.people)
        cls.claim = claim_it(cls.people, cls.stage)

    def keep(self, data, kind="bill-of-lading"):
        return keep_evidence(
            person=self.people.tomas,
            at=AT,
            upload=SimpleUploadedFile("paper.pdf", data, "application/pdf"),
            client_id=uuid.uuid4(),
            kind=kind,
            shipment=self.stage.shipment,
        ).evidence

    def build(self):
        return build_packet(
            claim=self.claim, person=self.people.mina, at=AT, today=TODAY
        )

    def texts(self, data):
        return [page.extract_text() for page in PdfReader(io.BytesIO(data)).pages]

    def test_each_page_of_a_bill_of_lading_is_a_page_of_its_exhibit(self):
        row = self.keep(pdf_of("Bolted to the floor", "Two of two"))
        packet = self.build()
        texts = self.texts(packet_bytes(packet))
        first = next(n for n, text in enumerate(texts) if "Bolted to the floor" in text)
        assert "page 1 of 2" in texts[first]
        assert "Two of two" in texts[first + 1]
        assert "page 2 of 2" in texts[first + 1]
        listed = "".join("".join(texts).split())
        assert row.original_id in listed
        assert "notboundin" not in listed

    def test_a_locked_one_is_listed_with_its_value_and_why(self):
        row = self.keep(locked(pdf_of("Nobody reads this")))
        text = "".join(" ".join(self.texts(packet_bytes(self.build()))).split())
        assert "notboundin:itislockedorencrypted" in text
        assert row.original_id in text
        assert "Nobodyreadsthis" not in text

    def test_a_page_that_was_swapped_on_the_disk_is_made_again(self):
        self.keep(pdf_of("The true page"))
        packet = self.build()
        content = frozen.from_json(PacketContent, packet.content)
        page = next(one.bound[0] for one in content.exhibits if one.bound)
        kept = settings.RENDITION_ROOT / page.path
        true = kept.read_bytes()
        kept.write_bytes(pdf_of("A forged page"))
        again = draw(content)
        assert kept.read_bytes() == true
        assert again == packet_bytes(packet)
