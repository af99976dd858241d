"""The database stops at any point of a request: 503, and what was typed stays."""

from contextlib import contextmanager

import psycopg
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import InterfaceError, OperationalError, connection
from django.test import TestCase
from django.urls import reverse

from config.errors import GONE, unavailable_because
from tests.making import make_crate, make_delivery, make_handover, make_shipment
from tests.people import cast
from tests.pictures import jpeg

pytestmark = pytest.mark.database

WORDS = "unable to open database file"
FACTS = "Hinge bent by 4 cm\r\nat the left door"


@contextmanager
def stops_at(step):
    """Answer the first queries of a request and none after; yield how many were asked."""
    asked = []

    def ask(execute, *query):
        asked.append(query)
        if len(asked) > step:
            raise OperationalError(WORDS)
        return execute(*query)

    with connection.execute_wrapper(ask):
        yield asked


class KnownTests(TestCase):
    def test_what_the_driver_reports_of_a_lost_connection_is_known(self):
        for cause in (
            psycopg.OperationalError("server closed the connection unexpectedly"),
            psycopg.errors.AdminShutdown("terminating connection"),
            psycopg.errors.CannotConnectNow("the database system is starting up"),
            psycopg.errors.ConnectionFailure("connection failure"),
        ):
            error = OperationalError(str(cause))
            error.__cause__ = cause
            with self.subTest(cause=cause):
                assert unavailable_because(error) is GONE
        assert unavailable_because(InterfaceError("connection is closed")) is GONE

    def test_a_rollback_that_failed_after_it_hides_nothing(self):
        error = InterfaceError("cannot roll back")
        error.__context__ = OperationalError(WORDS)
        assert unavailable_because(error) is GONE

    def test_a_wrong_query_stays_a_fault(self):
        error = OperationalError("out of range")
        error.__cause__ = psycopg.errors.UndefinedTable("no such table")
        assert unavailable_because(error) is None


class GoneTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.truck = make_delivery(location=cls.who.riverside)
        cls.bill = make_shipment(location=cls.who.riverside, carrier=cls.truck.carrier)
        make_handover(cls.truck, cls.bill)
        cls.crate = make_crate(cls.bill, delivery=cls.truck)

    def setUp(self):
        self.client.force_login(self.who.tomas)
        self.client.raise_request_exception = False
        self.address = reverse("record_finding", args=[self.bill.pk])

    def send(self, **more):
        return self.client.post(
            f"{self.address}?crate={self.crate.pk}", {"facts": FACTS} | more
        )

    def test_health_needs_no_session(self):
        with stops_at(0) as asked:
            assert self.client.get("/healthz").status_code == 200
            assert self.client.get("/readyz").status_code == 503
        assert len(asked) >= 1
        with stops_at(0) as asked:
            self.client.get("/healthz")
        assert not asked

    def test_a_signed_in_page_is_never_kept_by_a_cache(self):
        assert "no-store" in self.client.get("/bench/")["Cache-Control"]

    def test_wherever_it_stops_the_words_come_back(self):
        with stops_at(10_000) as asked:
            whole = self.send()
        assert whole.status_code in {302, 422}
        assert len(asked) > 5
        for step in range(len(asked)):
            with self.subTest(step=step), stops_at(step):
                answer = self.send()
                assert answer.status_code == 503, answer.status_code
                assert answer["Retry-After"] == "15"
                self.assertContains(answer, "Hinge bent by 4 cm", status_code=503)
                self.assertContains(answer, "Save again", status_code=503)
                self.assertContains(answer, "never saved twice", status_code=503)

    def test_beside_a_photo_the_words_are_printed(self):
        photo = SimpleUploadedFile("photo.jpg", jpeg(), "image/jpeg")
        with stops_at(0):
            answer = self.send(photos=[photo])
        self.assertContains(answer, "readonly>\nHinge bent by 4 cm", status_code=503)
        self.assertContains(answer, "still on your phone", status_code=503)
        self.assertNotContains(answer, "<form", status_code=503)

    def test_a_page_says_that_nothing_changed(self):
        with stops_at(0):
            answer = self.client.get(reverse("bench"))
        self.assertContains(answer, "Nothing was changed", status_code=503)

    def test_no_password_comes_back(self):
        self.client.logout()
        typed = {"username": "tomas", "password": "a very long secret"}
        with stops_at(0):
            answer = self.client.post(reverse("login"), typed)
        self.assertNotContains(answer, "a very long secret", status_code=503)
