"""Every photo that waits is read, and what is wrong with one holds up no other."""

import io
import json
import threading
from unittest import mock

import pytest
from django.core.management import call_command
from django.db import DatabaseError

from inventory.actions.evidence import reader, reading
from inventory.actions.evidence.reading import unread_photos
from inventory.evidence.pictures import renditions
from inventory.evidence.pictures.drawn import picture_for
from inventory.models import Event, Evidence
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

    def test_readings_of_photos_that_wait_share_a_transaction_and_no_event(self):
        photos = [self.answered(jpeg((60 + n, 40))) for n in range(10)]
        with (
            mock.patch.object(reader, "SOON", 600),
            mock.patch.object(
                reader, "seal_readings", wraps=reader.seal_readings
            ) as sealing,
        ):
            assert not any(self.read())

        sizes = [len(call.kwargs["decoded"]) for call in sealing.call_args_list]
        assert (len(sizes), sum(sizes)) == (2, 10)
        told = Event.objects.filter(kind="evidence.read")
        assert {
            tuple(event.subjects.values_list("key", flat=True)) for event in told
        } == {(str(photo.pk),) for photo in photos}
        assert told.count() == 10
        for event in told:
            photo = Evidence.objects.get(pk=event.subjects.get().key)
            sealed = [row[:2] for row in json.loads(event.body)["rows"]]
            assert sealed == [["reading", str(photo.readings.get().pk)]]
        assert "All well" in self.verified()
        for photo in photos:
            assert picture_for(photo).sha256 == photo.readings.get().large_sha256

    def test_a_picture_that_cannot_be_opened_is_told_beside_those_that_can(self):
        whole = [self.answered(jpeg((60 + n, 40))) for n in range(2)]
        broken = self.answered(b"\xff\xd8\xff\xda\xff\xd9")

        assert not any(self.read())

        told = {
            kind: {
                event.subjects.get().key for event in Event.objects.filter(kind=kind)
            }
            for kind in ("evidence.read", "evidence.unreadable")
        }
        assert told == {
            "evidence.read": {str(photo.pk) for photo in whole},
            "evidence.unreadable": {str(broken.pk)},
        }
        assert "All well" in self.verified()

    def test_a_reading_that_cannot_be_sealed_holds_up_none_of_those_beside_it(self):
        photos = [self.answered(jpeg((60 + n, 40))) for n in range(5)]
        real = reading.facts_of

        def fails(row, decoded):
            if row.pk == photos[2].pk:
                raise DatabaseError
            return real(row, decoded)

        with (
            mock.patch.object(reading, "facts_of", fails),
            self.assertLogs(reader.log, "ERROR") as said,
        ):
            assert sum(self.read()) == 1
        assert str(photos[2].pk) in said.output[0]
        assert Event.objects.filter(kind="evidence.read").count() == 4
        assert not any(self.read())
        assert "All well" in self.verified()

    def test_one_that_is_told_to_stop_seals_what_it_has_decoded(self):
        for n in range(6):
            self.answered(jpeg((60 + n, 40)))
        stop = threading.Event()
        real = reader.decode

        def decode(sha256):
            stop.set()
            return real(sha256)

        with mock.patch.object(reader, "decode", decode):
            reader._read_all(unread_photos(), lambda: ARRIVED, set(), stop)
        assert 1 <= Event.objects.filter(kind="evidence.read").count() <= 4
        assert not any(self.read())
        assert Event.objects.filter(kind="evidence.read").count() == 6

    def test_each_ring_is_another(self):
        heard = set()
        for _ in range(20):
            reader.ring()
            heard.add(reader._last_ring())
        assert len(heard) == 20

    @pytest.mark.slow
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
