"""A full disk, seen from the phone: told in words, nothing kept, pages still open."""

import errno
import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import TestCase
from django.urls import reverse

from inventory.evidence.pictures import renditions
from inventory.evidence.store import calls
from inventory.evidence.store import originals as store
from inventory.models import Event, Evidence, Original
from tests.crash.disk import SEAM, Disk
from tests.crash.effects import Fault
from tests.crash.uploads import ROOT
from tests.making import make_crate, make_delivery, make_handover, make_shipment
from tests.people import cast
from tests.pictures import jpeg
from tests.reading import read_photos

pytestmark = pytest.mark.database

CALLS = 10
"""The calls of one upload into an empty store, before the last: taking away a name."""


class FullDiskTests(TestCase):
    @pytest.fixture(autouse=True)
    def _disk(self, tmp_path, settings, monkeypatch):
        settings.EVIDENCE_ROOT = tmp_path / ROOT
        self.top, self.settings, self.patch = tmp_path, settings, monkeypatch

    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.truck = make_delivery(location=cls.who.riverside)
        cls.bill = make_shipment(location=cls.who.riverside, carrier=cls.truck.carrier)
        make_handover(cls.truck, cls.bill)
        cls.crate = make_crate(cls.bill, delivery=cls.truck)

    def on_a_disk_full_from(self, step):
        """Take an empty disk that is full from its n-th call on."""
        top = self.top / str(step)
        top.mkdir()
        self.settings.EVIDENCE_ROOT = top / ROOT
        fault = Fault(step, errno.ENOSPC, all_later_ones=True)
        return Disk(top, fault).behind_the_seam(self.patch)

    def send(self, address, field="photos", **form):
        photo = SimpleUploadedFile("photo.jpg", jpeg(), "image/jpeg")
        return self.client.post(
            address, {"client_id": str(uuid.uuid4()), field: [photo]} | form
        )

    def send_a_photo(self):
        self.client.force_login(self.who.rosa)
        address = f"{reverse('add_evidence')}?delivery={self.truck.pk}"
        return self.send(address, kind="load", caption="The torn corner")

    def assert_nothing_kept(self):
        assert not Original.objects.exists()
        assert not Evidence.objects.exists()
        assert not Event.objects.exists()

    def test_a_photo_is_refused_in_words_wherever_the_disk_gives_out(self):
        for step in range(CALLS):
            with self.subTest(step=step), self.on_a_disk_full_from(step):
                answer = self.send_a_photo()

                self.assertContains(answer, "It was not saved", status_code=507)
                self.assertContains(answer, "on your phone", status_code=507)
                self.assertContains(answer, "The torn corner", status_code=507)
        self.assert_nothing_kept()

    def test_it_is_refused_at_each_kind_of_call(self):
        def refuse(*_args):
            raise OSError(errno.ENOSPC, "No space left on device")

        for name in SEAM:
            if name == "unlink":  # a temporary file that stays is swept later
                continue
            with self.subTest(name=name), self.patch.context() as patch:
                patch.setattr(calls, name, refuse)
                answer = self.send_a_photo()
                self.assertContains(answer, "It was not saved", status_code=507)
        self.assert_nothing_kept()

    def test_pages_are_read_meanwhile_and_the_same_photo_is_kept_afterwards(self):
        with self.on_a_disk_full_from(0):
            assert self.send_a_photo().status_code == 507
            for page in ("dock", "bench"):
                with self.subTest(page=page):
                    assert self.client.get(reverse(page)).status_code == 200
            page = self.client.get(reverse("delivery", args=[self.truck.pk]))
            assert page.status_code == 200

        assert self.send_a_photo().status_code == 302
        assert store.is_intact(Evidence.objects.get().original_id)

    def test_the_bench_refuses_in_words_too_and_opens_no_crate(self):
        self.client.force_login(self.who.tomas)
        with self.on_a_disk_full_from(0):
            answer = self.send(reverse("open_crate", args=[self.crate.pk]))

        self.assertContains(answer, "It was not saved", status_code=507)
        self.crate.refresh_from_db()
        assert self.crate.opened_at is None
        self.assert_nothing_kept()

    def test_a_finding_comes_back_as_typed_when_its_photo_is_refused(self):
        self.client.force_login(self.who.tomas)
        address = reverse("record_finding", args=[self.bill.pk])
        with self.on_a_disk_full_from(0):
            answer = self.send(
                f"{address}?crate={self.crate.pk}", facts="Hinge bent by 4 cm."
            )

        self.assertContains(answer, "It was not saved", status_code=507)
        self.assertContains(answer, "Hinge bent by 4 cm.", status_code=507)
        self.assert_nothing_kept()

    def test_a_photo_is_kept_though_no_picture_of_it_can_be_and_it_is_made_later(self):
        place = self.top / "renditions"
        self.settings.RENDITION_ROOT = place
        place.write_bytes(b"no folder can be made here")

        assert self.send_a_photo().status_code == 302
        with self.assertLogs("inventory.evidence.pictures.renditions", "WARNING"):
            read_photos()

        kept = Evidence.objects.get().original_id
        assert store.is_intact(kept)
        place.unlink()
        assert renditions.ensure_rendition(kept, 320).read_bytes()[:2] == b"\xff\xd8"

    def test_a_nearly_full_disk_takes_no_photo_and_says_that_reading_works(self):
        self.patch.setattr("inventory.evidence.store.folder_home.NEARLY_FULL", -1)

        answer = self.send_a_photo()

        self.assertContains(answer, "nearly full", status_code=507)
        self.assertContains(answer, "You can still read pages", status_code=507)
        self.assert_nothing_kept()
