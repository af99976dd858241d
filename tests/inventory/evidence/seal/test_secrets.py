"""A secret is in no image, and one that was swapped behind the program is named."""

import json

import pytest
from django.test import TestCase
from django.utils import timezone

from inventory.actions.people.passwords import change_password
from inventory.actions.people.people import add_person
from inventory.actions.people.second_factors import add_factor, new_secret
from inventory.models import Event, SecondFactor, User
from inventory.rules.core.one_time_codes import code_at, step_at
from tests.verifying import behind_the_back, report_now

pytestmark = pytest.mark.database

PASSWORD = "lantern-and-stencil"


def second_factor_of(person):
    """Give the person an app; return its secret."""
    at, secret = timezone.now(), new_secret()
    code = code_at(secret, step_at(int(at.timestamp())))
    add_factor(person=person, at=at, secret=secret, code=code)
    return secret


class SecretTests(TestCase):
    def setUp(self):
        self.person = add_person(
            person=None,
            at=timezone.now(),
            username="orrin",
            full_name="Orrin Slate",
            password=PASSWORD,
            is_administrator=True,
            assigned=set(),
        )

    def test_a_swapped_password_is_named(self):
        behind_the_back(
            "UPDATE inventory_user SET password = %s", "md5$theirs$0123456789abcdef"
        )

        (said,) = report_now().first
        assert said.startswith(
            f"user {self.person.pk}: password is a text with SHA-256"
        )

    def test_a_password_changed_by_its_owner_is_no_fault(self):
        change_password(
            person=self.person, at=timezone.now(), password="another-long-lantern"
        )

        assert report_now().first == []

    def test_a_swapped_secret_of_an_app_is_named(self):
        second_factor_of(self.person)
        assert report_now().first == []
        behind_the_back("UPDATE inventory_secondfactor SET secret = %s", b"theirs" * 4)

        (said,) = report_now().first
        assert said.startswith("secondfactor ")
        assert "secret is a text with SHA-256" in said

    def test_no_event_holds_a_secret(self):
        secret = second_factor_of(self.person)
        told = json.dumps(list(Event.objects.values_list("data", flat=True)))
        told += "".join(Event.objects.values_list("body", flat=True))

        assert User.objects.get().password not in told
        assert bytes(secret).hex() not in told
        assert SecondFactor.objects.count() == 1
