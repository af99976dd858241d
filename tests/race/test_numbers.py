"""Eight at once begin returns at one dock: each gets its number, none is refused."""

import json

import pytest

from tests.race.test_memos import WORKERS, output, race

pytestmark = [pytest.mark.database, pytest.mark.processes]

EACH = 5

PREPARE = """
import json
from django.db import transaction
from inventory.actions.core.events import record_event
from tests.returning import AT, begin, make_stage
from inventory.models import CrateReturn
with transaction.atomic():  # the event seals the rows that no act made
    book = make_stage(crates=1)
    CrateReturn.objects.create(
        location=book.location, supplier=book.supplier, number="RIV-2026-0003", currency="USD",
        made_at=AT, made_by=book.who.rosa)
    record_event(kind="password.changed", at=AT, actor=None, location=None,
                 subjects=[], data={})
print(json.dumps({
    "people": [book.who.rosa.pk, book.who.mina.pk],
    "book": [book.location.pk, book.supplier.pk]}))
"""

BEGIN = f"""
from inventory.actions.returns.staging import make_return
from inventory.models import Location, Supplier
place, supplier = made["book"]
print(json.dumps([make_return(
    location=Location.objects.get(pk=place),
    supplier=Supplier.objects.get(pk=supplier),
    person=person, at=AT, today=DAY).number for _ in range({EACH})]))
"""


def test_every_return_gets_a_number_of_its_own(site):
    made = json.loads(output(site.python(PREPARE)))
    told = race(site, made, BEGIN)

    last = 3 + WORKERS * EACH
    assert sorted(told) == [f"R-RIV-2026-{n:04d}" for n in range(4, last + 1)]
