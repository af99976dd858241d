"""Someone from a list starts with a password that the administrator gives."""

import pytest
from django.test import TestCase
from django.urls import reverse

from inventory.models import Event, User
from tests.people import cast, make_person

pytestmark = pytest.mark.database


class TestFirstPassword(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.ines = make_person("ines", "Ines Farrow", (cls.who.riverside, "clerk"))

    def setUp(self):
        self.client.force_login(self.who.ada)

    def give(self, password="kraft-and-stencil"):
        page = reverse("start_person", args=[self.ines.pk])
        return self.client.post(page, {"version": "1", "password": password})

    def test_the_list_says_who_has_none_and_leads_there(self):
        listed = self.client.get(reverse("people"))
        self.assertContains(listed, "No password yet")
        self.assertContains(listed, reverse("start_person", args=[self.ines.pk]))

    def test_they_can_sign_in_with_it(self):
        self.assertRedirects(self.give(), reverse("people"))
        row = User.objects.get(pk=self.ines.pk)
        assert row.check_password("kraft-and-stencil")
        assert Event.objects.get().kind == "person.started"

    def test_a_weak_one_and_a_second_one_are_refused(self):
        self.assertContains(self.give("short"), "15 characters", status_code=422)
        self.give()
        again = self.give("another-first-password")
        self.assertContains(again, "has a password already", status_code=422)
        row = User.objects.get(pk=self.ines.pk)
        assert row.check_password("kraft-and-stencil")
