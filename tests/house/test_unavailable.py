"""A busy database or a full disk says so, and keeps what was typed."""

from django.db import OperationalError
from django.test import RequestFactory, SimpleTestCase, override_settings
from django.urls import path

from config.errors import BUSY, NO_ROOM, SLOW, server_error, unavailable_because


def fail(words):
    def view(request):
        raise OperationalError(words)

    return view


urlpatterns = [
    path("busy", fail("database is locked")),
    path("full", fail("database or disk is full")),
    path("broken", fail("no such table: crate")),
]


class PostgresError(Exception):
    def __init__(self, sqlstate):
        super().__init__("could not go on")
        self.sqlstate = sqlstate


def from_postgresql(sqlstate):
    error = OperationalError("could not go on")
    error.__cause__ = PostgresError(sqlstate)
    return error


def from_the_gate(number):
    error = OperationalError("unable to open writer gate")
    error.__cause__ = OSError(number, "could not open")
    return error


class FaultTests(SimpleTestCase):
    def test_each_passing_fault_is_known(self):
        cases = [
            (OperationalError("database is locked"), BUSY),
            (OperationalError("database is locked: another writer held it"), BUSY),
            (from_postgresql("40001"), BUSY),
            (from_postgresql("40P01"), BUSY),
            (from_postgresql("55P03"), BUSY),
            (from_postgresql("57014"), SLOW),
            (OperationalError("database or disk is full"), NO_ROOM),
            (from_the_gate(30), NO_ROOM),
            (from_the_gate(13), None),
            (OperationalError("attempt to write a readonly database"), NO_ROOM),
            (from_postgresql("53100"), NO_ROOM),
            (OSError(28, "No space left on device"), NO_ROOM),
            (OSError(2, "No such file"), None),
            (OperationalError("no such table: crate"), None),
            (ValueError("database is locked"), None),
            (None, None),
        ]
        for error, fault in cases:
            with self.subTest(error=error):
                assert unavailable_because(error) is fault


@override_settings(
    ROOT_URLCONF=__name__,
    MIDDLEWARE=["config.middleware.UnavailableMiddleware"],
)
class PageTests(SimpleTestCase):
    def ask(self, method, address, data=None):
        with self.assertLogs("config.middleware", "ERROR"):
            return getattr(self.client, method)(address, data)

    def test_a_busy_database_says_when_to_come_back(self):
        response = self.ask("get", "/busy")

        assert response.status_code == 503
        assert response["Retry-After"] == "5"
        self.assertContains(response, "<h1>Busy</h1>", status_code=503)

    def test_what_was_typed_can_be_sent_again(self):
        typed = {"words": 'broken "corner" <left>', "csrfmiddlewaretoken": "old"}

        text = self.ask("post", "/busy?step=2", typed).content.decode()

        assert "Nothing was saved. What you typed is still on this page" in text
        assert 'action="/busy?step=2"' in text
        assert "broken &quot;corner&quot; &lt;left&gt;</textarea>" in text
        assert 'value="old"' not in text

    def test_a_password_does_not_come_back(self):
        typed = {"username": "rosa", "password": "a very long secret"}

        text = self.ask("post", "/busy", typed).content.decode()

        assert "a very long secret" not in text
        assert "<form" not in text

    def test_a_full_disk_is_told(self):
        self.assertContains(self.ask("post", "/full"), "disk is full", status_code=503)

    def test_another_fault_stays_a_fault(self):
        with self.assertRaisesMessage(OperationalError, "no such table"):
            self.client.get("/broken")


class LastResortTests(SimpleTestCase):
    def answer(self, error):
        try:
            raise error
        except type(error):
            return server_error(RequestFactory().get("/"))

    def test_a_busy_database_beneath_the_views_is_a_503_too(self):
        assert self.answer(OperationalError("database is locked")).status_code == 503

    def test_a_real_failure_is_a_500(self):
        assert self.answer(ValueError("what")).status_code == 500
