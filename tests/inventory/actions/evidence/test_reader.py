"""Every photo that waits is read, and what is wrong with one holds up no other."""

import io
from unittest import mock

import pytest
from django.core.management import call_command

from inventory.actions.evidence import reader
from inventory.evidence.pictures import renditions
from inventory.models import Evidence
from tests import making
from tests.inventory.actions.evidence.test_reading import Photos
from tests.making import ARRIVED
from tests.pictures import jpeg

pytestmark = pytest.mark.database


class TestReader(Photos):
    def read(self):
        reader.read_waiting(clock=lambda: ARRIVED)
        return [row.is_unread for row in Evidence.objects.all()]

    def test_a_photo_that_cannot_be_read_now_holds_up_no_other_and_waits(self):
        making.make_evidence(shipment=self.bill, sha256="d" * 64)
        stopped = self.answered(jpeg((90, 60)))
        self.answered(jpeg())
        real = renditions.read_picture

        def stops(sha256):
            if sha256 == stopped.original_id:
                raise renditions.DecoderStoppedError(sha256)
            return real(sha256)

        with (
            mock.patch.object(renditions, "read_picture", stops),
            self.assertLogs(reader.log, "WARNING") as said,
        ):
            assert sum(self.read()) == 2
        assert any("d" * 64 in line for line in said.output)
        with self.assertLogs(reader.log, "ERROR"):
            assert sum(self.read()) == 1

    def test_each_ring_is_another(self):
        heard = set()
        for _ in range(20):
            reader.ring()
            heard.add(reader._last_ring())
        assert len(heard) == 20

    def test_what_waits_long_is_named_by_verify_and_is_no_fault(self):
        photo = self.answered()
        out = io.StringIO()
        call_command("verify", stdout=out)
        assert f"Photo {photo.pk}, received Tue 10 Mar 2026" in out.getvalue()
        assert "All well" in out.getvalue()
        assert self.read() == [False]
        again = io.StringIO()
        call_command("verify", stdout=again)
        assert "is not read yet" not in again.getvalue()
