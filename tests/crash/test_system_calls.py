"""Kill or refuse at every system call of one real upload; no word of loss may come."""

import pytest

from tests.crash.machine import needs_strace, run_program
from tests.crash.table import put
from tests.crash.writers import Tally

pytestmark = [pytest.mark.crash, pytest.mark.database, pytest.mark.processes]


def walked(site, what):
    needs_strace()
    told = run_program(site, "tests.crash.traced", what)
    return Tally(**told["tally"]), told["ends"], told["names"]


def test_a_kill_at_every_system_call_leaves_an_allowed_state(site):
    tally, ends, names = walked(site, "kill")
    put("kill at every system call", tally, ends=ends)

    assert (tally.lost, tally.torn, tally.notes) == (0, 0, [])
    assert {"fsync", "write", "pwrite64", "unlink"} <= set(names)
    # It was stopped before anything, with an orphan, and after the row.
    assert {"nothing", "temporary only", "orphan"} <= set(ends)


@pytest.mark.parametrize("refusal", ["EIO", "ENOSPC"])
def test_a_refusal_at_every_call_is_told_and_leaves_no_torn_file(site, refusal):
    tally, ends, names = walked(site, refusal)
    put(f"{refusal} at every {', '.join(names)}", tally, ends=ends)

    assert (tally.lost, tally.torn, tally.notes) == (0, 0, [])
    assert {"nothing", "orphan"} <= set(ends)
