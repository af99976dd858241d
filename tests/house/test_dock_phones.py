"""A shared phone: people change by PIN, record at the dock, and do nothing else."""

import json
from datetime import timedelta

import pytest
import time_machine
from django.test import Client, TestCase, override_settings
from django.urls import get_resolver, reverse
from django.utils import timezone

from config.pin import RECORDING
from inventory.models import Assignment, DockPhone, DockPin, Event
from tests.house.access_rows import make_rows
from tests.house.access_table import LISTS, OBJECTS, POST_ONLY
from tests.house.addresses import address_for, names_of_the_house, undone
from tests.people import cast, make_person
from tests.sizes import some_of

pytestmark = pytest.mark.database

PASSWORD = "seven brown crates"
PIN = "408153"


class DockPhoneTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        for one in (cls.who.rosa, cls.who.mina, cls.who.tomas):
            one.set_password(PASSWORD)
            one.save()

    def setUp(self):
        self.phone = self.make_phone()
        self.set_pin(self.who.rosa)

    def make_phone(self):
        phone = Client()
        phone.force_login(self.who.ada)
        typed = {"location": str(self.who.riverside.pk), "name": "Yellow phone"}
        answer = phone.post(reverse("add_dock_phone"), typed)
        assert answer.url == reverse("pin_sign_in")
        return phone

    def set_pin(self, person, pin=PIN, again=None):
        browser = Client()
        browser.force_login(person)
        typed = {"pin": pin, "pin_again": again or pin}
        return browser.post(reverse("set_pin"), typed)

    def by_pin(self, person, pin=PIN, phone=None):
        typed = {"person": str(person.pk), "pin": pin}
        return (phone or self.phone).post(reverse("pin_sign_in"), typed)

    def test_the_phone_is_signed_out_when_it_is_made_and_asks_for_a_pin(self):
        assert self.phone.get("/people/").status_code == 302
        led = self.phone.get("/dock/", follow=True)
        self.assertContains(led, "Who is at the dock?")
        self.assertContains(led, "Rosa Field")
        self.assertContains(
            self.phone.get("/accounts/login/?with=password"), "Username"
        )

    def test_people_change_quickly(self):
        self.set_pin(self.who.tomas, "730264")
        assert self.by_pin(self.who.rosa).url == "/dock/"
        self.assertContains(self.phone.get("/dock/"), "Change person")
        led = self.phone.post(reverse("logout"), follow=True)
        self.assertContains(led, "Who is at the dock?")
        assert self.by_pin(self.who.tomas, "730264").url == "/dock/"
        self.assertContains(self.phone.get("/dock/"), "Tomas Brandt")

    def test_a_pin_opens_no_other_device(self):
        assert self.by_pin(self.who.rosa, phone=Client()).url == reverse("login")
        self.by_pin(self.who.rosa)
        stolen = Client()
        stolen.cookies["sessionid"] = self.phone.cookies["sessionid"].value
        assert stolen.get("/dock/").url == reverse("pin_sign_in")
        typed = {"username": "rosa", "password": PIN}
        assert Client().post(reverse("login"), typed).status_code == 422

    def test_managers_accounting_administrators_and_other_docks_have_none(self):
        for person in (self.who.mina, self.who.abel, self.who.ada):
            assert self.set_pin(person).status_code == 403
        far = make_person("far", "Fara Way", (self.who.hillcrest, "clerk"))
        self.set_pin(far)
        assert self.by_pin(far).status_code == 422
        # Who becomes a manager is signed out at once, and is not offered again.
        self.by_pin(self.who.rosa)
        Assignment.objects.create(
            person=self.who.rosa, location=self.who.riverside, role="manager"
        )
        assert self.phone.get("/dock/").status_code == 302
        self.assertNotContains(self.phone.get(reverse("pin_sign_in")), "Rosa Field")

    def test_wrong_pins_wait_like_wrong_passwords(self):
        answers = [self.by_pin(self.who.rosa, f"{n:06}").status_code for n in range(6)]
        assert answers == [422] * 5 + [429]
        assert self.by_pin(self.who.rosa).status_code == 429
        # Her password is another matter.
        typed = {"username": "rosa", "password": PASSWORD}
        assert Client().post(reverse("login"), typed).status_code == 302

    def test_guessable_and_unlike_pins_are_refused(self):
        DockPin.objects.all().delete()
        for pin in ("123456", "000000", "121212", "1234", "abcdef", "\u0661" * 6):
            assert self.set_pin(self.who.rosa, pin).status_code == 422, pin
        assert self.set_pin(self.who.rosa, PIN, "408154").status_code == 422
        assert not DockPin.objects.exists()

    def test_an_ended_phone_opens_no_more(self):
        self.by_pin(self.who.rosa)
        admin = Client()
        admin.force_login(self.who.ada)
        row = DockPhone.objects.get()
        admin.post(reverse("end_dock_phone", args=[row.pk]))
        assert self.phone.get("/dock/").status_code == 302
        assert self.by_pin(self.who.rosa).url == reverse("login")
        again = admin.post(reverse("end_dock_phone", args=[row.pk]))
        self.assertContains(again, "ended already", status_code=422)

    def test_a_removed_pin_opens_nothing(self):
        browser = Client()
        browser.force_login(self.who.rosa)
        browser.post(reverse("remove_pin"))
        assert self.by_pin(self.who.rosa).status_code == 422

    def test_the_password_on_the_same_phone_opens_everything_again(self):
        self.by_pin(self.who.rosa)
        assert self.phone.get(reverse("own_sign_in")).status_code == 403
        typed = {"username": "rosa", "password": PASSWORD}
        self.phone.post(reverse("login"), typed)
        assert self.phone.get(reverse("own_sign_in")).status_code == 200

    def test_after_half_a_shift_it_asks_for_the_pin_again(self):
        self.by_pin(self.who.rosa)
        with time_machine.travel(timezone.now() + timedelta(hours=6, minutes=1)):
            assert self.phone.get("/dock/").url == reverse("pin_sign_in")

    def test_events_hold_no_secret(self):
        told = json.dumps([[one.body, one.data] for one in Event.objects.all()])
        secret = self.phone.cookies["dock_phone"].value
        for one in (secret, PIN, DockPin.objects.get().digest):
            assert one not in told
        kinds = set(Event.objects.values_list("kind", flat=True))
        assert kinds == {"dock-phone.added", "pin.set"}

    @override_settings(PROOF_MINUTES=30)
    def test_a_pin_is_set_only_after_the_password_and_is_in_no_page(self):
        answer = self.set_pin(self.who.tomas)
        self.assertContains(answer, "Confirm that it is you", status_code=422)
        self.assertNotContains(answer, PIN, status_code=422)


class OnlyRecordingTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.rows = make_rows(cls.who)
        cls.rows["location"] = [cls.who.riverside.pk]

    @pytest.mark.slow
    def test_every_other_address_of_the_house_is_closed(self):
        phone = Client()
        phone.force_login(self.who.rosa)
        session = phone.session
        session["by_pin"] = self.rows["dock_phone"][0]
        session.save()
        phone.cookies["dock_phone"] = "a secret of the yellow phone"
        assert phone.get("/dock/").status_code == 200
        tables = [*OBJECTS.values(), *POST_ONLY.values()]
        addresses = {name: kind for rows in tables for name, kind in rows}
        addresses |= {name: None for rows in LISTS.values() for name in rows}
        for name, kind in some_of(sorted(addresses.items()), 60, "addresses"):
            url = address_for(self.rows, name, kind)
            with undone():
                sent = phone.post(url)
                shown = phone.get(url)
            words = b"You signed in by PIN"
            is_closed = words in sent.content and words in shown.content
            assert is_closed == (name not in RECORDING), name
        for name in ("deliveries", "expected"):
            assert phone.get(reverse(name) + "?as=csv").status_code == 403


def test_what_a_pin_opens_is_named_by_addresses_that_there_are():
    accounts = {name for name in get_resolver().reverse_dict if isinstance(name, str)}
    assert names_of_the_house() | accounts >= RECORDING


def test_no_act_of_money_claims_or_people_is_among_them():
    closed = ("see-claims", "make-claim", "see-deposits", "post-deposits", "decide")
    for act in closed:
        names = {name for name, _ in [*OBJECTS.get(act, ()), *POST_ONLY.get(act, ())]}
        assert not RECORDING & (names | set(LISTS.get(act, ()))), act
