"""Working programs that run at once, and one that is killed over a mail."""

import os
import signal
import time
from collections import Counter

import pytest

from tests.mail_server import mail_server
from tests.race.test_memos import output

pytestmark = [pytest.mark.database, pytest.mark.processes]

COUNT = 24

PREPARE = f"""
from datetime import UTC, datetime
from django.db import transaction
from tests import making
from tests.mailing import put_mail
from tests.people import cast
from inventory.actions.core.events import record_event
AT = datetime(2026, 11, 26, 15, 0, tzinfo=UTC)
with transaction.atomic():  # the event seals the rows that no act made
    who = cast()
    bill = making.make_shipment(location=who.riverside)
    record_event(kind="password.changed", at=AT, actor=None, location=None,
                 subjects=[], data={{}})
for number in range({COUNT}):
    put_mail(bill, person=who.mina, at=AT, to=f"m{{number}}@gannet.example")
print("ready")
"""

LEFT = """
from inventory.models import OutgoingMail
print(OutgoingMail.objects.filter(state="taken").count())
"""


def sending_through(site, server, **more):
    """Have the processes of this site send through this server."""
    site.env |= {
        "EMAIL_HOST": "127.0.0.1",
        "EMAIL_PORT": str(server.port),
        "EMAIL_USE_TLS": "off",
        **more,
    }


def works_until_all_are_taken(site, workers, seconds=60):
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        if int(output(site.python(LEFT))) == COUNT:
            break
        time.sleep(0.5)
    for one in workers:
        os.kill(one.pid, signal.SIGTERM)
    for one in workers:
        told = one.communicate(timeout=30)[1]
        assert one.returncode == 0, told


def test_four_working_programs_send_each_mail_once(site):
    with mail_server() as server:
        sending_through(site, server)
        output(site.python(PREPARE))
        workers = [
            site.python(
                "from django.core.management import call_command as run; run('work')"
            )
            for _ in range(4)
        ]
        works_until_all_are_taken(site, workers)

    assert int(output(site.python(LEFT))) == COUNT
    assert sorted(Counter(server.taken).values()) == [1] * COUNT
    assert site.manage("verify", check=False).returncode == 0


def test_killed_over_a_mail_it_is_sent_again_and_no_other_is_doubled(site):
    """The server takes the fifth mail and stalls; the program is killed meanwhile."""
    with mail_server(["take"] * 4 + ["hang"], stall_seconds=30) as server:
        sending_through(site, server, MAIL_LEASE_SECONDS="1")
        output(site.python(PREPARE))
        run = "from django.core.management import call_command as run; run('work')"
        first = site.python(run)
        until = time.monotonic() + 60
        while len(server.taken) < 5 and time.monotonic() < until:
            time.sleep(0.1)
        first.kill()
        first.communicate(timeout=30)
        works_until_all_are_taken(site, [site.python(run)])

    counts = Counter(server.taken)
    assert len(counts) == COUNT
    assert sorted(counts.values()) == [1] * (COUNT - 1) + [2]
