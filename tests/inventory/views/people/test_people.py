"""People and locations: the administrator's pages."""

import uuid

import pytest
from django.test import TestCase
from django.urls import reverse

from inventory.models import Assignment, Event, Location, User
from inventory.rules.reckoning.zones import zone_words
from tests.people import cast

pytestmark = pytest.mark.database

PLACE = {
    "name": "Low Bridge",
    "code": "LB",
    "address": "4 Mill Road",
    "time_zone": "America/Toronto",
    "country": "CA",
    "subdivision": "ON",
    "paper": "letter",
    "length_unit": "ft",
    "currency": "CAD",
    "shop_rate": "131.50",
    "shop_rate_source": "Posted rate sheet",
}


class TestPeople(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()

    def setUp(self):
        self.client.force_login(self.who.ada)

    def add(self, **over):
        values = {
            "full_name": "Ines Marsh",
            "username": "ines",
            "password": "a long enough secret",
            f"roles_{self.who.riverside.pk}": ["clerk", "technician"],
        }
        return self.client.post(reverse("add_person"), values | over)

    def change(self, who, **over):
        values = {
            "version": str(who.version),
            "full_name": who.full_name,
            "is_active": "on",
            f"roles_{self.who.riverside.pk}": ["clerk"],
        }
        url = reverse("edit_person", args=[who.pk])
        return self.client.post(url, values | over)

    def test_a_person_is_added_with_roles(self):
        self.add()

        ines = User.objects.get(username="ines")
        assert ines.check_password("a long enough secret")
        assert Assignment.objects.filter(person=ines).count() == 2
        assert Event.objects.get().kind == "person.added"

    def test_a_phone_is_kept_and_its_change_is_in_the_history(self):
        self.add(phone="(402) 555-0147 ext. 12")
        ines = User.objects.get(username="ines")
        assert (ines.phone, ines.dialed) == (
            "(402) 555-0147 ext. 12",
            "tel:4025550147;ext=12",
        )

        self.change(ines, phone="402 555 0199")

        ines.refresh_from_db()
        assert ines.phone == "402 555 0199"
        assert (
            '"changed":"phone, roles"' in Event.objects.get(kind="person.changed").body
        )
        listed = self.client.get(reverse("people"))
        self.assertContains(listed, 'href="tel:4025550199"')
        page = self.client.get(reverse("edit_person", args=[ines.pk]))
        self.assertContains(page, 'value="402 555 0199"')

    def test_without_a_role_nobody_is_promised_a_desk(self):
        riverside = f"roles_{self.who.riverside.pk}"
        form = self.client.get(reverse("add_person"))
        self.assertContains(
            form, "Without a role a person can sign in, but sees no desk."
        )

        self.add(**{riverside: []})
        listed = self.client.get(reverse("people"))
        self.assertContains(listed, "Ines Marsh added. No role yet")
        self.assertContains(listed, "No role: sees no desk")

        ines = User.objects.get(username="ines")
        self.change(ines, **{riverside: ["clerk"]})
        listed = self.client.get(reverse("people"))
        self.assertNotContains(listed, "No role")
        self.assertContains(listed, "Ines Marsh changed. They must sign in again.")

    def test_without_a_location_there_is_no_role_to_give(self):
        Assignment.objects.all().delete()
        Location.objects.all().delete()

        form = self.client.get(reverse("add_person"))

        self.assertContains(form, "There is no location yet, so you cannot give a role")

    def test_whoever_changes_their_own_entry_stays_signed_in(self):
        self.change(self.who.ada, is_administrator="on")

        listed = self.client.get(reverse("people"))
        self.assertContains(listed, "Your own entry is changed.")
        assert Assignment.objects.filter(person=self.who.ada).count() == 1

    def test_the_password_is_in_no_event(self):
        self.add()

        assert "secret" not in Event.objects.get().body

    def test_the_password_is_no_part_of_what_makes_two_sendings_the_same(self):
        once = str(uuid.uuid4())
        first = self.add(once=once)
        again = self.add(once=once, password="another long secret")

        assert (first.status_code, again.status_code) == (302, 302)
        assert User.objects.get(username="ines").check_password("a long enough secret")

    def test_bad_input_gets_a_sentence(self):
        bad = {
            "full_name": ("", "x" * 500),
            "phone": ("ask Mina", "12", "4" * 41, "1" * 16),
            "username": ("", "Ines", "a b", "rosa", "x" * 200),
            "password": ("", "short", "123456789012345", "x" * 1_000_000),
            f"roles_{self.who.riverside.pk}": ("owner",),
        }
        for field, values in bad.items():
            for value in values:
                with self.subTest(field=field, value=value[:20]):
                    answer = self.add(**{field: value})
                    self.assertContains(answer, "There is a problem", status_code=422)

    def test_who_is_moved_is_signed_out_at_once(self):
        other = self.client_class()
        other.force_login(self.who.rosa)
        assert other.get(reverse("search")).status_code == 200

        self.change(self.who.rosa)

        assert other.get(reverse("search")).status_code == 302

    def test_who_is_disabled_is_signed_out_and_stays_out(self):
        other = self.client_class()
        other.force_login(self.who.rosa)
        values = {"version": "1", "full_name": "Rosa Field"}
        self.client.post(reverse("edit_person", args=[self.who.rosa.pk]), values)

        assert other.get(reverse("search")).status_code == 302
        assert not User.objects.get(pk=self.who.rosa.pk).is_active

    def test_nobody_takes_their_own_administration_away(self):
        answer = self.change(self.who.ada)

        self.assertContains(answer, "your own administrator right", status_code=422)

    def test_others_are_turned_away(self):
        self.client.force_login(self.who.mina)

        assert self.client.get(reverse("people")).status_code == 403


class TestLocations(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()

    def setUp(self):
        self.client.force_login(self.who.ada)

    def add(self, **over):
        return self.client.post(reverse("add_location"), PLACE | over)

    def test_a_location_is_kept_with_its_rate_in_cents(self):
        self.add()

        place = Location.objects.get(code="LB")
        assert (place.shop_rate_cents, place.calendar) == (13_150, "CA-ON")
        self.assertContains(
            self.client.get(reverse("locations")),
            f'<td data-label="Time zone">{zone_words(place.time_zone)}</td>',
        )
        assert zone_words(place.time_zone) != place.time_zone

    def test_bad_input_gets_a_sentence(self):
        bad = {
            "code": ("lb", "RIV", "TOOLONGCODE", ""),
            "time_zone": ("Mars/Olympus", "", "../../etc/passwd"),
            "country": ("XX", "us", ""),
            "subdivision": ("ZZ", "!!"),
            "currency": ("dollars", ""),
            "shop_rate": ("-1", "0.005", "NaN", "1e9", "\uff11\uff12", "free"),
            "paper": ("vellum",),
        }
        for field, values in bad.items():
            for value in values:
                with self.subTest(field=field, value=value):
                    answer = self.add(**{field: value})
                    self.assertContains(answer, "There is a problem", status_code=422)
        assert Location.objects.count() == 2

    def test_a_position_is_kept_and_shown_again(self):
        self.add(latitude="41.66", longitude="-91.53")

        place = Location.objects.get(code="LB")
        assert (place.latitude, place.longitude) == ("41.66", "-91.53")
        page = self.client.get(reverse("edit_location", args=[place.pk]))
        self.assertContains(page, "41.66")
        self.assertContains(page, "-91.53")

    def test_a_position_that_is_none_gets_a_sentence(self):
        bad = [
            ("41.66", ""),
            ("", "-91.53"),
            ("91", "10"),
            ("10", "181"),
            ("41,66", "-91,53"),
            ("\uff14\uff11", "10"),
            ("NaN", "10"),
            ("0", "0"),
            ("1e1", "10"),
        ]
        for latitude, longitude in bad:
            with self.subTest(latitude=latitude, longitude=longitude):
                answer = self.add(latitude=latitude, longitude=longitude)
                self.assertContains(answer, "There is a problem", status_code=422)
        assert Location.objects.count() == 2

    def test_a_stale_form_is_told(self):
        url = reverse("edit_location", args=[self.who.riverside.pk])
        self.client.post(url, PLACE | {"version": "1"})
        answer = self.client.post(url, PLACE | {"version": "1", "name": "Other"})

        self.assertContains(
            answer, "Someone changed this after you opened it", status_code=422
        )
