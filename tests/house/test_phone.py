"""The app on a phone: its worker, its manifest, its page without signal, its answers."""

import json
import re
import uuid
from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.staticfiles.storage import staticfiles_storage
from django.test import Client, TestCase
from django.urls import reverse

from claims.phone import QUEUED, REMEMBERED
from config.phone import GROUND
from inventory.models import Assignment, Event
from tests.house.addresses import names_of_the_house
from tests.making import (
    make_crate,
    make_delivery,
    make_handover,
    make_shipment,
    make_unit,
)
from tests.people import cast

pytestmark = pytest.mark.database

PHONE = {"dock-phone": "1"}
NAMED = re.compile(r"(?:src|href)=\"(/static/[^\"]+)\"")


def known_to(worker):
    found = re.match(r"self\.KNOWN = (.+);\n", worker.content.decode())
    return json.loads(found[1])


class TestWorker(TestCase):
    def test_it_stands_at_the_root_and_is_asked_for_each_time(self):
        answer = self.client.get("/sw.js")

        assert answer.status_code == 200
        assert answer["Content-Type"] == "text/javascript"
        assert answer["Cache-Control"] == "no-cache"
        assert answer["Service-Worker-Allowed"] == "/"

    def test_it_keeps_static_files_and_one_page_and_nothing_of_anybodys(self):
        known = known_to(self.client.get("/sw.js"))

        assert known["shell"] == reverse("offline")
        assert all(name.startswith("/static/house/") for name in known["files"])

    def test_it_keeps_every_file_that_the_page_without_signal_asks_for(self):
        known = known_to(self.client.get("/sw.js"))["files"]
        asked = set(
            NAMED.findall(self.client.get(known_to_shell(self)).content.decode())
        )
        modules = set()
        for name in [one for one in known if one.endswith(".mjs")]:
            text = (
                Path(settings.STATIC_ROOT) / name.removeprefix("/static/")
            ).read_text()
            found = re.findall(r"(?:from |import\()\"\./([^\"]+)\"", text)
            modules |= {f"/static/house/{one}" for one in found}

        assert len(asked) > 8
        assert len(modules) > 4
        assert asked | modules <= set(known)

    def test_its_version_is_that_of_the_static_files(self):
        known = known_to(self.client.get("/sw.js"))

        assert known["version"] == staticfiles_storage.manifest_hash
        assert len(known["version"]) >= 12


def known_to_shell(test):
    return known_to(test.client.get("/sw.js"))["shell"]


class TestManifest(TestCase):
    def test_it_can_be_installed(self):
        answer = self.client.get("/app.webmanifest")
        told = json.loads(answer.content)

        assert answer["Content-Type"] == "application/manifest+json"
        assert {"name", "start_url", "display", "theme_color"} <= set(told)
        assert {one["sizes"] for one in told["icons"]} == {"192x192", "512x512"}
        for one in told["icons"]:
            path = Path(settings.STATIC_ROOT) / one["src"].removeprefix("/static/")
            assert path.read_bytes().startswith(b"\x89PNG")

    def test_its_color_is_the_ground_of_the_house(self):
        tokens = Path("inventory/static/house/tokens.css").read_text(encoding="utf-8")

        assert f"--ground: {GROUND};" in tokens

    def test_every_page_links_it(self):
        self.assertContains(self.client.get(reverse("login")), 'rel="manifest"')


class TestIcon(TestCase):
    def test_what_names_none_is_led_to_it(self):
        answer = self.client.get("/favicon.ico")

        assert answer.status_code == 302
        path = Path(settings.STATIC_ROOT) / answer["Location"].removeprefix("/static/")
        assert b"<svg" in path.read_bytes()


class TestShell(TestCase):
    def test_it_names_nobody_and_is_the_same_for_all(self):
        who = cast()
        stranger = self.client.get(reverse("offline")).content
        self.client.force_login(who.rosa)
        rosa = self.client.get(reverse("offline")).content

        assert stranger == rosa
        assert b"Rosa" not in rosa
        assert b"csrf" not in rosa


class TestAnswers(TestCase):
    def setUp(self):
        self.who = cast()
        self.client.force_login(self.who.rosa)

    def log_truck(self, **headers):
        data = {
            "carrier_name": "Sandhill Motor Lines",
            "arrived_at": "2026-03-10 10:00",
        }
        return self.client.post(reverse("log_delivery"), data, headers=headers)

    def test_a_phone_is_told_where_a_page_would_lead(self):
        answer = self.log_truck(**PHONE)

        assert answer.status_code == 200
        assert answer.json()["page"].startswith("/deliveries/")
        assert "Location" not in answer
        assert int(answer["Content-Length"]) == len(answer.content)
        page = self.client.get(answer.json()["page"])
        self.assertContains(page, "Truck logged")

    def test_a_browser_is_led_on_as_ever(self):
        assert self.log_truck().status_code == 302

    def test_signed_out_is_401_with_the_way_back_in(self):
        self.client.logout()
        answer = self.log_truck(**PHONE)

        assert answer.status_code == 401
        assert "Sign in again" in answer.json()["error"]
        assert answer.json()["page"].startswith(reverse("login"))

    def test_a_lost_role_is_403_with_the_reason(self):
        Assignment.objects.filter(person=self.who.rosa).update(role="technician")
        answer = self.log_truck(**PHONE)

        assert answer.status_code == 403
        assert "Only a receiving clerk or manager" in answer.json()["error"]

    def test_what_is_not_there_is_404_in_a_sentence(self):
        answer = self.client.post(reverse("look", args=[900_009]), headers=PHONE)

        assert (answer.status_code, "not found" in answer.json()["error"]) == (
            404,
            True,
        )

    def test_who_is_here_brings_a_fresh_token_that_counts(self):
        strict = Client(enforce_csrf_checks=True)
        strict.force_login(self.who.rosa)
        me = strict.get(reverse("phone_me"), headers=PHONE)

        assert me.json()["person"] == str(self.who.rosa.pk)
        assert me.json()["places"] == [
            {
                "id": self.who.riverside.pk,
                "name": "Riverside",
                "zone": "America/Chicago",
            }
        ]
        assert "no-store" in me["Cache-Control"]
        data = {
            "carrier_name": "Sandhill Motor Lines",
            "arrived_at": "2026-03-10 10:00",
            "csrfmiddlewaretoken": me.json()["csrf"],
        }
        assert strict.post(reverse("log_delivery"), data).status_code == 302

    def test_each_person_has_a_key_of_their_own(self):
        first = self.client.get(reverse("phone_me")).json()["secret"]
        self.client.force_login(self.who.mina)

        assert self.client.get(reverse("phone_me")).json()["secret"] != first
        self.client.logout()
        assert self.client.get(reverse("phone_me"), headers=PHONE).status_code == 401


class TestOnce(TestCase):
    def test_a_form_that_waited_on_a_phone_is_saved_once(self):
        who = cast()
        bill = make_shipment(location=who.riverside, pieces_billed=4)
        row = make_handover(
            make_delivery(location=who.riverside, carrier=bill.carrier), bill
        )
        self.client.force_login(who.rosa)
        url = reverse("edit_handover", args=[row.pk])
        data = {
            "version": str(row.version),
            "pieces_counted": "3",
            "once": str(uuid.uuid4()),
        }
        first, again = (
            self.client.post(url, data, headers=PHONE).json() for _ in range(2)
        )
        row.refresh_from_db()

        assert "page" in first
        assert first == again
        assert row.pieces_counted == 3
        assert Event.objects.filter(kind="handover.counted").count() == 1

    def test_a_stale_form_without_an_id_is_refused_as_ever(self):
        who = cast()
        bill = make_shipment(location=who.riverside, pieces_billed=4)
        row = make_handover(
            make_delivery(location=who.riverside, carrier=bill.carrier), bill
        )
        self.client.force_login(who.rosa)
        url = reverse("edit_handover", args=[row.pk])
        data = {"version": str(row.version), "pieces_counted": "3"}

        assert self.client.post(url, data).status_code == 302
        assert self.client.post(url, data).status_code == 422


class TestNames(TestCase):
    def test_every_page_that_is_named_for_phones_is_there(self):
        named = QUEUED | set(REMEMBERED) | set(REMEMBERED.values())

        assert named <= names_of_the_house()


class TestOnPhone(TestCase):
    def test_a_truck_is_kept_by_marks_counts_and_machines_only(self):
        who = cast()
        bill = make_shipment(location=who.riverside, pieces_billed=1)
        truck = make_delivery(
            location=who.riverside, carrier=bill.carrier, driver_name="Lou Parr"
        )
        make_handover(truck, bill)
        crate = make_crate(bill, delivery=truck, mark="HT-771")
        unit = make_unit(bill, crate=crate, serial="TX-778")
        self.client.force_login(who.rosa)
        told = self.client.get(reverse("truck_on_phone", args=[truck.pk])).json()
        machine = self.client.get(reverse("machine_on_phone", args=[unit.pk])).json()

        assert f"{bill}: 1 crate billed, 1 counted" in told["lines"]
        assert f"Crate {crate.number} HT-771, {unit}, Not inspected" in told["lines"]
        assert machine["name"] == str(unit)
        for word in ("Lou Parr", "Rosa", "$"):
            assert word not in json.dumps([told, machine])

    def test_pages_say_what_to_keep_and_whose_forms_wait(self):
        who = cast()
        truck = make_delivery(location=who.riverside)
        self.client.force_login(who.rosa)
        page = self.client.get(reverse("tailgate", args=[truck.pk]))

        self.assertContains(
            page, f'data-remember="{reverse("truck_on_phone", args=[truck.pk])}"'
        )
        self.assertContains(page, " data-queue")
        self.assertNotContains(self.client.get(reverse("dock")), " data-queue")
