"""Limits hold for a person and an address, over all workers, without a query."""

import subprocess
import sys

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import TestCase
from django.urls import reverse

from config.limits import ADDRESS_FACTOR, WINDOW, count_in
from tests.making import make_delivery
from tests.people import cast
from tests.pictures import jpeg
from tests.prepared import ROOT, environment

COUNT = """
import sys, django
django.setup()
from pathlib import Path
from config.limits import count_in
print(max(count_in(Path(sys.argv[1]), "searches by rosa", 1e9) for _ in range(500)))
"""


@pytest.mark.database
class LimitTests(TestCase):
    @pytest.fixture(autouse=True)
    def _limits(self, settings, tmp_path, monkeypatch):
        self.settings = settings
        settings.DATA_DIR = tmp_path
        settings.LIMITS = {"uploads": 2, "exports": 2, "searches": 2, "packets": 2}
        self.at = 1e9
        monkeypatch.setattr("config.limits.time.time", lambda: self.at)

    @classmethod
    def setUpTestData(cls):
        cls.who = cast()
        cls.truck = make_delivery(location=cls.who.riverside)

    def asked(self, person, address, where="192.0.2.7", times=1):
        self.client.force_login(person)
        for _ in range(times):
            answer = self.client.get(address, REMOTE_ADDR=where)
        return answer

    def test_a_person_over_the_limit_waits_and_others_do_not(self):
        for address in (reverse("search") + "?q=a", reverse("crates") + "?as=csv"):
            with self.subTest(address=address):
                assert self.asked(self.who.rosa, address, times=2).status_code == 200
                refused = self.asked(self.who.rosa, address)
                self.assertContains(refused, "Too many at once", status_code=429)
                assert 0 < int(refused["Retry-After"]) <= WINDOW
                # From another address the person is still known.
                other = self.asked(self.who.rosa, address, where="192.0.2.8")
                assert other.status_code == 429
                assert self.asked(self.who.mina, address).status_code == 200
        self.at += WINDOW
        assert self.asked(self.who.rosa, address).status_code == 200

    def test_an_address_over_its_limit_waits_though_its_people_change(self):
        path, page = (
            self.settings.DATA_DIR / "limits.counts",
            reverse("search") + "?q=a",
        )
        for _ in range(2 * ADDRESS_FACTOR):
            count_in(path, "searches from 192.0.2.7", self.at)
        assert self.asked(self.who.mina, page).status_code == 429
        assert self.asked(self.who.mina, page, where="192.0.2.9").status_code == 200

    def test_a_refused_photo_keeps_the_words_beside_it(self):
        self.client.force_login(self.who.rosa)
        address = f"{reverse('add_evidence')}?delivery={self.truck.pk}"
        for _ in range(3):
            photo = SimpleUploadedFile("photo.jpg", jpeg(), "image/jpeg")
            answer = self.client.post(
                address, {"photos": [photo], "caption": "The torn corner"}
            )
        self.assertContains(answer, "still on your phone", status_code=429)
        self.assertContains(answer, "The torn corner", status_code=429)

    def test_pages_that_are_not_limited_never_are(self):
        page = self.asked(self.who.rosa, reverse("dock"), times=5)
        assert page.status_code == 200

    def test_a_file_that_cannot_be_written_closes_no_door(self):
        (self.settings.DATA_DIR / "limits.counts").mkdir()
        with self.assertLogs("config.limits", "WARNING"):
            page = self.asked(self.who.rosa, reverse("search") + "?q=a", times=4)
        assert page.status_code == 200


@pytest.mark.slow
def test_two_workers_count_together(tmp_path):
    file = tmp_path / "limits.counts"
    workers = [
        subprocess.Popen(
            [sys.executable, "-c", COUNT, str(file)],
            cwd=ROOT,
            env=environment(tmp_path) | {"DJANGO_SETTINGS_MODULE": "config.settings"},
            stdout=subprocess.PIPE,
            text=True,
        )
        for _ in range(2)
    ]
    highest = max(int(one.communicate(timeout=120)[0]) for one in workers)
    assert highest == 1000


def test_the_defaults_let_the_busiest_hour_pass():
    from config import settings as shipped

    assert shipped.LIMITS["uploads"] >= 40 * 20  # forty photos, twenty times over


def test_many_keys_never_share_a_count(tmp_path):
    file = tmp_path / "limits.counts"
    assert {count_in(file, f"searches by {n}", 1e9) for n in range(500)} == {1}
