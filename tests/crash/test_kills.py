"""Kill real writers at random moments: nothing acknowledged may be lost or torn."""

import json

import pytest

from tests.crash.table import put
from tests.crash.writers import Tally

pytestmark = [pytest.mark.database, pytest.mark.processes]

SEED = 20_261_125


def killed(site, kills):
    source = "import sys; from tests.crash.writers import main; main(*sys.argv[1:])"
    out, err = site.python(source, str(kills), str(SEED)).communicate()
    assert out, err
    return Tally(**json.loads(out))


def assert_nothing_lost(tally, site):
    assert (tally.lost, tally.torn) == (0, 0), tally.notes
    # Each photo acknowledged has one row; at most one a kill waits for its answer.
    assert tally.acknowledged >= tally.stops
    assert tally.not_yet_acknowledged <= 2
    assert "All well" in site.manage("verify").stdout


def test_fifty_random_kills_lose_nothing(site):
    tally = killed(site, 50)
    put("random kills", tally)

    assert_nothing_lost(tally, site)


@pytest.mark.crash
def test_five_hundred_random_kills_lose_nothing(site):
    tally = killed(site, 500)
    put("random kills", tally)

    assert_nothing_lost(tally, site)
