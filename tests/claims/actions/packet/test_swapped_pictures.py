"""A picture that was swapped on the disk never reaches a claim file."""

import io

import pytest
from django.test import TestCase
from PIL import Image
from pypdf import PdfReader

from claims.actions.packet.packets import build_packet, packet_bytes
from claims.models import FindingPhoto
from inventory.evidence.pictures import renditions
from inventory.models import Reading
from tests.claims.stage import AT, TODAY, claim_it, set_stage
from tests.inventory.actions.evidence.test_reading import Photos, magenta
from tests.people import cast

pytestmark = pytest.mark.database


class TestSwapped(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.stage = set_stage(cls.who)
        cls.claim = claim_it(cls.who, cls.stage)
        cls.bill = cls.stage.shipment

    keep, answered = Photos.keep, Photos.answered
    keep_as_before = Photos.keep_as_before

    def built(self):
        packet = build_packet(
            claim=self.claim, person=self.who.mina, at=AT, today=TODAY
        )
        return PdfReader(io.BytesIO(packet_bytes(packet)))

    def put_into_finding(self, photo):
        FindingPhoto.objects.create(finding=self.stage.finding, evidence=photo)
        return photo

    def colors(self, read):
        return [
            Image.open(io.BytesIO(one.data))
            .convert("RGB")
            .resize((1, 1))
            .getpixel((0, 0))
            for page in read.pages
            for one in page.images
        ]

    def test_the_sealed_one_is_printed(self):
        photo = self.put_into_finding(self.keep())
        path = renditions.rendition_path(photo.original_id, 1600)
        path.write_bytes(magenta((640, 480)))

        found = self.colors(self.built())

        assert found
        assert all(green > 80 for _, green, _ in found), found
        assert (
            renditions.hash_of(path.read_bytes()) == Reading.objects.get().large_sha256
        )

    def test_a_photo_of_before_is_read_from_its_original_and_sealed_first(self):
        photo = self.put_into_finding(self.keep_as_before())
        renditions.read_picture(photo.original_id)
        path = renditions.rendition_path(photo.original_id, 1600)
        path.write_bytes(magenta((640, 480)))

        found = self.colors(self.built())

        assert found
        assert all(green > 80 for _, green, _ in found), found
        assert Reading.objects.count() == 1
