"""Kill real writers at random moments: nothing acknowledged may be lost or torn."""

import os

import pytest

from tests import buckets
from tests.crash.machine import run_program
from tests.crash.table import put
from tests.crash.writers import Tally
from tests.sizes import cases

pytestmark = [pytest.mark.database, pytest.mark.processes]

SEED = 20_261_125
WHOLE_BUCKET = 200 if not os.environ.get("CI") else 10


def killed(site, kills):
    return Tally(**run_program(site, "tests.crash.writers", kills, SEED))


def assert_nothing_lost(tally, site):
    assert (tally.lost, tally.torn) == (0, 0), tally.notes
    assert tally.acknowledged > tally.stops / 2
    # Each writer may have died between a row and its answer; both send again.
    assert tally.not_yet_acknowledged <= 2
    # Each photo was answered before it was read: its reading came all the same.
    assert tally.pictures > 0
    assert tally.unread == 0
    sealed = site.manage("verify", check=False)
    assert "All well" in sealed.stdout, sealed.stdout + sealed.stderr


@pytest.mark.slow
def test_fifty_random_kills_lose_nothing(site):
    tally = killed(site, cases(8, 50))
    put("random kills", tally)

    assert_nothing_lost(tally, site)


@pytest.fixture
def bucket_site(site, monkeypatch):
    """Return what lays the same site's originals into a bucket at these addresses."""

    def laid(environment):
        for name, value in environment.items():
            monkeypatch.setenv(name, value)
        site.env |= environment | {"EVIDENCE_HOME": buckets.make_bucket()}
        return site

    return laid


@pytest.mark.slow
def test_two_hundred_random_kills_lose_nothing_in_a_bucket(bucket_site, moto):
    site = bucket_site(moto.environment)
    tally = killed(site, cases(6, WHOLE_BUCKET))
    put("random kills, bucket", tally)

    assert_nothing_lost(tally, site)
    assert not (site.folder / "originals").exists()


@pytest.mark.swift
def test_twenty_random_kills_lose_nothing_in_swift(bucket_site, swift):
    site = bucket_site(swift.environment | {"AWS_ENDPOINT_URL": swift.url})
    tally = killed(site, 20)
    put("random kills, Swift", tally)

    assert_nothing_lost(tally, site)
    assert not (site.folder / "originals").exists()


@pytest.mark.crash
def test_five_hundred_random_kills_lose_nothing(site):
    tally = killed(site, 500)
    put("random kills", tally)

    assert_nothing_lost(tally, site)
