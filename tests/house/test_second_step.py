"""Two-step sign-in: turned on, asked, used once, required, turned off."""

import json
import re
import time
from datetime import timedelta

import pytest
import time_machine
from django.test import Client, TestCase, override_settings
from django.urls import reverse
from django.utils import timezone

from inventory.models import Event, RecoveryCode, SecondFactor
from inventory.rules.core.one_time_codes import code_at, step_at
from tests.people import cast

pytestmark = pytest.mark.database

PASSWORD = "seven brown crates"


def code_of(person, later=0):
    secret = bytes(SecondFactor.objects.get(person=person).secret)
    return code_at(secret, step_at(int(time.time())) + later)


class SecondStepTests(TestCase):
    @pytest.fixture(autouse=True)
    def _clock(self):
        # No code ends between being read and being sent.
        with time_machine.travel(timezone.now(), tick=False):
            yield

    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        for one in (cls.who.rosa, cls.who.mina, cls.who.ada):
            one.set_password(PASSWORD)
            one.save()

    def turn_on(self, person, browser=None):
        """Turn it on as a person does; return the recovery codes."""
        browser = browser or self.client
        browser.force_login(person)
        page = browser.get(reverse("add_second_step")).content.decode()
        letters = re.search(r'class="ident">([A-Z2-7-]+)<', page)[1]
        import base64

        secret = base64.b32decode(letters.replace("-", ""))
        # The one before: the next code is then still free for a sign-in.
        code = code_at(secret, step_at(int(time.time())) - 1)
        shown = browser.post(reverse("add_second_step"), {"code": code})
        return re.findall(r"[A-Z2-9]{4}(?:-[A-Z2-9]{4}){3}", shown.content.decode())

    def password(self, browser, name="rosa"):
        typed = {"username": name, "password": PASSWORD, "next": "/dock/"}
        return browser.post(reverse("login"), typed)

    def code(self, browser, code):
        return browser.post(reverse("sign_in_code"), {"code": code})

    def test_the_password_alone_opens_nothing_and_the_code_counts_once(self):
        codes = self.turn_on(self.who.rosa)
        assert len(set(codes)) == 8
        browser, thief = Client(), Client()
        self.assertRedirects(self.password(browser), reverse("sign_in_code"))
        assert browser.get("/dock/").status_code == 302
        code = code_of(self.who.rosa)
        assert self.code(browser, "000000").status_code == 422
        assert self.code(browser, f"{code[:3]} {code[3:]}").url == "/dock/"
        assert browser.get("/dock/").status_code == 200
        self.password(thief)
        self.assertContains(self.code(thief, code), "used already", status_code=422)

    def test_a_recovery_code_works_once_and_is_an_event(self):
        codes = self.turn_on(self.who.rosa)
        browser = Client()
        self.password(browser)
        assert self.code(browser, codes[3].lower()).status_code == 302
        event = Event.objects.order_by("sequence").last()
        assert (event.kind, event.data["left"]) == ("factor.code-used", 7)
        again = Client()
        self.password(again)
        assert self.code(again, codes[3]).status_code == 422
        self.assertContains(browser.get(reverse("own_sign_in")), "7 of 8")

    def test_nothing_secret_is_in_events_and_codes_are_hashes(self):
        codes = self.turn_on(self.who.rosa)
        factor = SecondFactor.objects.get()
        told = json.dumps([[one.body, one.data] for one in Event.objects.all()])
        for secret in [bytes(factor.secret).hex(), *codes]:
            assert secret not in told
        for row in RecoveryCode.objects.all():
            assert row.digest.startswith("md5$")  # the hasher of these tests
            assert row.digest not in told

    def test_codes_are_guessed_no_faster_than_passwords_though_the_password_is_known(
        self,
    ):
        self.turn_on(self.who.rosa)
        thief, answers = Client(), []
        for n in range(6):
            self.password(thief)
            answers.append(self.code(thief, f"{n:06}").status_code)
        assert answers == [422] * 5 + [429]

    def test_the_second_step_must_follow_soon_and_the_password_must_still_hold(self):
        self.turn_on(self.who.rosa)
        late, changed = Client(), Client()
        self.password(late)
        with time_machine.travel(timezone.now() + timedelta(minutes=11)):
            answer = self.code(late, code_of(self.who.rosa))
            assert answer.url == reverse("login")
        self.password(changed)
        self.who.rosa.set_password("four green pallets")
        self.who.rosa.save()
        assert self.code(changed, code_of(self.who.rosa)).url == reverse("login")
        assert Client().get(reverse("sign_in_code")).url == reverse("login")

    def test_a_wrong_first_code_turns_nothing_on(self):
        self.client.force_login(self.who.rosa)
        answer = self.client.post(reverse("add_second_step"), {"code": "000000"})
        self.assertContains(answer, "wrong", status_code=422)
        assert not SecondFactor.objects.exists()

    @override_settings(SECOND_STEP_REQUIRED=True)
    def test_administrators_and_managers_must_turn_it_on_first(self):
        for name in ("ada", "mina"):
            browser = Client()
            assert self.password(browser, name).status_code == 302
            assert browser.get("/dock/").url == reverse("add_second_step")
            assert browser.get(reverse("add_second_step")).status_code == 200
        clerk = Client()
        self.password(clerk)
        assert clerk.get("/dock/").status_code == 200
        codes = self.turn_on(self.who.mina)
        self.client.post(reverse("remove_own_second_step"))
        assert SecondFactor.objects.exists()
        browser = Client()
        self.password(browser, "mina")
        self.code(browser, codes[0])
        assert browser.get("/dock/").status_code == 200

    def test_by_default_nobody_must(self):
        browser = Client()
        self.password(browser, "ada")
        assert browser.get(reverse("people")).status_code == 200

    def test_the_owner_turns_it_off_and_stays_signed_in_here_alone(self):
        other = Client()
        self.turn_on(self.who.rosa)
        other.force_login(self.who.rosa)
        self.client.post(reverse("remove_own_second_step"))
        assert not SecondFactor.objects.exists()
        assert self.client.get("/dock/").status_code == 200
        assert other.get("/dock/").status_code == 302

    def test_an_administrator_turns_it_off_for_who_lost_the_phone(self):
        self.turn_on(self.who.rosa)
        admin, page = (
            Client(),
            reverse("remove_second_step", args=[self.who.rosa.pk]),
        )
        admin.force_login(self.who.ada)
        self.assertContains(admin.get(reverse("people")), page)
        self.assertRedirects(admin.post(page), reverse("people"))
        event = Event.objects.order_by("sequence").last()
        assert (event.kind, event.actor_id) == ("factor.removed", self.who.ada.pk)
        assert self.client.get("/dock/").status_code == 302
        again = admin.post(page)
        self.assertContains(again, "is not on", status_code=422)

    def test_new_codes_replace_the_former_ones(self):
        codes = self.turn_on(self.who.rosa)
        self.client.post(reverse("renew_codes"))
        assert RecoveryCode.objects.count() == 8
        browser = Client()
        self.password(browser)
        assert self.code(browser, codes[0]).status_code == 422

    def test_the_window_of_the_tables_shows_no_secret(self):
        self.turn_on(self.who.rosa)
        self.who.ada.is_superuser = self.who.ada.is_staff = True
        self.who.ada.save()
        self.client.force_login(self.who.ada)
        factor = SecondFactor.objects.get()
        page = self.client.get(f"/admin/inventory/secondfactor/{factor.pk}/change/")
        self.assertContains(page, "Rosa Field")
        self.assertNotContains(page, "Secret")
