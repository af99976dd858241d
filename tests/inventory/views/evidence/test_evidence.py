"""Photos through the door: kept once, shown to those of the location, refused clearly."""

import hashlib
import uuid
from unittest import mock

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import TestCase
from django.urls import reverse

from inventory.evidence.pictures import renditions
from inventory.evidence.store import folder_home, homes
from inventory.evidence.store import originals as store
from inventory.models import Event, Evidence
from inventory.views.core.clock import now
from inventory.views.evidence import adding as add_evidence
from inventory.views.evidence import readings
from tests.making import make_delivery
from tests.people import cast
from tests.pictures import NO_PICTURE, jpeg, turned_jpeg
from tests.reading import read_photos, seen

pytestmark = pytest.mark.database


class TestAddEvidence(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.delivery = make_delivery(location=cls.who.riverside)
        cls.url = f"{reverse('add_evidence')}?delivery={cls.delivery.pk}"

    def send(self, data, name="photo.jpg", client_id=None, **extra):
        self.client.force_login(self.who.rosa)
        form = {
            "kind": "load",
            "photos": [SimpleUploadedFile(name, data, "image/jpeg")],
            "client_id": str(client_id or uuid.uuid4()),
        }
        return self.client.post(self.url, form | extra)

    def send_all(self, several, client_id=None, **more):
        self.client.force_login(self.who.rosa)
        form = {
            "kind": "load",
            "photos": [
                SimpleUploadedFile(f"{number}.jpg", data)
                for number, data in enumerate(several)
            ],
            "client_id": str(client_id or uuid.uuid4()),
        }
        return self.client.post(self.url, form, **more)

    def send_json(self, several, client_id=None):
        accept = {"accept": "application/json"}
        return self.send_all(several, client_id=client_id, headers=accept)

    def test_a_photo_is_kept_with_its_hash_and_an_event(self):
        answer = self.send(turned_jpeg())

        kept = Evidence.objects.get()
        assert answer.status_code == 302
        assert store.is_intact(kept.original_id)
        event = Event.objects.get()
        assert (event.kind, event.data["sha256"]) == ("evidence.kept", kept.original_id)
        assert (kept.is_unread, kept.claims, kept.remarks) == (True, {}, [])
        assert seen(kept).claims["model"] == "Larkfone 4"
        assert Event.objects.last().kind == "evidence.read"

    def test_the_same_upload_twice_is_one_row(self):
        number, data = uuid.uuid4(), jpeg()
        self.send(data, client_id=number)
        self.send(data, client_id=number)

        assert Evidence.objects.count() == 1
        read_photos()
        kinds = Event.objects.values_list("kind", flat=True)
        assert list(kinds) == ["evidence.kept", "evidence.read"]

    def test_the_same_number_with_other_bytes_is_refused(self):
        number = uuid.uuid4()
        self.send(jpeg(), client_id=number)
        answer = self.send(jpeg(colour=(1, 2, 3)), client_id=number)

        self.assertContains(answer, "was not saved", status_code=422)
        assert Evidence.objects.count() == 1

    def test_a_request_without_a_photo_is_a_400(self):
        self.client.force_login(self.who.rosa)

        answer = self.client.post(self.url, {"kind": "load"})

        self.assertContains(answer, "No photo arrived", status_code=400)

    def test_bad_files_get_a_sentence_and_leave_nothing(self):
        bad = {
            b"": "The file is empty",
            b"just some text": "not a photo we can take",
            b"<svg xmlns='http://www.w3.org/2000/svg'/>": "not a photo we can take",
            b"\xff\xd8": "This is not a photo",
            b"\x89PNG\r\n\x1a\n" + b"\0\0\0\rIHDR" + b"\0\0\xff\xff" * 5: "too many",
        }
        for data, sentence in bad.items():
            with self.subTest(sentence=sentence):
                answer = self.send(data)
                status = 415 if "we can take" in sentence else 422
                self.assertContains(answer, sentence, status_code=status)
        assert Evidence.objects.count() == 0

    def test_a_photo_that_cannot_be_opened_is_kept_and_remarked_upon(self):
        self.send(NO_PICTURE)

        assert "cannot be previewed" in seen(Evidence.objects.get()).remarks[0]

    def test_the_answer_carries_the_hash(self):
        answer = self.send(jpeg())
        page = self.client.get(answer.url)

        sha256 = hashlib.sha256(jpeg()).hexdigest()
        assert answer["Evidence-SHA256"] == sha256
        self.assertContains(page, "Photo added: load before unloading")

    def test_a_program_gets_json_and_the_same_again(self):
        number = uuid.uuid4()
        first, second = (self.send_json([jpeg()], client_id=number) for _ in range(2))

        assert first.status_code == 201
        assert second.status_code == 200
        one, again = first.json()["kept"][0], second.json()["kept"][0]
        assert one["sha256"] == hashlib.sha256(jpeg()).hexdigest()
        assert (one["is_new"], again["is_new"]) == (True, False)
        assert one["id"] == again["id"]
        assert one["remarks"] == again["remarks"]

    def test_a_program_is_told_what_was_kept_and_which_file_was_refused(self):
        others = [jpeg(), turned_jpeg()]
        answer = self.send_json([others[0], b"no photo at all", others[1]])

        assert answer.status_code == 415
        kept = [one["sha256"] for one in answer.json()["kept"]]
        assert kept == [hashlib.sha256(data).hexdigest() for data in others]
        (error,) = answer.json()["errors"]["photos"]
        assert error.startswith("1.jpg: ")
        assert "not a photo we can take" in error

    def test_a_program_that_sends_again_after_a_refusal_doubles_nothing(self):
        number = uuid.uuid4()
        self.send_json([b"no photo at all", jpeg()], client_id=number)
        again = self.send_json([turned_jpeg(), jpeg()], client_id=number)

        assert again.status_code == 201
        assert [one["is_new"] for one in again.json()["kept"]] == [True, False]
        assert Evidence.objects.get(client_id=number).file_name == "0.jpg"
        assert Evidence.objects.count() == 2

    def test_the_page_names_each_refused_file_and_each_saved_one(self):
        page = self.send_all([b"", jpeg(), b"no photo at all"])

        self.assertContains(page, "0.jpg: The file is empty", status_code=422)
        self.assertContains(page, "2.jpg: ", status_code=422)
        kept = Evidence.objects.get()
        assert kept.file_name == "1.jpg"
        ticked = f'name="photos_kept" value="{kept.pk}" checked'
        self.assertContains(page, ticked, status_code=422)

    def test_what_is_chosen_after_a_bad_one_is_an_upload_of_its_own(self):
        number = uuid.uuid4()
        page = self.send_all([jpeg(), b"no photo at all"], client_id=number)

        assert page.status_code == 415
        assert str(number) not in page.content.decode()
        assert page["Evidence-SHA256"] == hashlib.sha256(jpeg()).hexdigest()

    def test_other_bytes_than_announced_are_refused_and_kept_nowhere(self):
        answer = self.send(jpeg(), sha256="0" * 64)

        self.assertContains(answer, "upload was incomplete", status_code=422)
        assert Evidence.objects.count() == 0

    def test_a_file_less_than_announced_is_noticed(self):
        sha256 = hashlib.sha256(jpeg()).hexdigest()
        answer = self.send(jpeg(), sha256=f"{sha256},{sha256}")

        self.assertContains(answer, "Not every file", status_code=422)
        assert Evidence.objects.count() == 0

    def test_a_number_used_at_another_location_gives_nothing_away(self):
        number, data = uuid.uuid4(), jpeg()
        self.send(data, client_id=number)
        theirs = make_delivery(location=self.who.hillcrest)
        self.client.force_login(self.who.nell)
        answer = self.client.post(
            f"{reverse('add_evidence')}?delivery={theirs.pk}",
            {
                "kind": "load",
                "photos": [SimpleUploadedFile("a.jpg", data)],
                "client_id": str(number),
            },
        )

        self.assertContains(answer, "was not saved", status_code=422)
        assert Evidence.objects.count() == 1

    def test_bytes_set_aside_between_disk_and_row_are_stored_again(self):
        swept = []

        def sweep_meanwhile(chunks, _real=store.store_original, **asked):
            stored = _real(chunks, **asked)
            if not swept:
                swept.append(stored.sha256)
                homes.home().set_aside(stored.sha256)
            return stored

        with mock.patch.object(store, "store_original", sweep_meanwhile):
            self.send(jpeg(colour=(9, 8, 7)))

        kept = Evidence.objects.get()
        assert swept == [kept.original_id]
        assert store.is_intact(kept.original_id)

    def test_a_nearly_full_disk_takes_no_photo_and_still_shows_the_old(self):
        self.send(jpeg())
        kept = Evidence.objects.get()
        with mock.patch.object(folder_home, "NEARLY_FULL", -1):
            answer = self.send(turned_jpeg())
            shown = self.client.get(reverse("original", args=[kept.pk]))

        self.assertContains(answer, "You can still read pages", status_code=507)
        assert Evidence.objects.count() == 1
        assert b"".join(shown.streaming_content) == jpeg()

    def test_a_disk_getting_full_is_said_beforehand(self):
        self.client.force_login(self.who.rosa)
        with mock.patch.object(add_evidence, "GETTING_FULL", -1):
            self.assertContains(self.client.get(self.url), "80% full")

    def test_an_ugly_name_is_only_text(self):
        self.send(jpeg(), name="a\u202egpj.exe<b>" + "x" * 200)

        name = Evidence.objects.get().file_name
        assert "\u202e" not in name
        assert len(name) <= 100

    def test_the_stranger_finds_nothing(self):
        self.client.force_login(self.who.nell)

        assert self.client.get(self.url).status_code == 404

    def test_an_unknown_delivery_is_a_404(self):
        self.client.force_login(self.who.rosa)
        for key in ("0", "-1", "abc", str(2**63), str(2**70)):
            with self.subTest(key=key):
                address = f"{reverse('add_evidence')}?delivery={key}"
                assert self.client.get(address).status_code == 404


class TestSaidTooLate(TestCase):
    """A photo is sent when it is taken; what is typed afterwards is not on it."""

    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.delivery = make_delivery(location=cls.who.riverside)
        cls.url = f"{reverse('add_evidence')}?delivery={cls.delivery.pk}"

    def setUp(self):
        self.client.force_login(self.who.rosa)
        self.client.post(
            self.url,
            {"kind": "load", "photos": [SimpleUploadedFile("a.jpg", turned_jpeg())]},
        )
        self.kept = Evidence.objects.get()

    def save(self, **typed):
        data = {"kind": "load", "photos_kept": str(self.kept.pk), **typed}
        return self.client.post(self.url, data, follow=True).content.decode()

    def test_a_caption_typed_last_is_not_lost_without_a_word(self):
        page = self.save(caption="Seal 4471 broken")

        assert "saved before you typed" in page
        assert "Seal 4471 broken" in page
        self.kept.refresh_from_db()
        assert self.kept.caption == ""

    def test_another_kind_chosen_last_is_told(self):
        assert "stays that" in self.save(kind="damage")

    def test_nothing_is_said_where_nothing_was_changed(self):
        page = self.save()

        assert "saved before you typed" not in page
        assert "stays that" not in page


class TestShowEvidence(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.delivery = make_delivery(location=cls.who.riverside)

    def setUp(self):
        self.client.force_login(self.who.rosa)
        self.client.post(
            f"{reverse('add_evidence')}?delivery={self.delivery.pk}",
            {"kind": "load", "photos": [SimpleUploadedFile("a.jpg", turned_jpeg())]},
        )
        self.kept = Evidence.objects.get()

    def test_the_page_tells_the_hash_and_both_clocks(self):
        page = self.client.get(reverse("evidence", args=[self.kept.pk]))

        self.assertContains(page, self.kept.original_id)
        self.assertContains(page, "Not read yet")
        read_photos()
        page = self.client.get(reverse("evidence", args=[self.kept.pk]))
        self.assertContains(page, "2026:03:10 10:31:00")

    def test_while_a_reader_runs_the_page_waits_for_it_and_decodes_nothing(self):
        page = reverse("evidence", args=[self.kept.pk])
        small = reverse("photo", args=[self.kept.pk, 320])
        with (
            mock.patch.object(readings, "is_kept", lambda: True),
            mock.patch.object(renditions, "read_picture", None),
        ):
            address = reverse("photo_reading", args=[self.kept.pk])
            waits = f'data-reading="{address}"'
            self.assertContains(self.client.get(page), waits)
            answer = self.client.get(small)
            assert (answer["Content-Type"], answer["Cache-Control"]) == (
                "image/svg+xml",
                "no-store",
            )
        with mock.patch.object(readings, "is_kept", lambda: True):
            read_photos()
            self.assertNotContains(self.client.get(page), "data-reading")
            assert self.client.get(small)["Content-Type"] == "image/jpeg"

    def test_a_reader_that_is_late_keeps_nobody_waiting(self):
        later = now() + readings.A_READER_IS_LATE
        with (
            mock.patch.object(readings, "is_kept", lambda: True),
            mock.patch.object(readings, "now", lambda: later),
        ):
            answer = self.client.get(reverse("photo", args=[self.kept.pk, 320]))
        assert answer["Content-Type"] == "image/jpeg"

    def test_a_rendition_is_a_jpeg(self):
        answer = self.client.get(reverse("photo", args=[self.kept.pk, 320]))

        assert answer["Content-Type"] == "image/jpeg"
        assert answer.content.startswith(b"\xff\xd8")

    def test_the_original_comes_back_as_it_was_and_sandboxed(self):
        answer = self.client.get(reverse("original", args=[self.kept.pk]))

        assert b"".join(answer.streaming_content) == turned_jpeg()
        assert answer["Content-Disposition"].startswith("attachment")
        assert "sandbox" in answer["Content-Security-Policy"]

    def test_another_size_is_not_there(self):
        answer = self.client.get(reverse("photo", args=[self.kept.pk, 9999]))

        assert answer.status_code == 404

    def test_the_stranger_finds_no_photo(self):
        self.client.force_login(self.who.nell)
        for name, args in (
            ("evidence", [self.kept.pk]),
            ("photo", [self.kept.pk, 320]),
            ("original", [self.kept.pk]),
        ):
            with self.subTest(name=name):
                assert self.client.get(reverse(name, args=args)).status_code == 404
