"""Eight at once record the carrier's payment: it is counted once, never too much."""

import json

import pytest

from tests.race.test_memos import WORKERS, output, race

pytestmark = [pytest.mark.database, pytest.mark.processes]

PREPARE = """
import json
from django.db import transaction
from inventory.actions.core.events import record_event
from tests.claims.acts import calls_of
from tests.claims.stage import claim_it, set_stage, second_finding, step
from tests.people import cast
with transaction.atomic():  # the event seals the rows that no act made
    people = cast()
    stage = set_stage(people)
    other = second_finding(stage)
    record_event(kind="password.changed", at=stage.finding.recorded_at, actor=None,
                 location=None, subjects=[], data={})
claim = claim_it(people, stage)
calls_of(claim)["send"](step(people, claim))
claim.refresh_from_db()
print(json.dumps({"people": [people.abel.pk, people.mina.pk], "claim": claim.pk,
                  "bill": stage.shipment.pk, "finding": other.pk,
                  "version": claim.version}))
"""

PAY = """
from claims.actions.claim.payments import Received, record_payment
from claims.actions.claim.steps import Step
from claims.models import Claim
from inventory.actions.core.versions import RefusedError, StaleRowError
told = []
for again in range(3):
    claim = Claim.objects.get(pk=made["claim"])
    try:
        record_payment(
            claim=claim,
            received=Received(60_000, "check", "Check 1"),
            step=Step(person=person, at=AT, today=DAY, version=claim.version, on=DAY),
        )
        told.append("paid")
    except StaleRowError:
        told.append("stale")
    except RefusedError as error:
        told.append("more" if "more than the balance" in str(error) else str(error))
print(json.dumps(told))
"""

CLAIM = """
from claims.actions.claim.making import Pick, make_claim
from claims.models import Finding
from inventory.actions.core.versions import RefusedError
from inventory.models import Shipment
try:
    make_claim(
        shipment=Shipment.objects.get(pk=made["bill"]),
        picks=[Pick(Finding.objects.get(pk=made["finding"]), "repair")],
        claimant="us", basis="invoice", person=person, at=AT, today=DAY)
    told = "made"
except RefusedError as error:
    told = "taken" if "already in claim" in str(error) else str(error)
print(json.dumps([told]))
"""

CHECK = """
import json
from claims.models import Claim, ClaimLine, ClaimPayment
from claims.queries.core.payments import claim_money
print(json.dumps([
    [claim_money(row).paid_cents for row in Claim.objects.order_by("pk")],
    ClaimPayment.objects.count(), ClaimLine.objects.filter(holds=True).count()]))
"""


@pytest.fixture
def made(site):
    return json.loads(output(site.python(PREPARE)))


def test_a_claim_is_paid_once(site, made):
    told = race(site, made, PAY)

    assert told.count("paid") == 1
    assert set(told) <= {"paid", "stale", "more"}
    assert json.loads(output(site.python(CHECK))) == [[60_000], 1, 1]


def test_a_finding_gets_into_one_claim(site, made):
    told = race(site, made, CLAIM)

    assert sorted(told) == ["made", *["taken"] * (WORKERS - 1)]
    assert json.loads(output(site.python(CHECK))) == [[0, 0], 0, 2]
