"""Eight processes write at once; the chain stays one."""

import os

import pytest

from tests.sizes import cases

PROCESSES = 8
EVENTS = int(os.environ.get("EVENTS") or cases(400, 2000)) // PROCESSES * PROCESSES

pytestmark = [pytest.mark.database, pytest.mark.processes]

WRITER = """
import sys
from datetime import datetime, UTC
from django.db import transaction
from inventory.actions.core.events import record_event
for number in range(int(sys.argv[1])):
    with transaction.atomic():
        record_event(kind="password.changed", at=datetime(2026, 3, 1, tzinfo=UTC),
                     actor=None, location=None, subjects=[], data={"n": number})
"""


@pytest.mark.slow
def test_eight_processes_leave_one_unbroken_chain(site):
    each = str(EVENTS // PROCESSES)
    workers = [site.python(WRITER, each) for _ in range(PROCESSES)]
    told = [worker.communicate()[1] for worker in workers]

    assert [worker.returncode for worker in workers] == [0] * PROCESSES, told
    assert f"All well: {EVENTS} events" in site.manage("verify").stdout
