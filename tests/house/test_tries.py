"""Who guesses at a name is slowed down; its owner and everybody else are not.

The idea is OWASP's: "Slow Down Online Guessing Attacks with Device Cookies".
"""

import subprocess
import sys
from unittest import mock

import pytest
from django.contrib.sessions.models import Session
from django.core import signing
from django.test import Client, RequestFactory, TestCase, override_settings
from django.urls import reverse

from config.addresses import client_address
from config.attempts import (
    ANYWHERE,
    FORGOTTEN_AFTER,
    LONGEST_WAIT,
    ONE_ADDRESS,
    ONE_PLACE,
    begin_try,
    keys_of,
    was_right,
)
from config.sign_in import SignInForm
from inventory.models import User
from tests.people import cast
from tests.prepared import ROOT, environment

PASSWORD = "seven brown crates"
HOME = "198.51.100.4"

TRY = """
import sys, django
django.setup()
from pathlib import Path
from config.attempts import begin_try, keys_of
keys = keys_of("rosa", address="192.0.2.7", device="")
print(sum(begin_try(Path(sys.argv[1]), keys, 1e9) == 0 for _ in range(500)))
"""


@pytest.mark.database
class TriesTests(TestCase):
    @pytest.fixture(autouse=True)
    def _clock(self, monkeypatch):
        self.at = 1e9
        monkeypatch.setattr("config.tries.time.time", lambda: self.at)

    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        for one in (cls.who.rosa, cls.who.mina):
            one.set_password(PASSWORD)
            one.save()

    def sign_in(self, password=PASSWORD, name="rosa", where=HOME, browser=None):
        typed = {"username": name, "password": password}
        browser = browser or Client()
        return browser.post(reverse("login"), typed, REMOTE_ADDR=where).status_code

    @pytest.mark.slow
    def test_a_thousand_wrong_ones_from_fifty_addresses_hinder_only_strangers(self):
        own = Client()
        assert self.sign_in(browser=own) == 302
        own.post(reverse("logout"))
        with mock.patch.object(User, "check_password", return_value=False) as looked:
            for n in range(1000):
                request = RequestFactory().post("/", REMOTE_ADDR=f"192.0.2.{n % 50}")
                typed = {"username": "rosa", "password": f"guess {n}"}
                assert not SignInForm(request, typed).is_valid()
                self.at += 0.1
        assert looked.call_count < ANYWHERE.free + 8  # 2, 4, 8 ... seconds apart
        assert self.sign_in(where="192.0.2.200") == 429
        assert self.sign_in(browser=own, where="192.0.2.3") == 302
        assert self.sign_in(name="mina", where="192.0.2.3") == 302

    def test_ten_typos_behind_one_address_lock_nobody_else_out(self):
        for n in range(10):
            self.sign_in(f"typo {n}")
        assert self.sign_in(name="mina") == 302

    def test_it_slows_down_before_it_locks(self):
        assert [self.sign_in("x") for _ in range(6)] == [422] * 5 + [429]
        waits = []
        for _ in range(11):
            waits.append(begin_try(self.path(), self.keys(), self.at))
            self.at += waits[-1]
            assert begin_try(self.path(), self.keys(), self.at) == 0
        assert waits == [2.0**n for n in range(1, 10)] + [LONGEST_WAIT] * 2

    def path(self):
        from django.conf import settings

        return settings.DATA_DIR / "tries.counts"

    def keys(self):
        return keys_of("rosa", address=HOME, device="") | {"name rosa": ONE_ADDRESS}

    def test_whoever_waits_is_told_how_long_and_keeps_the_name(self):
        for _ in range(5):
            self.sign_in("x")
        typed = {"username": "rosa", "password": PASSWORD}
        page = self.client.post(reverse("login"), typed, REMOTE_ADDR=HOME)
        self.assertContains(page, "Wait 2 seconds", status_code=429)
        self.assertContains(page, 'value="rosa"', status_code=429)
        assert page["Retry-After"] == "2"
        self.at += 2
        assert self.sign_in() == 302
        assert [self.sign_in("x") for _ in range(5)] == [422] * 5  # anew

    def test_a_known_device_guesses_no_more_than_a_stranger(self):
        own = Client()
        self.sign_in(browser=own)
        answers = [self.sign_in("x", browser=own) for _ in range(6)]
        assert answers == [422] * 5 + [429]
        # It is known for rosa alone.
        assert [self.sign_in("x", name="mina", browser=own) for _ in range(6)][
            -1
        ] == 429

    def test_a_forged_device_is_a_strange_one(self):
        for n in range(ANYWHERE.free):
            self.sign_in(f"guess {n}", where=f"192.0.2.{n}")
        forged = Client()
        said = {"device": "mine", "people": [self.who.rosa.pk]}
        forged.cookies["device"] = signing.dumps(
            said, key="x" * 50, salt="config.devices"
        )
        assert self.sign_in(browser=forged) == 429

    def test_the_window_of_the_tables_has_no_door_of_its_own(self):
        page = Client().get("/admin/login/?next=/admin/")
        assert page.url == reverse("login") + "?next=/admin/"
        typed = {"username": "rosa", "password": PASSWORD}
        Client().post("/admin/login/", typed)
        assert not Session.objects.exists()
        self.client.force_login(self.who.rosa)
        page = self.client.post("/admin/password_change/")
        assert page.url == reverse("password_change")

    def test_behind_a_socket_without_a_header_visitors_share_no_wait(self):
        for n in range(12):
            self.sign_in(f"guess {n}", where="")
        assert self.sign_in(name="mina", where="") == 302
        assert self.sign_in(where="") == 302  # fewer than from anywhere


@pytest.mark.slow
def test_two_workers_count_together(tmp_path):
    workers = [
        subprocess.Popen(
            [sys.executable, "-c", TRY, str(tmp_path / "tries.counts")],
            cwd=ROOT,
            env=environment(tmp_path) | {"DJANGO_SETTINGS_MODULE": "config.settings"},
            stdout=subprocess.PIPE,
            text=True,
        )
        for _ in range(2)
    ]
    admitted = [int(one.communicate(timeout=120)[0]) for one in workers]
    assert sum(admitted) == ONE_PLACE.free


def test_counts_are_forgotten_and_a_clock_set_back_locks_nobody_out(tmp_path):
    path, keys = tmp_path / "counts", keys_of("rosa", address=HOME, device="")
    for _ in range(5):
        assert begin_try(path, keys, 1e9) == 0
    assert begin_try(path, keys, 1e9) == 2
    assert begin_try(path, keys, 1e9 - 2 * FORGOTTEN_AFTER) == 0
    assert begin_try(path, keys, 1e9 + 2 * FORGOTTEN_AFTER) == 0


def test_a_right_one_leaves_what_strangers_did(tmp_path):
    path = tmp_path / "counts"
    for n in range(ANYWHERE.free):
        begin_try(path, keys_of("rosa", address=f"192.0.2.{n}", device=""), 1e9)
    mine = keys_of("rosa", address=HOME, device="")
    assert begin_try(path, mine, 1e9) > 0
    assert begin_try(path, mine, 1e9 + 2) == 0
    assert begin_try(path, mine, 1e9 + 2) == 4
    was_right(path, mine, 1e9 + 2)
    assert begin_try(path, mine, 1e9 + 2) == 2


def test_a_customer_s_whole_ipv6_network_is_one_place():
    one, other = (
        keys_of("rosa", address=f"2001:db8:0:{net}::7", device="") for net in (1, 2)
    )
    assert one == keys_of("rosa", address="2001:db8:0:1:ffff::1", device="")
    assert one != other


def test_a_full_disk_closes_no_door(tmp_path, caplog):
    assert begin_try(tmp_path, keys_of("rosa", address=HOME, device=""), 1e9) == 0
    assert "not counted" in caplog.text


@pytest.mark.parametrize(
    ("trusted", "remote", "forwarded", "seen"),
    [
        (["10.0.0.0/8"], "127.0.0.1", "192.0.2.7", "127.0.0.1"),
        (["10.0.0.0/8"], "10.1.1.1", "6.6.6.6, 192.0.2.7", "192.0.2.7"),
        (["10.0.0.0/8"], "10.1.1.1", "6.6.6.6, 192.0.2.7, 10.2.2.2", "192.0.2.7"),
        (["10.0.0.0/8"], "", "192.0.2.7", None),
        (["unix"], "", "192.0.2.7", "192.0.2.7"),
        (["unix"], "", None, None),
        ([], "127.0.0.1", "192.0.2.7", "127.0.0.1"),
        (["::1"], "::1", "::ffff:192.0.2.7", "192.0.2.7"),
    ],
)
def test_only_configured_proxies_are_believed(trusted, remote, forwarded, seen):
    extra = {} if forwarded is None else {"HTTP_X_FORWARDED_FOR": forwarded}
    request = RequestFactory().get("/", REMOTE_ADDR=remote, **extra)
    with override_settings(TRUSTED_PROXIES=trusted):
        assert client_address(request) == seen
