"""What is printed of a photo is sealed; another picture on the disk never is."""

import io
import shutil
import uuid
from unittest import mock

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import DatabaseError, connection, transaction
from django.test import TestCase
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from PIL import Image

from inventory.actions.evidence.keeping import keep_evidence
from inventory.actions.evidence.reading import ensure_readings, read_photo
from inventory.evidence.pictures import renditions
from inventory.evidence.pictures.drawn import picture_for
from inventory.evidence.store import originals as store
from inventory.models import Event, Evidence, Original, Reading
from tests import making
from tests.making import ARRIVED
from tests.people import cast
from tests.pictures import NO_PICTURE, jpeg, turned_jpeg
from tests.reading import read_photos

pytestmark = pytest.mark.database


def magenta(size=(1600, 1200)):
    out = io.BytesIO()
    Image.new("RGB", size, "magenta").save(out, "JPEG")
    return out.getvalue()


class Photos(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.bill = making.make_shipment(location=cls.who.riverside)

    def answered(self, data=None):
        return keep_evidence(
            person=self.who.rosa,
            at=ARRIVED,
            upload=SimpleUploadedFile("photo.jpg", jpeg() if data is None else data),
            client_id=uuid.uuid4(),
            kind="damage",
            shipment=self.bill,
        ).evidence

    def keep(self, data=None):
        photo = self.answered(data)
        read_photos()
        return photo

    def keep_as_before(self, data=None, **then):
        """Keep a photo as versions before readings did: with a row, without one."""
        stored = store.store_original([jpeg() if data is None else data], limit=10**7)
        Original.objects.get_or_create(
            sha256=stored.sha256,
            defaults={
                "size": stored.size,
                "media_type": "image/jpeg",
                "stored_at": ARRIVED,
            },
        )
        return making.make_evidence(shipment=self.bill, sha256=stored.sha256, **then)

    def tamper(self, photo, size=1600, data=None):
        path = renditions.rendition_path(photo.original_id, size)
        path.write_bytes(magenta() if data is None else data)
        return path

    def verified(self):
        out = io.StringIO()
        with transaction.atomic():
            try:
                call_command("verify", stdout=out)
            except CommandError as error:
                return f"{out.getvalue()}{error}"
        return out.getvalue()


class TestSealing(Photos):
    def test_a_photo_that_was_answered_is_read_and_sealed(self):
        photo = self.keep()
        row = photo.readings.get()

        large = renditions.rendition_path(photo.original_id, 1600).read_bytes()
        small = renditions.rendition_path(photo.original_id, 320).read_bytes()
        assert row.large_sha256 == renditions.hash_of(large)
        assert row.small_sha256 == renditions.hash_of(small)
        assert (row.width, row.height, photo.width) == (640, 480, None)
        assert row.decoder.startswith("2, Pillow ")
        assert "All well" in self.verified()

    def test_what_the_camera_claims_is_sealed_under_a_veil(self):
        row = self.keep(turned_jpeg()).readings.get()

        body = Event.objects.get(kind="evidence.read").body
        assert row.claims["latitude"] == "41.47000"
        assert "41.47" not in body
        assert "Larkfone" not in body
        assert '"veiled"' in body
        assert str(row.secret) not in body

    def test_a_photo_read_before_its_answer_keeps_what_was_seen_then(self):
        photo = self.keep_as_before(width=7, remarks=["Then."])
        read_photo(person=None, at=ARRIVED, evidence=photo)

        found = Evidence.objects.get(pk=photo.pk)
        assert (found.seen.width, found.seen.remarks) == (7, ["Then."])
        assert found.readings.get().width == 640

    def test_of_bytes_that_came_once_it_is_asked_once_whether_they_came_before(self):
        photo = self.answered()
        with CaptureQueriesContext(connection) as found:
            read_photo(person=None, at=ARRIVED, evidence=photo)

        asked = f"'{photo.original_id}'"  # a word of the question, unlike of an event
        assert [asked in one["sql"] for one in found.captured_queries].count(True) == 1

    def test_the_event_that_goes_out_says_nothing_of_the_reading(self):
        photo = self.keep()

        kept = Event.objects.get(kind="evidence.kept")
        assert photo.readings.get().large_sha256 not in kept.body
        assert '"reading"' not in kept.body

    def test_a_document_has_no_reading(self):
        photo = self.keep(b"%PDF-1.7 whatever")

        assert not Reading.objects.exists()
        ensure_readings(person=None, at=ARRIVED, photos=[photo])
        assert not Reading.objects.exists()

    def test_a_photo_that_cannot_be_read_says_so_and_is_not_asked_again(self):
        photo = self.keep(NO_PICTURE)
        row = photo.readings.get()

        assert (row.large_sha256, row.small_sha256, row.width) == ("", "", None)
        assert "cannot be previewed" in row.remarks[0]
        assert Event.objects.last().kind == "evidence.unreadable"
        assert picture_for(photo) is None

    def test_it_is_never_changed_or_deleted(self):
        self.keep()
        for act in (
            lambda: Reading.objects.update(large_sha256="0" * 64),
            lambda: Reading.objects.all()._raw_delete("default"),
        ):
            with pytest.raises(DatabaseError), transaction.atomic():
                act()


class TestTampering(Photos):
    def test_what_is_printed_is_what_was_sealed_whatever_lies_on_the_disk(self):
        photo = self.keep()
        before = picture_for(photo)
        path = self.tamper(photo)

        assert picture_for(photo) == before
        assert renditions.hash_of(path.read_bytes()) == before.sha256

    def test_a_page_shows_what_was_sealed(self):
        photo = self.keep()
        self.client.force_login(self.who.rosa)
        for size in renditions.SIZES:
            fake = self.tamper(photo, size).read_bytes()
            answer = self.client.get(reverse("photo", args=[photo.pk, size]))
            assert answer.content != fake
            assert renditions.hash_of(answer.content) in {
                photo.readings.get().large_sha256,
                photo.readings.get().small_sha256,
            }

    def test_verify_names_it_and_a_missing_copy_is_no_fault(self):
        photo = self.keep()
        assert "All well" in self.verified()
        self.tamper(photo, 320)

        said = self.verified()
        assert f"The 320 px copy of original {photo.original_id}" in said
        assert "1 faults found" in said

        renditions.rendition_path(photo.original_id, 320).unlink()
        assert "All well" in self.verified()

    def test_other_bytes_on_the_disk_are_never_sealed(self):
        photo = self.keep_as_before()
        renditions.read_picture(photo.original_id)
        self.tamper(photo)
        ensure_readings(person=None, at=ARRIVED, photos=[photo])

        sealed = photo.readings.get().large_sha256
        assert sealed != renditions.hash_of(magenta())
        assert picture_for(Evidence.objects.get(pk=photo.pk)).sha256 == sealed

    def test_a_changed_original_is_not_sealed(self):
        photo = self.keep_as_before()
        path = store.path_of(photo.original_id)
        path.chmod(0o640)
        path.write_bytes(magenta())

        assert read_photo(person=None, at=ARRIVED, evidence=photo) is None
        assert not Reading.objects.exists()
        shutil.rmtree(path.parent)


class TestNewerDecoder(Photos):
    def setUp(self):
        self.photo = self.keep()
        real = renditions._run_child

        def newer(sha256):
            facts, pictures = real(sha256)
            return facts | {"decoder": "2"}, [one + b"\x00" for one in pictures]

        self.newer = mock.patch.object(renditions, "_run_child", newer)

    def test_as_long_as_the_sealed_copy_is_there_nothing_changes(self):
        with self.newer:
            ensure_readings(person=None, at=ARRIVED, photos=[self.photo])
        assert Reading.objects.count() == 1

    def test_other_bytes_are_printed_once_they_are_sealed_too(self):
        renditions.rendition_path(self.photo.original_id, 1600).unlink()
        # Other libraries: the version before would not make its former bytes either.
        neither = mock.patch.object(renditions, "_made_as_before", return_value=())
        with self.newer, neither:
            with pytest.raises(renditions.UnsealedPictureError, match="not sealed"):
                picture_for(self.photo)
            ensure_readings(person=self.who.mina, at=ARRIVED, photos=[self.photo])
            new = picture_for(self.photo)

        first, second = Reading.objects.all()
        assert (second.decoder, second.large_sha256) == ("2", new.sha256)
        assert first.large_sha256 != second.large_sha256
        assert "All well" in self.verified()


class TestOldPhotos(Photos):
    def read(self):
        out = io.StringIO()
        call_command("read_photos", stdout=out)
        return out.getvalue()

    def test_they_are_shown_but_not_printed_before_they_are_read(self):
        photo = self.keep_as_before()
        self.client.force_login(self.who.rosa)

        shown = self.client.get(reverse("photo", args=[photo.pk, 320]))
        assert shown.status_code == 200
        with pytest.raises(renditions.UnsealedPictureError):
            picture_for(photo)

    @pytest.mark.slow
    def test_a_command_reads_them_once_and_goes_on_where_it_was_stopped(self):
        photos = [self.keep_as_before(jpeg((40 + n, 40))) for n in range(5)]
        real, done = renditions.read_picture, []

        def stops(sha256):
            if len(done) == 2:
                raise KeyboardInterrupt
            done.append(sha256)
            return real(sha256)

        with (
            mock.patch.object(renditions, "read_picture", stops),
            pytest.raises(KeyboardInterrupt),
        ):
            self.read()
        assert Reading.objects.count() == 2

        assert self.read().startswith("Read: 3,")
        assert self.read().startswith("Read: 0,")
        assert [photo.readings.count() for photo in photos] == [1] * 5
        assert "All well" in self.verified()

    def test_a_lost_original_is_named_and_the_others_are_read(self):
        making.make_evidence(shipment=self.bill, sha256="e" * 64)
        self.keep_as_before()
        out = io.StringIO()
        with pytest.raises(SystemExit):
            call_command("read_photos", stdout=out)
        assert "e" * 64 in out.getvalue()
        assert "Read: 1," in out.getvalue()
