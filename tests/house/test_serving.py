"""What stands around every page, what a monitor is told, and what stops serving."""

from datetime import timedelta
from unittest import mock

from django.conf import settings
from django.db import connection
from django.test import RequestFactory, TestCase, override_settings
from django.urls import reverse
from django.utils import timezone

from config.addresses import client_address
from config.checks import (
    check_triggers,
    pillow_is_safe,
    reasons_not_to_serve,
    refuse_to_serve_unsound,
    unapplied_migrations,
)
from inventory.actions.mail.beats import beat
from inventory.models import User
from inventory.queries.mail.beats import STOPPED_AFTER
from inventory.triggers import drop_triggers

PASSWORD = "seven brown crates"


class HeaderTests(TestCase):
    def test_every_page_has_its_headers(self):
        headers = self.client.get(reverse("login")).headers

        assert headers["Permissions-Policy"].startswith("camera=(self)")
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["X-Frame-Options"] == "DENY"
        assert headers["Referrer-Policy"] == "same-origin"

    def test_the_content_policy_is_strict(self):
        found = self.client.get(reverse("login"))["Content-Security-Policy"]

        assert set(found.split("; ")) == {
            "default-src 'none'",
            "script-src 'self'",
            "style-src 'self'",
            "img-src 'self' blob:",
            "font-src 'self'",
            "connect-src 'self'",
            "manifest-src 'self'",
            "worker-src 'self'",
            "form-action 'self'",
            "frame-ancestors 'none'",
            "base-uri 'none'",
        }

    def test_a_signed_in_page_is_kept_in_no_cache(self):
        person = User.objects.create_superuser("ada", password=PASSWORD)
        self.client.force_login(person)

        response = self.client.get(reverse("password_change"))

        assert "no-store" in response["Cache-Control"]
        assert "private" in response["Cache-Control"]

    def test_a_stranger_is_led_to_the_sign_in_page(self):
        response = self.client.get(reverse("password_change"))

        assert response.status_code == 302
        assert response["Location"].startswith(reverse("login"))

    def test_a_foreign_host_is_refused(self):
        with self.assertLogs("django.security.DisallowedHost", "ERROR"):
            response = self.client.get(
                "/accounts/login/", headers={"host": "evil.example"}
            )

        assert response.status_code == 400


@override_settings(MIN_FREE_BYTES=0)
class HealthTests(TestCase):
    def test_a_living_process_says_so(self):
        assert self.client.get("/healthz").content == b"ok\n"

    def test_a_ready_one_names_its_parts(self):
        beat(lane="mail", at=timezone.now())
        response = self.client.get("/readyz")

        assert response.status_code == 200
        assert response.json() == dict.fromkeys(
            ["database", "migrations", "storage", "disk", "work", "clock"], "ok"
        )

    def test_one_whose_working_program_stopped_is_not_ready(self):
        beat(lane="mail", at=timezone.now() - STOPPED_AFTER - timedelta(seconds=1))

        response = self.client.get("/readyz")

        assert response.status_code == 503
        assert response.json()["work"] == "not ready"

    def test_asking_leaves_nothing_behind(self):
        before = sorted(settings.DATA_DIR.iterdir())

        self.client.get("/readyz")

        assert sorted(settings.DATA_DIR.iterdir()) == before

    @override_settings(MIN_FREE_BYTES=10**18)
    def test_a_full_disk_is_not_ready(self):
        response = self.client.get("/readyz")

        assert response.status_code == 503
        assert response.json()["disk"] == "not ready"

    def test_a_disk_that_refuses_writes_is_not_ready(self):
        with mock.patch("config.health.os.fsync", side_effect=OSError(28, "full")):
            response = self.client.get("/readyz")

        assert response.status_code == 503
        assert response.json()["storage"] == "failed"

    def test_a_waiting_migration_is_not_ready(self):
        with connection.cursor() as cursor:
            cursor.execute("DELETE FROM django_migrations WHERE app = 'sessions'")

        assert self.client.get("/readyz").json()["migrations"] == "not ready"


class SoundnessTests(TestCase):
    def test_a_migrated_database_may_be_served(self):
        assert reasons_not_to_serve(connection) == []

    def test_one_without_its_triggers_may_not(self):
        drop_triggers(connection)

        (reason,) = reasons_not_to_serve(connection)

        assert "keep_inventory_event_update" in reason

    def test_the_check_warns_of_them_without_stopping_the_migration(self):
        drop_triggers(connection)

        messages = check_triggers(databases=["default"])

        assert messages
        assert not any(message.is_serious() for message in messages)

    def test_one_with_waiting_migrations_may_not(self):
        with connection.cursor() as cursor:
            cursor.execute("DELETE FROM django_migrations WHERE app = 'sessions'")

        assert unapplied_migrations(connection) == ["sessions.0001_initial"]
        assert "sessions.0001_initial" in reasons_not_to_serve(connection)[0]

    def test_the_refusal_says_what_to_do(self):
        drop_triggers(connection)

        with (
            mock.patch.object(connection, "close"),
            self.assertRaisesMessage(RuntimeError, "Run manage.py migrate"),
        ):
            refuse_to_serve_unsound()

    def test_only_a_safe_decoder_will_do(self):
        assert pillow_is_safe("13.0.0")
        assert pillow_is_safe("13.1")
        assert not pillow_is_safe("12.9.9")


class SignInTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.person = User.objects.create_user("rosa", password=PASSWORD)

    def sign_in(self, password, **headers):
        typed = {"username": "rosa", "password": password}
        return self.client.post(reverse("login"), typed, headers=headers)

    def test_after_wrong_passwords_even_the_right_one_waits(self):
        for _ in range(5):
            assert self.sign_in("wrong").status_code == 422

        answer = self.sign_in(PASSWORD)
        self.assertContains(answer, "Too many wrong tries", status_code=429)

    def test_the_right_password_opens_it(self):
        assert self.sign_in(PASSWORD).status_code == 302

    def test_a_short_new_password_is_refused(self):
        self.client.force_login(self.person)
        typed = {
            "old_password": PASSWORD,
            "new_password1": "short one",
            "new_password2": "short one",
        }

        self.client.post(reverse("password_change"), typed)

        self.person.refresh_from_db()
        assert self.person.check_password(PASSWORD)


class ClientAddressTests(TestCase):
    def address(self, remote, forwarded=None):
        extra = {} if forwarded is None else {"HTTP_X_FORWARDED_FOR": forwarded}
        return client_address(RequestFactory().get("/", REMOTE_ADDR=remote, **extra))

    def test_a_proxy_on_this_machine_is_believed_for_what_it_saw(self):
        assert self.address("127.0.0.1", "10.9.9.9, 192.0.2.7") == "192.0.2.7"

    def test_anybody_elses_header_is_not_read(self):
        assert self.address("192.0.2.8", "10.9.9.9") == "192.0.2.8"

    def test_nonsense_is_not_an_address(self):
        assert self.address("127.0.0.1", "not an address") == "127.0.0.1"
        assert self.address("") is None
