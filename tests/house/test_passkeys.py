"""Passkeys: what a device signed is checked whole, counts once, and names its person.

WebAuthn 2, 7.1 and 7.2 say what must be checked; the device is written after 6.1.
"""

import json
from datetime import timedelta

import pytest
import time_machine
from django.test import Client, TestCase, override_settings
from django.urls import reverse
from django.utils import timezone

from inventory.models import Event, Passkey
from tests.authenticator import PRESENT, Authenticator
from tests.people import cast

pytestmark = pytest.mark.database


@override_settings(ALLOWED_HOSTS=["localhost", "127.0.0.1"])
class PasskeyTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()

    def setUp(self):
        self.client = self.visitor()
        self.client.force_login(self.who.rosa)
        self.device = Authenticator()

    def visitor(self):
        return Client(SERVER_NAME="localhost")

    def options(self, browser, wants):
        page = browser.post(reverse("passkey_options"), {"wants": wants})
        return json.loads(page.content)

    def add(self, device=None, browser=None, name="Blue stick"):
        browser = browser or self.client
        answer = (device or self.device).make(self.options(browser, "add"))
        return browser.post(reverse("add_passkey"), {"name": name, "answer": answer})

    def sign_in(self, device=None, browser=None, **more):
        browser = browser or self.visitor()
        answer = (device or self.device).sign(self.options(browser, "in"))
        browser.post(reverse("passkey_sign_in"), {"answer": answer, **more})
        return browser

    def is_in(self, browser):
        return browser.get("/dock/").status_code == 200

    def test_it_is_added_with_an_event_and_signs_its_person_in(self):
        assert self.add().url == reverse("own_sign_in")
        event = Event.objects.get()
        assert (event.kind, event.data["key"]) == ("passkey.added", "Blue stick")
        browser = self.sign_in()
        self.assertContains(browser.get("/dock/"), "Rosa Field")
        assert "proved_at" in browser.session
        self.assertContains(self.client.get(reverse("own_sign_in")), "Blue stick")

    def test_an_answer_counts_once_and_not_for_long(self):
        self.add()
        browser = self.visitor()
        answer = self.device.sign(self.options(browser, "in"))
        where = reverse("passkey_sign_in")
        for _ in range(2):
            browser.post(where, {"answer": answer})
        browser.post(reverse("logout"))
        browser.post(where, {"answer": answer})
        assert not self.is_in(browser)
        late = self.visitor()
        answer = self.device.sign(self.options(late, "in"))
        with time_machine.travel(timezone.now() + timedelta(minutes=6)):
            late.post(where, {"answer": answer})
            assert not self.is_in(late)

    def test_what_another_site_asked_for_opens_nothing(self):
        self.add()
        for origin in ("https://localhost.evil.example", "http://evil.example"):
            self.device.origin = origin
            assert not self.is_in(self.sign_in()), origin

    def test_a_key_that_did_not_ask_its_owner_opens_nothing(self):
        self.add()
        self.device.flags = PRESENT
        assert not self.is_in(self.sign_in())
        other = Authenticator(key_id=b"another key")
        other.flags = PRESENT
        assert self.add(other).status_code == 422

    def test_another_key_under_the_same_id_opens_nothing(self):
        self.add()
        assert not self.is_in(self.sign_in(Authenticator()))
        assert not self.is_in(self.sign_in(Authenticator(key_id=b"nobody's")))

    def test_a_copy_of_the_key_is_seen_by_its_count(self):
        self.add()
        self.sign_in()
        assert Passkey.objects.get().count == 1
        self.device.count = 0
        assert not self.is_in(self.sign_in())

    def test_what_is_no_answer_opens_nothing(self):
        for answer in ("", "[]", "{}", "null", '{"id": 1}', "{" * 30_000, '"x"'):
            browser = self.visitor()
            self.options(browser, "in")
            browser.post(reverse("passkey_sign_in"), {"answer": answer})
            assert not self.is_in(browser)
            self.options(self.client, "add")
            form = self.client.post(
                reverse("add_passkey"), {"name": "x", "answer": answer}
            )
            assert form.status_code == 422

    def test_whoever_may_not_sign_in_does_not_by_a_key_either(self):
        self.add()
        self.who.rosa.is_active = False
        self.who.rosa.save()
        assert not self.is_in(self.sign_in())

    def test_a_removed_one_opens_nothing_and_only_its_owner_removes_it(self):
        self.add()
        key = {"key": str(Passkey.objects.get().pk)}
        other = self.visitor()
        other.force_login(self.who.mina)
        other.post(reverse("remove_passkey"), key)
        assert Passkey.objects.exists()
        self.client.post(reverse("remove_passkey"), key)
        assert not Passkey.objects.exists()
        assert not self.is_in(self.sign_in())
        for wrong in ("", "x", "9" * 40, "\u0661"):
            self.client.post(reverse("remove_passkey"), {"key": wrong})

    def test_one_is_added_once(self):
        self.add()
        self.assertContains(self.add(), "added already", status_code=422)

    def test_a_page_opened_by_number_asks_no_device(self):
        browser = Client(SERVER_NAME="127.0.0.1")
        browser.force_login(self.who.rosa)
        answer = browser.post(reverse("passkey_options"), {"wants": "add"})
        assert answer.status_code == 409
        self.assertContains(browser.get(reverse("add_passkey")), "Not here.")

    def test_nobody_is_led_away_after_it(self):
        self.add()
        browser = self.visitor()
        answer = self.device.sign(self.options(browser, "in"))
        typed = {"answer": answer, "next": "//evil.example"}
        assert browser.post(reverse("passkey_sign_in"), typed).url == "/"

    @override_settings(PROOF_MINUTES=30)
    def test_it_is_added_only_after_the_password(self):
        self.assertContains(self.client.get(reverse("add_passkey")), "Confirm that")
        self.assertContains(self.add(), "Confirm that", status_code=422)
        assert not Passkey.objects.exists()
