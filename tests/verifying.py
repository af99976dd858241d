"""What a verification finds in the tests' own database."""

import json

from django.db import connection

from inventory.actions.core.events import record_event
from inventory.evidence.seal.chain_check import Walk, walk_chain
from inventory.evidence.seal.snapshots import snapshot
from inventory.evidence.seal.verification import verify
from inventory.evidence.store import originals as store
from inventory.models import Event
from inventory.triggers import drop_triggers, make_triggers
from tests.making import ARRIVED


def report_now(*, with_originals=True):
    """Verify everything; return the report."""
    with snapshot() as moment:
        reading = store.read_original if with_originals else None
        return verify(moment, read_original=reading)


def chain_faults_now():
    """Walk the chain alone; rows that tests made by hand are known to no event."""
    with snapshot() as moment:
        return list(walk_chain(moment, Walk(lambda _event, _rows: None)))


def record(count):
    """Record events that write no row."""
    for number in range(count):
        record_event(
            kind="password.changed",
            at=ARRIVED,
            actor=None,
            location=None,
            subjects=[],
            data={"n": number},
        )


def behind_the_back(sql, *values):
    """Change the database as someone with its file could."""
    drop_triggers(connection)
    with connection.cursor() as cursor:
        cursor.execute(sql, values)
    make_triggers(connection)


def last_image_of(row):
    """Return what the chain last sealed of this row."""
    noun_and_key = [row._meta.model_name, str(row.pk)]
    for event in Event.objects.order_by("-sequence"):
        for *about, image in json.loads(event.body)["rows"]:
            if about == noun_and_key:
                return image
    raise AssertionError(f"No event sealed {row!r}.")
