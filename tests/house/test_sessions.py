"""A sign-in rests and ends by role, loses no typed text, and is ended from elsewhere.

OWASP ASVS 5.0, 7.3.1 and 7.3.2 (idle and absolute time-out), 7.5.2 (own sessions).
"""

import re
from contextlib import contextmanager
from datetime import timedelta
from unittest import mock

import pytest
import time_machine
from django.contrib.sessions.models import Session
from django.db import OperationalError, connection
from django.test import Client, TestCase, override_settings
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from config.sessions import device_words, forget_ended
from tests.house.test_proof import fields_of
from tests.people import cast

pytestmark = pytest.mark.database

PASSWORD = "seven brown crates"
PHONE = (
    "Mozilla/5.0 (Linux; Android 15; Pixel 9) AppleWebKit/537.36 (KHTML, like Gecko) "
    "Chrome/131.0.0.0 Mobile Safari/537.36"
)


@contextmanager
def later(**much):
    with time_machine.travel(timezone.now() + timedelta(**much)):
        yield


class SessionTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        for one in (cls.who.rosa, cls.who.mina, cls.who.ada):
            one.set_password(PASSWORD)
            one.save()

    def sign_in(self, name, **headers):
        browser = Client(headers=headers)
        browser.post(reverse("login"), {"username": name, "password": PASSWORD})
        return browser

    def test_the_office_is_asked_after_an_hour_and_the_dock_after_half_a_shift(self):
        clerk, manager = self.sign_in("rosa"), self.sign_in("mina")
        with later(minutes=59):
            self.assertNotContains(self.sign_in("mina").get("/dock/"), "You were away")
        with later(minutes=61):
            self.assertContains(manager.get("/dock/"), "You were away")
            self.assertNotContains(clerk.get("/dock/"), "You were away")
        with later(hours=7, minutes=2):  # since the page before
            self.assertContains(clerk.get("/dock/"), "You were away")

    def test_who_goes_on_working_is_not_asked(self):
        manager = self.sign_in("mina")
        for minutes in range(0, 180, 30):
            with later(minutes=minutes):
                self.assertNotContains(manager.get("/dock/"), "You were away")

    def test_what_was_typed_while_away_goes_on_with_the_password(self):
        admin = self.sign_in("ada")
        typed = {"name": "Low Bridge", "code": "LB", "address": "4 Mill Road, upstairs"}
        with later(minutes=90):
            asked = admin.post(reverse("add_location"), typed)
            self.assertContains(asked, "You were away", status_code=422)
            kept = fields_of(asked) | {"proof-password": PASSWORD}
            form = admin.post(reverse("add_location"), kept)
            self.assertContains(form, "4 Mill Road, upstairs", status_code=422)
            self.assertContains(form, "Choose a time zone", status_code=422)
            self.assertNotContains(admin.get("/people/"), "You were away")

    def test_a_page_opens_where_it_was_asked_for_and_a_script_is_signed_out(self):
        manager = self.sign_in("mina")
        with later(minutes=90):
            kept = fields_of(manager.get("/dock/?page=1"))
            script = {"Sec-Fetch-Mode": "cors"}
            assert manager.get("/dock/", headers=script).status_code == 302
            phone = manager.get(reverse("phone_me"), headers={"Dock-Phone": "1"})
            assert phone.status_code == 401
            answer = {"proof-password": PASSWORD} | kept
            assert manager.post("/dock/?page=1", answer).url == "/dock/?page=1"
            assert manager.post(reverse("logout")).status_code == 302

    def test_a_sign_in_ends_after_twelve_hours_though_it_is_in_use(self):
        clerk = self.sign_in("rosa")
        for hours in (3, 6, 9, 11.9):
            with later(hours=hours):
                assert clerk.get("/dock/").status_code == 200
        with later(hours=12.1):
            assert clerk.get("/dock/").status_code == 302

    @override_settings(SESSION_LIMITS={"office": (60, 2), "dock": (60, 12)})
    def test_how_long_is_set_by_kind_of_role(self):
        clerk, manager = self.sign_in("rosa"), self.sign_in("mina")
        for minutes in (50, 100, 121):
            with later(minutes=minutes):
                assert clerk.get("/dock/").status_code == 200
                last = manager.get("/dock/").status_code
        assert last == 302

    def test_a_page_that_reads_writes_nothing_but_now_and_then(self):
        manager = self.sign_in("mina")

        def writes():
            with CaptureQueriesContext(
                connection,
            ) as seen:
                assert manager.get("/dock/").status_code == 200
            words = ("INSERT", "UPDATE", "DELETE")
            return sum(one["sql"].startswith(words) for one in seen)

        manager.get("/dock/")
        assert [writes() for _ in range(5)] == [0] * 5
        with later(minutes=10):
            assert writes() == 1
            assert writes() == 0

    def test_a_page_that_reads_does_not_fail_where_nothing_can_be_written(self):
        manager = self.sign_in("mina")
        broken = mock.patch.object(
            Session, "save", side_effect=OperationalError("database or disk is full")
        )
        with later(minutes=10), broken as tried:
            assert manager.get("/dock/").status_code == 200
        assert tried.called

    def test_the_list_names_each_place_and_ends_it(self):
        phone = self.sign_in("rosa", user_agent=PHONE)
        desk = self.sign_in("rosa")
        stranger = self.sign_in("mina")
        page = desk.get(reverse("own_sign_in"))
        self.assertContains(page, "Chrome on Android")
        self.assertContains(page, "This one", count=1)
        (name,) = re.findall(r'name="name" value="([^"]+)"', page.content.decode())
        for secret in Session.objects.values_list("session_key", flat=True):
            self.assertNotContains(page, secret)
        # Whoever else knows the name ends nothing with it.
        stranger.post(reverse("sign_out_there"), {"name": name})
        assert phone.get("/dock/").status_code == 200
        desk.post(reverse("sign_out_there"), {"name": name})
        assert phone.get("/dock/").status_code == 302
        assert desk.get("/dock/").status_code == 200

    def test_everywhere_else_is_ended_at_once(self):
        others = [self.sign_in("rosa") for _ in range(3)]
        here, mina = self.sign_in("rosa"), self.sign_in("mina")
        here.post(reverse("sign_out_there"))
        assert [one.get("/dock/").status_code for one in others] == [302] * 3
        assert here.get("/dock/").status_code == 200
        assert mina.get("/dock/").status_code == 200

    def test_sessions_that_a_new_password_ended_are_not_listed(self):
        self.sign_in("rosa")
        self.who.rosa.set_password(PASSWORD)
        self.who.rosa.save()
        page = self.sign_in("rosa").get(reverse("own_sign_in"))
        self.assertContains(page, "Signed in", count=1)

    def test_what_ended_is_swept(self):
        self.sign_in("rosa")
        assert forget_ended(at=timezone.now()) == 0
        assert forget_ended(at=timezone.now() + timedelta(hours=13)) == 1


@pytest.mark.parametrize(
    ("agent", "words"),
    [
        (PHONE, "Chrome on Android"),
        (
            "Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like "
            "Gecko) Chrome/131.0.0.0 Safari/537.36 Edg/131.0.0.0",
            "Edge on Windows",
        ),
        (
            "Mozilla/5.0 (iPhone; CPU iPhone OS 18_1 like Mac OS X) AppleWebKit/605.1.15 "
            "(KHTML, like Gecko) Version/18.1 Mobile/15E148 Safari/604.1",
            "Safari on iPhone",
        ),
        ("<script>alert(1)</script>", ""),
    ],
)
def test_a_device_is_named_in_a_few_words(agent, words):
    assert device_words(agent) == words
