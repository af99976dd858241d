"""Twenty who each start another return at once, while trucks are logged there too."""

import json

import pytest

pytestmark = [pytest.mark.database, pytest.mark.processes]

AT_ONCE = 20

RACE = """
import json, logging, sys, threading, uuid
from django.db import connection, transaction
from django.test import Client
from django.test.utils import setup_test_environment
from django.urls import reverse
from inventory.actions.core.events import record_event
from inventory.models import CrateReturn
from tests.making import ARRIVED, make_carrier, make_supplier
from tests.people import cast

setup_test_environment()
logging.disable()
with transaction.atomic():  # the event seals the rows that no act made
    who, supplier, carrier = cast(), make_supplier(), make_carrier()
    record_event(kind="password.changed", at=ARRIVED, actor=None, location=None,
                 subjects=[], data={})
count, answers = int(sys.argv[1]), []
start = threading.Barrier(2 * count)
truck = {"carrier": carrier.pk, "arrived_at": "2026-03-10 09:15"}

def send(name, data):
    browser = Client(raise_request_exception=False)
    browser.force_login(who.rosa)
    start.wait()
    told = browser.post(reverse(name), data | {"once": str(uuid.uuid4())})
    answers.append([name, told.status_code])
    connection.close()

forms = [("make_return", {"supplier": supplier.pk}), ("log_delivery", truck)]
threads = [threading.Thread(target=send, args=form) for form in forms * count]
for thread in threads:
    thread.start()
for thread in threads:
    thread.join()
numbers = CrateReturn.objects.order_by("number").values_list("number", flat=True)
print(json.dumps({"answers": answers, "numbers": list(numbers)}))
"""


def test_twenty_different_returns_at_once_get_twenty_numbers(site):
    out, err = site.python(RACE, str(AT_ONCE)).communicate(timeout=300)
    assert out, err
    told = json.loads(out.splitlines()[-1])

    wanted = [["log_delivery", 302]] * AT_ONCE + [["make_return", 302]] * AT_ONCE
    assert sorted(told["answers"]) == wanted
    ends = [int(number.rpartition("-")[2]) for number in told["numbers"]]
    assert ends == list(range(1, AT_ONCE + 1))
    assert "All well" in site.manage("verify").stdout
