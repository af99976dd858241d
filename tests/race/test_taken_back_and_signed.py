"""A receipt is signed while others take its truck, bill or crate back: one of them wins."""

import json

import pytest

from tests.race.test_memos import WORKERS, output, race

pytestmark = [pytest.mark.database, pytest.mark.processes]

PREPARE = """
import json
from django.db import transaction
from inventory.actions.core.events import record_event
from inventory.actions.receiving.shipments import BillAtDock, add_bill
from inventory.models import Crate
from tests import making
from tests.people import cast
from tests.returning import AT
with transaction.atomic():  # the event seals the rows that no act made
    who = cast()
    truck = making.make_delivery(location=who.riverside, arrived_at=AT, arrived_on=AT.date())
    supplier = making.make_supplier()
    record_event(kind="password.changed", at=AT, actor=None, location=None,
                 subjects=[], data={})
bills = [add_bill(person=who.rosa, at=AT, delivery=truck, bill=BillAtDock(
    pro_number=f"PRO{n}", pieces_billed=2, piece_unit="crate", pieces_counted=2,
    crates=2, supplier=supplier)).pk for n in (1, 2)]
crates = Crate.objects.filter(shipment__handovers=bills[0])
truck.refresh_from_db()
print(json.dumps({
    "people": [who.rosa.pk, who.mina.pk], "truck": truck.pk, "version": truck.version,
    "bills": bills, "crates": list(crates.values_list("pk", flat=True))}))
"""

RACE = """
from claims.actions.receiving.signing import Signature, sign_bills
from claims.actions.receiving.withdrawals import (
    withdraw_bill, withdraw_crate, withdraw_delivery)
from inventory.models import Crate, Delivery, Handover
why = {"person": person, "at": AT, "reason": "Logged by mistake."}
def act(which):
    truck = Delivery.objects.select_related("location", "carrier").get(pk=made["truck"])
    bill = Handover.objects.select_related("shipment", "delivery").get(pk=made["bills"][0])
    crate = Crate.objects.select_related("shipment", "delivery").get(pk=made["crates"][0])
    acts = {
        "truck": lambda: withdraw_delivery(delivery=truck, version=truck.version, **why),
        "bill": lambda: withdraw_bill(handover=bill, version=bill.version, **why),
        "crate": lambda: withdraw_crate(crate=crate, version=crate.version, **why),
        "sign": lambda: sign_bills(
            person=person, at=AT, delivery=truck, version=truck.version,
            answers={pk: Signature("signed", "Ira Boll", "both") for pk in made["bills"]}),
    }
    return tell(acts[which])
which = "sign" if number % 2 else made["what"]
def told():
    try:
        return act(which)
    except (Delivery.DoesNotExist, Handover.DoesNotExist, Crate.DoesNotExist):
        return "gone"  # before the act or within it: whoever comes late finds none
print(json.dumps([[which, told()]]))
"""

CHECK = """
import json
from tests.verifying import behind_the_back, report_now
from inventory.models import Crate, Delivery, Event, Handover
truck = Delivery.everything.get()
faults = report_now(with_originals=False).first
print(json.dumps({
    "signed": truck.is_signed, "withdrawn": truck.is_withdrawn,
    "bills signed": Handover.objects.filter(signed_at__isnull=False).count(),
    "bills": Handover.objects.count(), "crates": Crate.objects.count(),
    "gone and signed": Handover.everything.filter(
        signed_at__isnull=False, withdrawn_at__isnull=False).count(),
    "taken back": Event.objects.filter(kind__in=[
        "delivery.withdrawn", "shipment.withdrawn", "crate.withdrawn"]).count(),
    "faults": list(faults)}))
"""


@pytest.fixture
def made(site):
    return json.loads(output(site.python(PREPARE)))


@pytest.mark.parametrize("what", ["truck", "bill", "crate"])
def test_signing_and_taking_back_at_the_same_moment_never_both_happen(site, made, what):
    told = race(site, made | {"what": what}, RACE)

    held = json.loads(output(site.python(CHECK)))
    done = [which for which, word in told if word == "done"]
    assert len(told) == WORKERS
    assert all(w in {"done", "gone"} or "Nothing was" in w for _, w in told), told
    assert held["faults"] == []
    assert held["gone and signed"] == 0
    assert held["taken back"] == done.count(what) <= 1
    assert done.count("sign") <= 1
    if what == "truck":
        assert done in (["truck"], ["sign"]), told
        assert held["withdrawn"] == (done == ["truck"])
    assert held["signed"] == (done.count("sign") == 1)
    if held["signed"]:
        assert held["bills signed"] == held["bills"]
