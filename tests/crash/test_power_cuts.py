"""Cut the power under two writers: what was acknowledged is there afterwards."""

import pytest

from tests.crash.machine import needs_loop, run_program
from tests.crash.table import put
from tests.crash.writers import Tally

pytestmark = [pytest.mark.crash, pytest.mark.database, pytest.mark.processes]

SEED = 20_261_125


def cut(site, *words):
    needs_loop()
    return Tally(**run_program(site, "tests.crash.power", *words, alone=True))


def test_twenty_five_power_cuts_lose_nothing(site):
    tally = cut(site, 25, SEED)
    put("power cuts on ext4", tally)

    assert (tally.lost, tally.torn) == (0, 0), tally.notes
    assert tally.acknowledged > tally.stops


def test_a_store_that_does_not_sync_is_found_out(site):
    tally = cut(site, 3, SEED, "forgetful")
    put("power cuts, syncs left out on purpose", tally)

    assert tally.lost + tally.torn > 0
