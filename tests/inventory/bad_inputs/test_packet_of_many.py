"""Two hundred photos of two hundred megapixels in one packet."""

import io
import uuid
from unittest import mock

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from pypdf import PdfReader

from claims.actions.packet.packets import build_packet, packet_bytes
from claims.models import FindingPhoto
from inventory.actions.evidence.keeping import keep_evidence
from inventory.evidence.pictures import renditions
from inventory.evidence.store import originals as store
from tests import making
from tests.claims.stage import AT, TODAY, claim_it, set_stage
from tests.inventory.bad_inputs import files
from tests.people import cast
from tests.reading import read_photos
from tests.sizes import cases

pytestmark = [pytest.mark.database, pytest.mark.slow]

MANY = cases(30, 200)


def test_f55_a_packet_is_drawn_from_renditions_and_opens_no_original(
    db, settings, tmp_path
):
    settings.EVIDENCE_ROOT = tmp_path / "originals"
    settings.RENDITION_ROOT = tmp_path / "renditions"
    who = cast()
    stage = set_stage(who)
    claim = claim_it(who, stage)
    first = keep_evidence(
        person=who.tomas,
        at=AT,
        upload=SimpleUploadedFile("huge.jpg", files.huge_jpeg()),
        client_id=uuid.uuid5(uuid.NAMESPACE_OID, "huge"),
        kind="damage",
        shipment=stage.shipment,
    ).evidence
    read_photos()
    for number in range(MANY):
        photo = making.make_evidence(
            shipment=stage.shipment, sha256=first.original_id, caption=f"Photo {number}"
        )
        FindingPhoto.objects.create(finding=stage.finding, evidence=photo)
        read = first.readings.get()
        making.make_reading(
            photo, large_sha256=read.large_sha256, small_sha256=read.small_sha256
        )

    with mock.patch.object(renditions, "read_picture", None):
        packet = build_packet(claim=claim, person=who.mina, at=AT, today=TODAY)

    data = packet_bytes(packet)
    text = "".join(page.extract_text() for page in PdfReader(io.BytesIO(data)).pages)
    assert all(f"Photo {number}" in text for number in (0, MANY // 2, MANY - 1))
    assert len(data) < 25_000_000
    assert store.is_intact(first.original_id)
