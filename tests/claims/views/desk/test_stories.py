"""Stories in time order, the search box, and the way in."""

from datetime import UTC, date, datetime

import pytest
import time_machine
from django.db import connection
from django.test import TestCase
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from claims.models import DeadlineOverride, FindingPhoto
from inventory.actions.receiving.shipments import BillAtDock, add_bill
from tests.claims.test_unopened import make_deadline
from tests.making import (
    ARRIVED,
    make_carrier,
    make_claim,
    make_crate,
    make_delivery,
    make_evidence,
    make_finding,
    make_handover,
    make_shipment,
    make_signed_delivery,
    make_unit,
)
from tests.people import cast, make_person

pytestmark = pytest.mark.database


class TestStories(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.carrier = make_carrier(name="Plainsway Freight")
        cls.delivery = make_delivery(carrier=cls.carrier)
        cls.shipment = add_bill(
            person=cls.who.rosa,
            at=ARRIVED,
            delivery=cls.delivery,
            bill=BillAtDock("PW-1", 2, "crate", 2, crates=1),
        ).shipment
        cls.crate = cls.shipment.crates.get()
        cls.unit = make_unit(cls.shipment, crate=cls.crate, serial="TX-778")
        cls.urls = [
            reverse("delivery", args=[cls.delivery.pk]),
            reverse("shipment", args=[cls.shipment.pk]),
            reverse("unit", args=[cls.unit.pk]),
        ]

    def setUp(self):
        self.client.force_login(self.who.rosa)

    def test_the_bill_says_as_the_truck_does_who_owes_a_deadline(self):
        make_deadline(self.crate, owed_by="claimant")
        make_deadline(self.crate, duty="acknowledge", owed_by="carrier")
        page = self.client.get(reverse("shipment", args=[self.shipment.pk]))

        self.assertContains(page, '<td data-label="Owed by">us</td>')
        self.assertContains(page, '<td data-label="Owed by">the carrier</td>')
        self.assertContains(page, '<td data-label="Send by">Mon 16 Mar 2026</td>')
        self.assertContains(page, '<td data-label="Send by"></td>', count=1)
        self.assertContains(page, '<td data-label="Safe day"></td>', count=1)

    def test_a_deadline_of_the_bill_that_passed_is_marked_until_it_is_met(self):
        day = {"due": date(2026, 4, 2), "safe": date(2026, 4, 1)}
        make_deadline(self.crate, owed_by="claimant", **day)
        make_deadline(self.crate, duty="file", met_on=date(2026, 3, 30), **day)
        url = reverse("shipment", args=[self.shipment.pk])

        with time_machine.travel(datetime(2026, 4, 1, 20, tzinfo=UTC), tick=False):
            self.assertNotContains(self.client.get(url), "Late")
        with time_machine.travel(datetime(2026, 4, 2, 20, tzinfo=UTC), tick=False):
            self.assertContains(self.client.get(url), "Late", count=1)

    def test_our_own_day_counts_only_where_it_is_the_earlier_one(self):
        for duty, own in (("concealed-notice", 12), ("file", 25)):
            DeadlineOverride.objects.create(
                deadline=make_deadline(self.crate, duty=duty),
                due=date(2026, 3, own),
                reason="The carrier wrote so.",
                decided_at=ARRIVED,
                decided_by=self.who.mina,
            )
        page = self.client.get(reverse("shipment", args=[self.shipment.pk]))

        self.assertContains(page, '<td data-label="Safe day">Thu 12 Mar 2026</td>')
        self.assertContains(page, '<td data-label="Safe day">Tue 17 Mar 2026</td>')

    def test_a_photo_of_damage_on_no_finding_is_listed_as_not_used(self):
        photo = make_evidence(
            delivery=self.delivery,
            shipment=self.shipment,
            crate=self.crate,
            unit=self.unit,
            kind="damage",
        )
        for url in self.urls:
            self.assertContains(self.client.get(url), "Photos not used")
        found = make_finding(unit=self.unit)
        FindingPhoto.objects.create(finding=found, evidence=photo)
        for url in self.urls:
            self.assertNotContains(self.client.get(url), "Photos not used")

    def test_a_story_tells_its_acts_in_the_docks_own_time(self):
        for url in self.urls[:2]:
            page = self.client.get(url)
            self.assertContains(page, "Freight bill PRO PW-1 added, 2 crates counted.")
            self.assertContains(page, "10:30 AM")

    def test_a_stranger_finds_no_story(self):
        self.client.force_login(self.who.nell)

        for url in self.urls:
            self.assertEqual(self.client.get(url).status_code, 404)

    def test_every_role_of_the_location_may_read_them(self):
        for person in (self.who.tomas, self.who.mina, self.who.abel):
            self.client.force_login(person)
            for url in self.urls:
                self.assertEqual(self.client.get(url).status_code, 200)

    def test_a_story_is_only_read(self):
        for url in self.urls:
            self.assertEqual(self.client.post(url).status_code, 405)

    def test_nobody_reads_without_signing_in(self):
        self.client.logout()

        for url in self.urls:
            self.assertEqual(self.client.get(url).status_code, 302)

    def queries(self, url):
        with CaptureQueriesContext(connection) as seen:
            self.assertEqual(self.client.get(url).status_code, 200)
        return len(seen)

    def one_more_of_each(self):
        make_handover(self.delivery, make_shipment(carrier=self.carrier))
        make_handover(make_delivery(carrier=self.carrier), self.shipment)
        crate = make_crate(self.shipment, delivery=self.delivery)
        unit = make_unit(self.shipment, crate=crate)
        make_finding(unit=unit, delivery=self.delivery)
        make_finding(unit=self.unit, delivery=self.delivery, crate=self.crate)
        make_evidence(
            delivery=self.delivery, shipment=self.shipment, unit=self.unit, crate=crate
        )

    @pytest.mark.slow
    def test_a_long_story_asks_as_much_as_a_short_one(self):
        self.one_more_of_each()
        few = [self.queries(url) for url in self.urls]

        for _ in range(20):
            self.one_more_of_each()

        assert [self.queries(url) for url in self.urls] == few


class TestSearch(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.shipment = make_shipment(pro_number="PW-8841", bol_number="BOL-5512")
        make_unit(cls.shipment, serial="TX-778", model="Row tiller")
        make_crate(cls.shipment, mark="KIRU-3")
        make_claim(cls.shipment, number="RIV-2026-0042")

    def found(self, text, person):
        self.client.force_login(person)
        return self.client.get(reverse("search"), {"q": text})

    def test_each_number_is_found_however_it_is_typed(self):
        wide = "".join(chr(ord(c) + 0xFEE0) if c.isdigit() else c for c in "tx-778")
        for text in ("pw-8841", "  BOL-5512 ", "tx-778", wide, "kiru-3"):
            with self.subTest(text):
                self.assertContains(self.found(text, self.who.rosa), "PW-8841")

    def test_a_claim_is_found_only_by_who_may_see_claims(self):
        number = "RIV-2026-0042"

        self.assertContains(self.found(number, self.who.mina), f"Claim {number}")
        self.assertNotContains(self.found(number, self.who.rosa), f"Claim {number}")

    def test_another_location_finds_nothing(self):
        for text in ("PW-8841", "BOL-5512", "TX-778", "KIRU-3", "RIV-2026-0042"):
            answer = self.found(text, self.who.nell)
            self.assertNotContains(answer, "Row tiller")
            self.assertNotContains(answer, reverse("shipment", args=[self.shipment.pk]))

    def test_no_text_breaks_the_search(self):
        for text in ("", "\0", "x" * 5000, "%", "'", str(2**70)):
            self.assertEqual(self.found(text, self.who.rosa).status_code, 200)
        half = self.client.get(reverse("search") + "?q=%ED%A0%80%FF")
        self.assertEqual(half.status_code, 200)


class TestTheWayIn(TestCase):
    def test_each_person_begins_at_their_own_desk(self):
        who = cast()
        desks = [
            (who.rosa, "/dock/"),
            (who.tomas, "/bench/"),
            (who.mina, "/claims/"),
            (who.abel, "/deposits/"),
            (who.ada, "/welcome/"),
        ]
        for person, desk in desks:
            self.client.force_login(person)
            answer = self.client.get(reverse("home"))
            self.assertEqual(answer.headers["Location"], desk)

    def test_the_administrator_begins_with_people_once_a_receipt_was_signed(self):
        who = cast()
        make_signed_delivery(signed_by=who.rosa)
        self.client.force_login(who.ada)

        self.assertEqual(
            self.client.get(reverse("home")).headers["Location"], "/people/"
        )

    def test_a_person_without_a_role_is_told_who_can_give_one(self):
        cast()
        self.client.force_login(make_person("ivo", "Ivo Marsh"))

        page = self.client.get(reverse("home"))
        self.assertContains(page, "You have no role yet")
        self.assertContains(page, "Ada Quist")
        dock = self.client.get(reverse("dock"))
        self.assertContains(dock, "Ada Quist can give you one.", status_code=403)
