"""One photo at a time: whose it is, what it is about, and what a phone is told."""

import hashlib
import re
import uuid
from urllib.parse import parse_qsl, urlsplit

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.signing import Signer
from django.db import connection
from django.test import TestCase, override_settings
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.actions.evidence.holding import held_photos, hold_upload
from inventory.actions.evidence.keeping import BadUploadError
from inventory.actions.evidence.page_tokens import ANY_KIND, give_token, read_token
from inventory.actions.evidence.photo_facts import About
from inventory.models import Assignment, Delivery, Event, Evidence
from inventory.views.core.clock import now
from inventory.views.evidence import capture as views
from tests.making import make_crate, make_delivery, make_handover, make_shipment
from tests.people import cast
from tests.pictures import blurred_jpeg, jpeg
from tests.reading import read_photos

pytestmark = pytest.mark.database

NOT_A_PHOTO = b"no picture at all"


def tables_of(found):
    """Return the first table of each statement, with a plus where it is written to."""
    named = (
        re.search(r'(INTO|FROM) "(\w+)"', one["sql"]) for one in found.captured_queries
    )
    return [("+" if one[1] == "INTO" else "") + one[2] for one in named if one]


class Capture(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.bill = make_shipment(location=cls.who.riverside)
        cls.truck = make_delivery(location=cls.who.riverside, carrier=cls.bill.carrier)
        make_handover(cls.truck, cls.bill)
        cls.crate = make_crate(cls.bill, delivery=cls.truck)
        cls.about = About(delivery=cls.truck, shipment=cls.bill, crate=cls.crate)
        cls.url = (
            f"{reverse('capture')}?delivery={cls.truck.pk}&shipment={cls.bill.pk}"
            f"&crate={cls.crate.pk}"
        )

    def word(self, person=None, about=None, kind="damage"):
        return give_token(
            person=person or self.who.rosa,
            device="phone-1",
            about=about or self.about,
            kind=kind,
            at=now(),
        )

    def send(self, sender="rosa", data=None, url=None, **over):
        self.client.force_login(getattr(self.who, sender))
        data = jpeg() if data is None else data
        form = {
            "client_id": str(uuid.uuid4()),
            "kind": "damage",
            "photo": SimpleUploadedFile("hole.jpg", data, "image/jpeg"),
            "sha256": hashlib.sha256(data).hexdigest(),
        }
        return self.client.post(url or self.url, form | over)


class TestKeeping(Capture):
    def test_a_photo_is_answered_with_its_hash_and_is_of_the_rows_named(self):
        answer = self.send(token=self.word())
        row = Evidence.objects.get()

        assert answer.status_code == 201
        told = answer.json()
        assert (told["id"], told["sha256"]) == (str(row.pk), row.original_id)
        assert told["thumbnail"] == reverse("photo", args=[row.pk, 320])
        assert (row.delivery, row.shipment, row.crate) == (
            self.truck,
            self.bill,
            self.crate,
        )
        assert row.recorded_by == self.who.rosa

    def test_each_thing_is_asked_once_and_nothing_of_bytes_that_are_new(self):
        self.send()  # its event seals what made the scene
        form = {
            "client_id": str(uuid.uuid4()),
            "kind": "damage",
            "photo": SimpleUploadedFile("hole.jpg", blurred_jpeg(), "image/jpeg"),
        }
        url = f"{reverse('capture')}?delivery={self.truck.pk}"
        with CaptureQueriesContext(connection) as found:
            answer = self.client.post(url, form)

        assert answer.json()["reading"]
        assert tables_of(found) == [
            "django_session",
            "inventory_user",
            "inventory_delivery",  # may this person see the truck
            "inventory_assignment",  # and add to it
            "inventory_evidence",  # was this id saved before
            "inventory_original",
            "+inventory_original",
            "+inventory_evidence",
            "inventory_original",  # what is sealed is what was written
            "inventory_evidence",
            "inventory_event",
            "+inventory_event",
            "+inventory_eventsubject",
        ]

    def test_bytes_that_were_sent_before_are_named_here_or_elsewhere(self):
        other = make_delivery(location=self.who.riverside, carrier=self.bill.carrier)
        told = [
            self.send(url=f"{reverse('capture')}?delivery={truck.pk}").json()["remarks"]
            for truck in (self.truck, other, self.truck)
        ]
        assert told[0] == []
        assert ["already added to another" in one[0] for one in told[1:]] == [
            True,
            False,
        ]
        assert "already here" in told[2][0]

    def test_the_same_id_again_is_the_same_row(self):
        same = {"client_id": str(uuid.uuid4()), "token": self.word()}
        first, second = self.send(**same), self.send(**same)

        assert (first.status_code, second.status_code) == (201, 200)
        assert first.json()["id"] == second.json()["id"]
        assert Evidence.objects.count() == 1

    def test_once_it_is_read_a_remark_says_whether_to_take_it_again(self):
        for data, asks in ((blurred_jpeg(), True), (jpeg(), False)):
            told = self.send(data=data).json()
            assert self.client.get(told["reading"]).json() == {"is_read": False}
            read_photos()
            answer = self.client.get(told["reading"]).json()
            assert (answer["name"], answer["retake"]) == ("hole.jpg", asks)
            assert ("blurred" in " ".join(answer["remarks"])) is asks

    def test_the_same_photo_again_is_told_at_once(self):
        self.send()
        assert "already here" in self.send().json()["remarks"][0]

    def test_bytes_changed_on_the_way_are_refused(self):
        answer = self.send(sha256="0" * 64)

        assert answer.status_code == 422
        assert "not saved" in answer.json()["error"].lower()
        assert not Evidence.objects.exists()

    def test_what_is_no_photo_is_refused_in_a_sentence(self):
        answer = self.send(data=NOT_A_PHOTO)

        assert answer.status_code == 415
        assert answer.json()["error"].startswith("This is not a photo")

    def test_a_sending_without_an_id_or_a_photo_is_refused(self):
        assert self.send(client_id="").status_code == 422
        assert self.send(photo="").status_code == 422
        assert not Evidence.objects.exists()

    @override_settings(EVIDENCE_LIMIT=10)
    def test_too_large_is_413(self):
        assert self.send().status_code == 413

    def test_a_full_disk_is_507(self):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(views, "keep_captured", full_disk)
            answer = self.send()

        assert (answer.status_code, answer.json()["error"]) == (507, "No room.")

    def test_a_crate_of_another_bill_is_refused(self):
        other = make_shipment(location=self.who.riverside)
        url = f"{reverse('capture')}?shipment={other.pk}&crate={self.crate.pk}"

        assert self.send(url=url).status_code == 400
        assert not Evidence.objects.exists()


def full_disk(**_):
    raise BadUploadError("No room.", 507)


class TestAuthor(Capture):
    def test_a_colleague_who_sends_it_is_not_its_author(self):
        self.send("tomas", token=self.word(self.who.rosa))
        row, event = Evidence.objects.get(), Event.objects.get(kind="evidence.kept")

        assert row.recorded_by == self.who.rosa
        assert event.data["sent_by"] == "Tomas Brandt"
        assert "sent by Tomas Brandt" in event.data["what"]

    def test_a_forged_word_makes_the_sender_the_author_and_keeps_the_claim(self):
        forged = self.word(self.who.mina)[:-3] + "AAA"
        answer = self.send("tomas", token=forged, claimed="Mina Okoro")
        row, event = Evidence.objects.get(), Event.objects.get(kind="evidence.kept")

        assert answer.status_code == 201
        assert row.recorded_by == self.who.tomas
        assert event.data["claimed_by"] == "Mina Okoro"
        assert "sent_by" not in event.data

    def test_without_a_word_ones_own_name_is_no_claim(self):
        self.send("rosa", claimed="Rosa Field")

        assert "claimed_by" not in Event.objects.last().data

    def test_a_word_for_another_truck_is_refused(self):
        other = make_delivery(location=self.who.riverside)
        answer = self.send(token=self.word(about=About(delivery=other)))

        assert answer.status_code == 422
        assert "another truck or crate" in answer.json()["error"]
        assert not Evidence.objects.exists()

    def test_a_word_for_another_kind_of_photo_is_refused(self):
        assert self.send(token=self.word(kind="receipt")).status_code == 422

    def test_a_word_for_any_kind_proves_its_author(self):
        word = self.word(self.who.rosa, kind=ANY_KIND)
        self.send("tomas", token=word, caption="Seal 4471")

        kept = Evidence.objects.get()
        assert (kept.recorded_by, kept.kind) == (self.who.rosa, "damage")
        assert kept.caption == "Seal 4471"
        other = About(delivery=make_delivery(location=self.who.riverside))
        forged = self.word(about=other, kind=ANY_KIND)
        assert self.send("tomas", token=forged).status_code == 422

    def test_after_the_role_is_lost_it_stays_and_says_who_can_send_it(self):
        word = self.word()
        Assignment.objects.filter(person=self.who.rosa).delete()
        answer = self.send(token=word)

        assert answer.status_code == 403
        told = answer.json()["error"]
        assert "stays on this phone" in told
        assert "receiving clerk" in told
        assert "at Riverside" in told
        assert not Evidence.objects.exists()
        assert self.send("tomas", token=word).status_code == 201
        assert Evidence.objects.get().recorded_by == self.who.rosa

    def test_a_stranger_without_a_word_is_not_told_that_it_exists(self):
        assert self.send("nell").status_code == 404
        assert self.send("nell", token=self.word()).status_code == 403
        other = self.word(about=About(delivery=make_delivery()))
        assert self.send("nell", token=other).status_code == 404


class TestKey(Capture):
    def ask(self, sender, token, url=None):
        self.client.force_login(getattr(self.who, sender))
        asked = url or self.url.replace(reverse("capture"), reverse("phone_key"))
        return self.client.post(asked, {"token": token})

    def test_a_colleague_who_may_add_photos_is_given_the_key(self):
        word = self.word()
        first, again = self.ask("tomas", word), self.ask("mina", word)

        assert first.status_code == 200
        assert len(first.json()["key"]) == 64
        assert first.json() == again.json()
        assert self.ask("tomas", self.word(self.who.mina)).json() != first.json()

    def test_nobody_else_is(self):
        assert self.ask("nell", self.word()).status_code == 403
        assert self.ask("nell", "forged").status_code == 404
        assert self.ask("tomas", self.word() + "x").status_code == 422
        other = self.word(about=About(delivery=self.truck))
        assert self.ask("tomas", other).status_code == 422


class TestTruckNotLogged(Capture):
    def setUp(self):
        place = self.who.riverside
        self.once = str(uuid.uuid4())
        self.place = f"{reverse('capture')}?location={place.pk}"
        self.whole = {
            "url": self.place,
            "kind": "load",
            "once": self.once,
            "token": self.word(about=place, kind="load"),
        }

    def log_truck(self):
        self.client.force_login(self.who.rosa)
        data = {
            "once": self.once,
            "carrier_name": "Sandhill Motor Lines",
            "arrived_at": "2026-03-10 10:00",
        }
        assert self.client.post(reverse("log_delivery"), data).status_code == 302
        return Delivery.objects.latest("pk")

    def test_a_queued_photo_waits_for_its_truck(self):
        answer = self.send(**self.whole)

        assert answer.status_code == 409
        assert "not logged yet" in answer.json()["error"]
        assert not Evidence.objects.exists()

    def test_once_it_is_logged_the_photo_is_its_own(self):
        truck = self.log_truck()

        assert self.send(**self.whole).status_code == 201
        row = Evidence.objects.get()
        assert (row.delivery, row.kind) == (truck, "load")

    def test_an_open_page_holds_it_until_the_truck_is_logged(self):
        one = self.whole | {"client_id": str(uuid.uuid4())}
        answer = self.send(**one, hold="on")

        assert answer.status_code == 202
        told = answer.json()
        assert told["sha256"] == hashlib.sha256(jpeg()).hexdigest()
        data = {
            "once": self.once,
            "carrier_name": "Sandhill Motor Lines",
            "arrived_at": "2026-03-10 10:00",
            "photo_held": told["held"],
        }
        self.client.post(reverse("log_delivery"), data)
        row = Evidence.objects.get()
        assert row.original_id == told["sha256"]

        again = self.send(**one)  # the phone waited for the truck too

        assert (again.status_code, again.json()["id"]) == (200, str(row.pk))
        assert Evidence.objects.count() == 1

    def test_a_token_of_the_version_before_still_holds_its_photo(self):
        held = hold_upload(
            person=self.who.rosa, upload=SimpleUploadedFile("load.jpg", jpeg())
        )
        signer = Signer(salt=f"held-photo-{self.who.rosa.pk}")
        old = signer.sign_object([held.sha256, held.size, held.name])

        (found,) = held_photos(self.who.rosa, [old])

        assert (found.sha256, found.client_id) == (held.sha256, None)

    def test_the_id_of_another_persons_form_names_no_truck(self):
        self.log_truck()
        mine = self.word(self.who.mina, about=self.who.riverside, kind="load")

        assert self.send("mina", **self.whole | {"token": mine}).status_code == 409

    def test_a_colleague_sends_it_after_the_authors_truck(self):
        truck = self.log_truck()

        assert self.send("mina", **self.whole).status_code == 201
        row = Evidence.objects.get()
        assert (row.delivery, row.recorded_by) == (truck, self.who.rosa)


class TestPage(Capture):
    def test_the_page_gives_its_photos_their_address_kind_and_word(self):
        self.client.force_login(self.who.rosa)
        form = self.client.get(reverse("look", args=[self.crate.pk])).context["form"]
        strip = form["photos"].strip
        token = read_token(strip.token)

        assert strip.url.startswith(reverse("capture"))
        assert dict(parse_qsl(urlsplit(strip.url).query)) == token.subject
        assert token.person == self.who.rosa.pk
        assert token.kind == strip.kind
        assert token.device
        answer = self.send(url=strip.url, token=strip.token, kind=strip.kind)
        assert answer.status_code == 201

    def test_a_word_that_says_something_else_is_none(self):
        assert read_token("") is None
        assert read_token("a:b:c") is None
        assert read_token(self.word() + "x") is None
