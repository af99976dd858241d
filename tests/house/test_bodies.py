"""A body that is cut off, too large or too much gets a clear page, and nothing is kept."""

import errno
from contextlib import contextmanager
from io import BytesIO

from django.conf import settings
from django.core import signals
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.files.uploadhandler import FileUploadHandler
from django.core.handlers.wsgi import WSGIHandler
from django.db import close_old_connections
from django.test import RequestFactory, SimpleTestCase, override_settings

from config.body import CountBodies
from config.middleware import BodyMiddleware

BOUNDARY = "a-line-between"


class FullDiskHandler(FileUploadHandler):
    """Where an upload is spooled onto a full disk."""

    def receive_data_chunk(self, raw_data, start):
        raise OSError(errno.ENOSPC, "No space left on device")

    def file_complete(self, file_size):
        return None


class BrokenHandler(FullDiskHandler):
    """Where something else is wrong than the disk."""

    def receive_data_chunk(self, raw_data, start):
        raise OSError(errno.EIO, "Input/output error")


def one_photo(size=5000):
    return (
        f"--{BOUNDARY}\r\n"
        'Content-Disposition: form-data; name="photo"; filename="a.jpg"\r\n'
        "Content-Type: image/jpeg\r\n\r\n"
    ).encode() + b"x" * size


def whole_photo():
    return one_photo() + f"\r\n--{BOUNDARY}--\r\n".encode()


def answer(body, *, announced):
    """Send ``body`` through the WSGI door, announcing another length."""
    environ = RequestFactory().generic("POST", "/healthz").environ | {
        "CONTENT_TYPE": f"multipart/form-data; boundary={BOUNDARY}",
        "CONTENT_LENGTH": str(announced),
        "wsgi.input": BytesIO(body),
    }
    seen = []
    application = CountBodies(WSGIHandler())
    with database_left_alone():
        response = application(environ, lambda status, *_: seen.append(int(status[:3])))
        text = b"".join(response).decode()
        response.close()
    return seen[0], text


@contextmanager
def database_left_alone():
    """Keep the door from closing the test's own connection, as Django's client does."""
    request_signals = (signals.request_started, signals.request_finished)
    for signal in request_signals:
        signal.disconnect(close_old_connections)
    try:
        yield
    finally:
        for signal in request_signals:
            signal.connect(close_old_connections)


def in_view(request):
    raise AssertionError("the body should have been refused")


def refuse(request):
    return BodyMiddleware(in_view)(request)


class CutBodyTests(SimpleTestCase):
    def test_an_upload_cut_in_the_middle_is_not_an_empty_form(self):
        body = one_photo()

        status, text = answer(body, announced=2 * len(body))

        assert status == 400
        assert "Upload incomplete" in text
        assert "Nothing was saved" in text

    def test_a_body_that_never_came_is_refused(self):
        assert answer(b"", announced=5000)[0] == 400

    def test_a_whole_upload_passes(self):
        body = whole_photo()

        status, text = answer(body, announced=len(body))

        # Django's own origin check comes next, and turns this stranger away.
        assert status == 403
        assert "out of date" in text

    def test_a_body_with_a_tail_after_the_last_line_passes(self):
        body = whole_photo() + b"a tail" * 20

        assert answer(body, announced=len(body))[0] == 403


class LargeBodyTests(SimpleTestCase):
    def test_too_large_is_refused_before_it_is_read(self):
        request = RequestFactory().post("/", data={"a": "b"})
        request.META["CONTENT_LENGTH"] = str(settings.MAX_REQUEST_BYTES + 1)

        response = refuse(request)

        assert response.status_code == 413
        assert "You can send at most 100 MB" in response.content.decode()

    def test_too_many_files(self):
        many = {f"f{n}": SimpleUploadedFile(f"{n}.jpg", b"x") for n in range(21)}

        response = refuse(RequestFactory().post("/", data=many))

        assert response.status_code == 400
        assert "You can send at most 20 files" in response.content.decode()

    def test_too_many_fields(self):
        many = {f"f{n}": "x" for n in range(1001)}

        response = refuse(RequestFactory().post("/", data=many))

        assert response.status_code == 413
        assert "You can send at most 1000 fields" in response.content.decode()

    def test_too_much_text(self):
        response = refuse(RequestFactory().post("/", data={"words": "x" * 2_600_000}))

        assert response.status_code == 413
        assert "Nothing was saved" in response.content.decode()

    def test_a_body_without_its_boundary(self):
        request = RequestFactory().generic(
            "POST", "/", b"x", content_type="multipart/form-data"
        )

        assert refuse(request).status_code == 400


class FullDiskTests(SimpleTestCase):
    def send(self):
        photo = SimpleUploadedFile("a.jpg", b"x" * 5000)
        return refuse(RequestFactory().post("/", data={"photo": photo}))

    @override_settings(FILE_UPLOAD_HANDLERS=[f"{__name__}.FullDiskHandler"])
    def test_no_room_for_the_upload_is_said(self):
        with self.assertLogs("config.middleware", "ERROR"):
            response = self.send()

        assert response.status_code == 503
        assert "No room to save" in response.content.decode()
        assert "still on your phone" in response.content.decode()

    @override_settings(FILE_UPLOAD_HANDLERS=[f"{__name__}.BrokenHandler"])
    def test_another_fault_is_not_called_a_full_disk(self):
        with self.assertRaises(OSError):
            self.send()
