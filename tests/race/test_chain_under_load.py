"""Eight processes write at once; the chain stays one."""

import pytest

pytestmark = [pytest.mark.database, pytest.mark.processes]

WRITER = """
import sys
from datetime import datetime, UTC
from django.db import transaction
from inventory.actions.events import record_event
for number in range(int(sys.argv[1])):
    with transaction.atomic():
        record_event(kind="password.changed", at=datetime(2026, 3, 1, tzinfo=UTC),
                     actor=None, location=None, subjects=[], data={"n": number})
"""


def test_eight_processes_leave_one_unbroken_chain(site):
    workers = [site.python(WRITER, "250") for _ in range(8)]
    told = [worker.communicate()[1] for worker in workers]

    assert [worker.returncode for worker in workers] == [0] * 8, told
    assert "All well: 2000 events" in site.manage("verify").stdout
