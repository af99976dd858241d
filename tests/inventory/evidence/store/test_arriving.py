"""Large files of a form: written once, where the originals are; gone where not kept."""

import errno
import gc
import hashlib
import uuid
from contextlib import ExitStack
from pathlib import Path
from unittest import mock

import pytest
from django.core.files.uploadedfile import (
    SimpleUploadedFile,
    TemporaryUploadedFile,
)
from django.test import RequestFactory, TestCase, override_settings
from django.urls import reverse

from inventory.actions.evidence import keeping
from inventory.actions.evidence.uploads import content_hash
from inventory.evidence.store import calls, folder_home
from inventory.evidence.store import originals as store
from inventory.evidence.store.arriving import ArrivedFile
from inventory.models import Evidence
from tests.making import make_delivery
from tests.people import cast
from tests.pictures import jpeg

pytestmark = pytest.mark.database

LARGE = 4_000_000


def large(words=b"."):
    """Return a photo with so much behind its end that no memory takes it."""
    return jpeg() + words * (LARGE // len(words))


def drafts():
    """Return the drafts of the store."""
    folder = store.path_of("00").parents[1] / folder_home.INCOMING
    return list(folder.iterdir()) if folder.is_dir() else []


class Arriving(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.truck = make_delivery(location=cls.who.riverside)
        cls.url = f"{reverse('capture')}?delivery={cls.truck.pk}"

    def send(self, data, sender="rosa", **over):
        self.client.force_login(getattr(self.who, sender))
        form = {
            "client_id": str(uuid.uuid4()),
            "kind": "damage",
            "photo": SimpleUploadedFile("hole.jpg", data, "image/jpeg"),
        }
        return self.client.post(self.url, form | over)


class TestAPhotoThatArrives(Arriving):
    def test_its_bytes_are_written_once(self):
        data = large()
        begun = written()
        answer = self.send(data)
        spent = written() - begun

        assert answer.json()["sha256"] == hashlib.sha256(data).hexdigest()
        assert len(data) <= spent < len(data) * 1.5
        assert b"".join(store.read_original(answer.json()["sha256"])) == data
        assert drafts() == []

    def test_it_is_synced_and_named_before_its_row_is_written(self):
        done = []

        def noted(name):
            real = getattr(calls, name)
            return mock.patch.object(
                calls, name, lambda *given: (done.append(name), real(*given))[1]
            )

        real = keeping._write

        def row(*given, **named):
            done.append("row")
            return real(*given, **named)

        with ExitStack() as stack:
            for name in ("write", "sync", "link", "sync_folder"):
                stack.enter_context(noted(name))
            stack.enter_context(mock.patch.object(keeping, "_write", row))
            assert self.send(large()).status_code == 201

        last = len(done) - done[::-1].index("write")
        assert done[last:].count("sync") == 1
        after = done[done.index("sync") :]
        assert after[-3:] == ["link", "sync_folder", "row"]

    def test_what_is_refused_leaves_nothing(self):
        for data, over, status in (
            (b"no photo" * (LARGE // 8), {}, 415),
            (jpeg()[:-2] + bytes(LARGE), {}, 422),
            (large(), {"sha256": "0" * 64}, 422),
            (large(), {"kind": "a kind that is none"}, 422),
            (large(b"x") * 7, {}, 413),
        ):
            assert self.send(data, **over).status_code == status
            assert drafts() == []
        assert self.send(large(), sender="nell").status_code == 404
        self.client.logout()
        assert self.client.post(self.url, {"photo": named()}).status_code == 302
        assert drafts() == []
        assert not Evidence.everything.exists()

    def test_it_is_kept_again_where_a_sweep_took_it_from_under_its_row(self):
        data, seen = large(), []
        real = store.may_be_named

        def once(sha256):
            seen.append(sha256)
            if len(seen) == 1:
                store.path_of(sha256).unlink()
            return real(sha256)

        with mock.patch.object(store, "may_be_named", once):
            assert self.send(data).status_code == 201
        assert store.is_intact(seen[0])
        assert len(seen) == 2

    def test_several_of_one_form_are_each_kept(self):
        files = [SimpleUploadedFile(f"{n}.jpg", large(b"%d" % n)) for n in range(3)]
        request = RequestFactory().post("/", {"photos": files})
        arrived = request.FILES.getlist("photos")

        for sent, file in zip(files, arrived, strict=True):
            assert isinstance(file, ArrivedFile)
            data = sent.file.getvalue()
            assert (file.name, file.size, file.read()) == (sent.name, len(data), data)
            assert content_hash(file) == hashlib.sha256(data).hexdigest()
            assert keeping.store_upload(file).size == len(data)
            file.close()
        assert drafts() == []

    def test_a_body_that_is_cut_off_leaves_nothing(self):
        kind = "multipart/form-data; boundary=b"
        head = b'--b\r\nContent-Disposition: form-data; name="f"; filename="f"\r\n\r\n'
        request = RequestFactory().post("/", head + large(), content_type=kind)
        assert not request.FILES
        assert drafts() == []

        with (
            mock.patch.object(calls, "write", full),
            pytest.raises(OSError, match="full"),
        ):
            RequestFactory().post("/", {"photo": named()}).FILES  # noqa: B018
        gc.collect()
        assert drafts() == []


class TestWhereThereIsNoDraft(Arriving):
    def test_a_disk_that_takes_no_draft_is_told_by_the_store(self):
        with mock.patch.object(calls, "open_new", side_effect=OSError(5, "broken")):
            answer = self.send(large())
        assert answer.status_code == 507
        assert "The disk could not take the file" in answer.json()["error"]

    def test_a_disk_that_breaks_while_the_file_arrives_is_told_in_words(self):
        for number in (errno.EIO, errno.ENOSPC):
            broken = OSError(number, "broken")
            with mock.patch.object(calls, "write", side_effect=broken):
                answer = self.send(large())
            assert answer.status_code == 503
            assert "cannot be written to" in answer.content.decode()
        assert not Evidence.everything.exists()
        assert drafts() == []

    def test_a_nearly_full_disk_and_a_house_that_moved_are_told(self):
        with mock.patch.object(folder_home, "share_used", lambda root: 0.99):
            nearly = self.send(large())
        with mock.patch.object(
            folder_home.FolderHome, "moved_to", lambda one: "s3://b"
        ):
            moved = self.send(large())
        assert (nearly.status_code, moved.status_code) == (507, 507)
        assert "nearly full" in nearly.json()["error"]
        assert "were moved to s3://b" in moved.json()["error"]
        assert drafts() == []

    def test_another_home_is_given_whole_files(self):
        with mock.patch.object(store, "home", OtherHome):
            request = RequestFactory().post("/", {"photo": named()})
            assert isinstance(request.FILES["photo"], TemporaryUploadedFile)
            request.close()

    def test_a_draft_of_another_folder_is_read_into_the_one_in_use(self):
        draft = store.begin_draft()
        draft.add(b"bytes")
        other = Path(draft.root).with_name("other")
        with override_settings(EVIDENCE_ROOT=other):
            kept = store.keep_draft(draft, limit=10)
            assert b"".join(store.read_original(kept.sha256)) == b"bytes"
            assert store.path_of(kept.sha256).is_relative_to(other)
        draft.end()


def full(*_):
    """Refuse as a full disk does."""
    raise OSError(28, "full")


class OtherHome:
    """A home that knows nothing of drafts."""

    def moved_to(self):
        return ""


def named():
    return SimpleUploadedFile("hole.jpg", large(), "image/jpeg")


def written():
    """Return how many bytes this process gave to files so far."""
    lines = Path("/proc/self/io").read_text().splitlines()
    return int(dict(line.split(": ") for line in lines)["wchar"])
