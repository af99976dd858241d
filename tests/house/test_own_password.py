"""A person changes their password: what is refused, what is recorded, what ends."""

import json

import pytest
from django.contrib.auth.hashers import make_password
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.test import Client, TestCase, override_settings
from django.urls import reverse

from inventory.models import Event
from tests.people import cast

pytestmark = pytest.mark.database

PASSWORD = "seven brown crates"
OTHER = "four green pallets"
# What Django's own validators let pass.
STOCK = [
    "django.contrib.auth.password_validation.MinimumLengthValidator",
    "django.contrib.auth.password_validation.CommonPasswordValidator",
]
LISTED = ["aaaaaaaaaaaaaaaa", "passwordpassword", "iloveyouiloveyou"]


class OwnPasswordTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.rosa = cast().rosa
        cls.rosa.set_password(PASSWORD)
        cls.rosa.save()

    def change(self, new, old=PASSWORD, browser=None):
        typed = {"old_password": old, "new_password1": new, "new_password2": new}
        return (browser or self.client).post(reverse("password_change"), typed)

    def test_it_leaves_an_event_without_the_password_and_ends_other_sessions(self):
        other = Client()
        for one in (self.client, other):
            one.force_login(self.rosa)
        self.assertRedirects(self.change(OTHER), reverse("password_change_done"))
        event = Event.objects.get()
        assert (event.kind, event.actor_id) == ("password.changed", self.rosa.pk)
        self.rosa.refresh_from_db()
        for secret in (OTHER, PASSWORD, self.rosa.password):
            assert secret not in json.dumps([event.body, event.data])
        assert self.rosa.check_password(OTHER)
        assert self.client.get(reverse("dock")).status_code == 200
        assert other.get(reverse("dock")).status_code == 302

    def test_guessable_ones_and_the_former_one_are_refused(self):
        self.client.force_login(self.rosa)
        for new in [*LISTED, PASSWORD, "riverside-rosa-1", "short one"]:
            assert self.change(new).status_code == 422, new
        self.assertContains(self.change(PASSWORD), "former", status_code=422)
        assert not Event.objects.exists()

    def test_django_alone_lets_them_pass(self):
        validators = [{"NAME": name} for name in STOCK]
        with override_settings(AUTH_PASSWORD_VALIDATORS=validators):
            for new in LISTED:
                validate_password(new, self.rosa)
        for new in LISTED:
            with pytest.raises(ValidationError, match="too easy to guess"):
                validate_password(new, self.rosa)

    def test_whoever_found_an_open_phone_may_not_guess_for_ever(self):
        self.client.force_login(self.rosa)
        for n in range(5):
            self.change(OTHER, old=f"guess {n}")
        page = self.change(OTHER)
        self.assertContains(page, "Too many wrong tries", status_code=422)
        self.rosa.refresh_from_db()
        assert self.rosa.check_password(PASSWORD)

    def test_a_rehash_at_sign_in_is_an_event_and_the_password_stays(self):
        typed = {"username": "rosa", "password": PASSWORD}
        hashers = ["MD5PasswordHasher", "PBKDF2PasswordHasher"]
        names = [f"django.contrib.auth.hashers.{one}" for one in hashers]
        with override_settings(PASSWORD_HASHERS=names):
            self.rosa.password = make_password(PASSWORD, hasher="pbkdf2_sha256")
            self.rosa.save()
            for _ in range(2):
                answer = Client().post(reverse("login"), typed)
                assert answer.status_code == 302
        event = Event.objects.get()
        assert event.kind == "password.rehashed"
        self.rosa.refresh_from_db()
        assert self.rosa.password.startswith("md5$")
