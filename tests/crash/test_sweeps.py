"""A sweep may come at any step of an upload; it never takes a file from its row."""

from datetime import UTC, datetime, timedelta

import pytest
from django.db import transaction

from inventory.evidence.store import sweep as sweeping
from inventory.evidence.store.homes import home
from tests.crash.effects import Fault
from tests.crash.uploads import LossError

pytestmark = [pytest.mark.database, pytest.mark.django_db]

# Two days on: what was just written is an old draft, or an orphan for long.
LATER = datetime.now(UTC) + timedelta(days=2)


def an_orphan(bench):
    """Return a photo whose bytes lie in the store while no row names them."""
    sent, disk = bench.prepared("new folder")
    bench.send(sent, disk)
    first_row = next(n for n, name in enumerate(disk.steps) if name.startswith("sql"))
    sent, disk = bench.prepared("new folder", Fault(first_row, "stop"))
    assert bench.send(sent, disk) == "stopped"
    assert "orphan" in bench.look(sent, disk)
    return sent, disk


def calls_of(bench):
    """Return the numbers of the system calls when an orphan is sent again."""
    sent, disk = an_orphan(bench)
    disk.begin()
    assert bench.send(sent, disk) == "acknowledged"
    return [n for n, name in enumerate(disk.steps) if not name.startswith("sql")]


def the_sweep(_sent):
    sweeping.sweep(at=LATER)


def only_the_orphan(sent):
    sweeping._set_aside(sent.sha256)


@pytest.mark.slow
@pytest.mark.parametrize("visitor", [the_sweep, only_the_orphan])
def test_a_sweep_at_any_call_takes_no_file_from_its_row(bench, visitor):
    answers = set()
    for step in calls_of(bench):
        sent, disk = an_orphan(bench)
        disk.begin(Fault(step, "visit"), lambda sent=sent: visitor(sent))
        answers.add(bench.send(sent, disk).partition(":")[0])
        bench.look(sent, disk)
        disk.begin()
        assert bench.send(sent, disk) == "acknowledged", step
        assert bench.look(sent, disk) == {"acknowledged"}, step
    assert "acknowledged" in answers


def test_a_sweep_stopped_at_any_call_loses_no_bytes(bench):
    """The orphan lies under its own name, in quarantine, or both."""
    sent, disk = an_orphan(bench)
    for step in range(20):
        sent, disk = an_orphan(bench)
        disk.begin(Fault(step, "stop"))
        with disk.behind_the_seam(bench.patch), pytest.raises(BaseException) as ended:
            the_sweep(sent)
            raise KeyboardInterrupt
        for state in disk.left_by_power_cuts():
            assert sent.data in state.values(), step
        if ended.type is KeyboardInterrupt:
            break
    assert step > 4


def test_a_sweep_that_does_not_look_for_a_row_is_found_out(bench):
    sent, disk = bench.prepared("new folder")
    assert bench.send(sent, disk) == "acknowledged"

    with disk.behind_the_seam(bench.patch), transaction.atomic():
        home().set_aside(sent.sha256)

    with pytest.raises(LossError, match="no file"):
        bench.look(sent, disk)
