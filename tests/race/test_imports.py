"""Twenty confirmations of one file at once, and twenty undos: one effect each.

A row is used or retired, never both, whoever comes first.
"""

import json

import pytest

from tests.sizes import cases

pytestmark = [pytest.mark.database, pytest.mark.processes, pytest.mark.slow]

AT_ONCE = cases(5, 20)

RACE = """
import json, logging, sys, threading, uuid
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection, transaction
from django.test import Client
from django.test.utils import setup_test_environment
from django.urls import reverse
from inventory.actions.core.events import record_event
from inventory.models import Deposit, Entry, Event, ListImport
from tests.making import ARRIVED, make_supplier
from tests.people import cast, make_person

setup_test_environment()
logging.disable()
COUNT = int(sys.argv[1])
with transaction.atomic():  # the event seals the rows that no act made
    who = cast()
    make_supplier(name="Teal Tillage")
    people = [make_person(f"abel{n}", f"Abel {n}", (who.riverside, "accounting"))
              for n in range(COUNT)]
    record_event(kind="password.changed", at=ARRIVED, actor=None, location=None,
                 subjects=[], data={})

FILE = b'''Supplier,Invoice number,Invoice date,Open as of,Crates,Deposit per crate
Teal Tillage,TT-1,2026-01-12,2026-02-28,2,185.00
Teal Tillage,TT-2,2026-01-19,2026-02-28,1,60.50
'''
page = reverse("import_opening_deposits")
shown = []
for person in people:
    browser = Client()
    browser.force_login(person)
    preview = browser.post(page, {"location": who.riverside.pk,
                                  "sheet": SimpleUploadedFile("a.csv", FILE)})
    shown.append((person, preview.context["form"].initial["signed"]))

def at_once(send):
    answers, start = [], threading.Barrier(COUNT)
    def one(person, signed):
        browser = Client(raise_request_exception=False)
        browser.force_login(person)
        start.wait()
        answer = send(browser, signed)
        answers.append([answer.status_code, answer.get("Location", "")])
        connection.close()
    threads = [threading.Thread(target=one, args=pair) for pair in shown]
    for thread in threads: thread.start()
    for thread in threads: thread.join()
    return answers

took = at_once(lambda browser, signed: browser.post(
    page, {"signed": signed, "once": str(uuid.uuid4())}))
made = [ListImport.objects.count(), Deposit.objects.count(),
        Entry.objects.filter(kind="opening").count(),
        Event.objects.filter(kind="list.imported").count()]
row = ListImport.objects.get()
undid = at_once(lambda browser, signed: browser.post(
    reverse("undo_list_import", args=[row.pk]), {"version": "1", "reason": "Twice"}))
left = [Entry.objects.filter(kind="reversal").count(),
        Event.objects.filter(kind="list.undone").count(),
        Deposit.objects.filter(is_withdrawn=False).count()]
print(json.dumps({"took": took, "made": made, "undid": undid, "left": left}))
"""


def test_many_confirmations_and_many_undos_have_one_effect_each(site):
    out, err = site.python(RACE, str(AT_ONCE)).communicate(timeout=600)
    assert out, err
    told = json.loads(out.splitlines()[-1])

    # Two crates of the first row and one of the second: three deposits.
    assert told["made"] == [1, 3, 3, 1]
    assert {tuple(one) for one in told["took"]} == {(302, told["took"][0][1])}
    assert told["left"] == [3, 1, 0]
    statuses = sorted(status for status, _page in told["undid"])
    assert statuses == [302] + [422] * (AT_ONCE - 1)
    assert "All well" in site.manage("verify", check=False).stdout


USED_OR_RETIRED = """
import json, logging, random, sys, threading, time, uuid
from datetime import timedelta
from unittest.mock import patch
from django.db import connection, transaction
from django.test import Client
from django.test.utils import setup_test_environment
from django.urls import reverse
from django.utils import timezone
from inventory.actions.core import events
from inventory.actions.imports import undoing
from inventory.models import Delivery, ListImport
from tests.making import ARRIVED, make_list_import
from tests.people import cast

setup_test_environment()
logging.disable()
COUNT = int(sys.argv[1])
with transaction.atomic():  # the event seals the rows that no act made
    who = cast()
    rows = [make_list_import(who.ada) for _ in range(COUNT)]
    events.record_event(kind="password.changed", at=ARRIVED, actor=None, location=None,
                        subjects=[], data={})

def slowly(lock_chain):
    def wait_and_lock():
        time.sleep(random.random() / 10)  # so that either comes first, in any of its steps
        lock_chain()
    return wait_and_lock

def send(person, url, fields, key, told):
    browser = Client(raise_request_exception=False)
    browser.force_login(person)
    start.wait()
    told[key] = browser.post(url, fields).status_code
    connection.close()

logged, undone, threads = {}, {}, []
start = threading.Barrier(2 * COUNT)
for row in rows:
    carrier = row.rows.get().key
    past = timezone.now() - timedelta(days=1)  # at every location, whatever its hour
    truck = {"carrier": carrier, "arrived_at": f"{past:%Y-%m-%d 00:01}",
             "once": str(uuid.uuid4())}
    threads.append(threading.Thread(target=send, args=(
        who.rosa, reverse("log_delivery"), truck, row.pk, logged)))
    threads.append(threading.Thread(target=send, args=(
        who.ada, reverse("undo_list_import", args=[row.pk]),
        {"version": "1", "reason": "Wrong"}, row.pk, undone)))
with (patch.object(events, "lock_chain", slowly(events.lock_chain)),
      patch.object(undoing, "lock_chain", slowly(undoing.lock_chain))):
    for thread in threads: thread.start()
    for thread in threads: thread.join()
print(json.dumps([[logged[row.pk], undone[row.pk],
    Delivery.everything.filter(carrier=row.rows.get().key).count(),
    ListImport.objects.get(pk=row.pk).undone_at is not None] for row in rows]))
"""


def test_what_is_used_is_not_retired_and_what_is_retired_is_not_used(site):
    out, err = site.python(USED_OR_RETIRED, str(cases(6, 20))).communicate(timeout=600)
    assert out, err
    told = json.loads(out.splitlines()[-1])

    used, retired = [302, 422, 1, False], [422, 302, 0, True]
    assert [one for one in told if one not in (used, retired)] == []
    assert "All well" in site.manage("verify", "--rows-only", check=False).stdout
