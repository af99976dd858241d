"""A one-time link: shown once, for one hour, and it sets a password, nothing more."""

import json
import re
from datetime import timedelta

import pytest
import time_machine
from django.core.management import call_command
from django.test import Client, TestCase
from django.urls import reverse
from django.utils import timezone

from inventory.models import Event
from tests.people import cast

pytestmark = pytest.mark.database

PASSWORD = "seven brown crates"
NEW = "four green pallets"


class PasswordLinkTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.rosa = cls.who.rosa
        cls.rosa.set_password(PASSWORD)
        cls.rosa.save()
        cls.page = reverse("make_password_link", args=[cls.rosa.pk])

    def make(self):
        self.client.force_login(self.who.ada)
        shown = self.client.post(self.page).content.decode()
        return re.search(r"http://testserver(/accounts/link/[^<\s]+)<", shown)[1]

    def set(self, link, new=NEW, browser=None):
        browser = browser or Client()
        page = browser.get(link, follow=True)
        if b"has ended" in page.content:
            return None
        where = page.redirect_chain[-1][0]
        return browser.post(where, {"new_password1": new, "new_password2": new})

    def opens(self, password):
        typed = {"username": "rosa", "password": password}
        return Client().post(reverse("login"), typed).status_code == 302

    def test_it_is_shown_once_and_its_event_holds_no_secret(self):
        link = self.make()
        token = link.rstrip("/").rpartition("/")[2]
        assert link not in self.client.get(self.page).content.decode()
        event = Event.objects.get()
        assert (event.kind, event.actor_id) == ("password.link-made", self.who.ada.pk)
        assert token not in json.dumps([event.body, event.data])

    def test_it_sets_the_password_signs_nobody_in_and_ends_every_session(self):
        link, own, browser = self.make(), Client(), Client()
        own.force_login(self.rosa)
        self.assertRedirects(self.set(link, browser=browser), reverse("login"))
        assert own.get(reverse("dock")).status_code == 302
        assert browser.get(reverse("dock")).status_code == 302
        assert self.opens(NEW)
        assert not self.opens(PASSWORD)
        kinds = set(Event.objects.values_list("kind", "actor_id"))
        assert ("password.reset", self.rosa.pk) in kinds

    def test_it_works_once(self):
        link, second = self.make(), self.make()
        assert self.set(link)
        assert self.set(link) is None
        assert self.set(second, "some other long words") is None

    def test_it_ends_after_an_hour_and_with_the_next_sign_in(self):
        link = self.make()
        with time_machine.travel(timezone.now() + timedelta(minutes=59)):
            assert Client().get(link).status_code == 302
        with time_machine.travel(timezone.now() + timedelta(minutes=61)):
            assert self.set(link) is None
        assert self.opens(PASSWORD)
        assert self.set(link) is None

    def test_it_ends_when_its_person_is_changed_or_disabled(self):
        link = self.make()
        self.rosa.is_active = False
        self.rosa.save()
        assert self.set(link) is None

    def test_a_weak_password_is_refused_and_the_link_still_works(self):
        link, browser = self.make(), Client()
        answer = self.set(link, "passwordpassword", browser)
        self.assertContains(answer, "too easy to guess", status_code=422)
        assert self.set(link, browser=browser).status_code == 302

    def test_only_for_others_who_can_sign_in_and_by_administrators_alone(self):
        self.client.force_login(self.who.ada)
        own = reverse("make_password_link", args=[self.who.ada.pk])
        self.assertContains(self.client.post(own), "your own", status_code=422)
        self.client.force_login(self.who.mina)
        assert self.client.post(self.page).status_code == 403
        assert not Event.objects.exists()

    def test_its_device_need_not_wait_where_a_stranger_guesses(self):
        browser, link = Client(), self.make()
        self.set(link, browser=browser)
        for n in range(20):
            wrong = {"username": "rosa", "password": f"guess {n}"}
            Client().post(reverse("login"), wrong, REMOTE_ADDR=f"192.0.2.{n}")
        right = {"username": "rosa", "password": NEW}
        assert Client().post(reverse("login"), right).status_code == 429
        assert browser.post(reverse("login"), right).status_code == 302

    def test_whoever_runs_the_machine_prints_one(self):
        from io import StringIO

        out = StringIO()
        call_command("password_link", "rosa", stdout=out)
        link = out.getvalue().strip().removeprefix("http://localhost:8000")
        assert self.set(link)
        assert Event.objects.filter(kind="password.link-made", actor=None).exists()
