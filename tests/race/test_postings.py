"""Eight at once on the ledger: each fact is posted once, and nothing goes crooked.

``POSTINGS`` is how many postings the last test makes: 400, in the whole form 2,000, or
100,000 under ``make test-postings``.
"""

import json
import os
import sys
import time

import pytest

from tests.sizes import cases

pytestmark = [pytest.mark.database, pytest.mark.processes]

WORKERS = 8
POSTINGS = int(os.environ.get("POSTINGS") or cases(400, 2000))

PREPARE = """
import json, sys
from django.db import transaction
from inventory.actions.core.events import record_event
from inventory.rules.deposits import postings
from tests.ledger import AT, make_book, charge, post
with transaction.atomic():  # the event seals the rows that no act made
    book = make_book()
    record_event(kind="password.changed", at=AT, actor=None, location=None,
                 subjects=[], data={})
deposits = [charge(book, amount_cents=10_000).pk for _ in range(int(sys.argv[1]))]
for key in deposits:
    post(book, "credit-expected", postings.credit_expected(key, expected=6_000))
print(json.dumps({"location": book.location.pk, "supplier": book.supplier.pk,
                  "type": book.crate_type.pk, "person": book.who.abel.pk,
                  "other": book.who.mina.pk, "deposits": deposits}))
"""

# Each worker waits for the file "go", so that all begin at one moment.
WORKER = """
import json, os, sys, time
from datetime import UTC, date, datetime
from django.conf import settings
from inventory.actions.deposits import ending as deposits
from inventory.actions.ledger.posting import (post_entry)
from inventory.actions.core.versions import RefusedError
from inventory.models import CrateType, Deposit, Entry, Location, Supplier, User
from inventory.rules.deposits import postings
made, number = json.loads(sys.argv[1]), int(sys.argv[2])
AT, DAY = datetime(2026, 3, 12, 9, tzinfo=UTC), date(2026, 3, 12)
location = Location.objects.get(pk=made["location"])
supplier = Supplier.objects.get(pk=made["supplier"])
people = User.objects.in_bulk([made["person"], made["other"]])
person = people[made["person"] if number % 2 else made["other"]]

def post(kind, lines, key):
    return post_entry(kind=kind, location=location, supplier=supplier, currency="USD",
                      effective_on=DAY, lines=lines, posting_key=key, person=person,
                      at=AT)

def tell(act):
    try:
        return str(act().pk)
    except RefusedError as error:
        return f"refused: {error}"

print("ready", flush=True)
while not os.path.exists(settings.DATA_DIR / "go"):
    time.sleep(0.002)
"""

DOUBLE_CLICK = """
print(json.dumps([tell(lambda: deposits.charge_deposits(
    location=location, supplier=supplier, invoice_number="A-1", line_number=1,
    invoiced_on=DAY, crate_type=CrateType.objects.get(pk=made["type"]), count=1,
    amount_cents=12_000, marks=[], crates=[], posting_key="one-click", person=person,
    at=AT)[0])]))
"""

SAME_LINE = DOUBLE_CLICK.replace('"one-click"', 'f"click-{number}"')

PAID_TWICE = """
lines = postings.memo_paid(made["deposits"][0], paid=6_000, expected=6_000)
print(json.dumps([tell(lambda: post("memo", lines, f"memo-{number}"))]))
"""

RETRIED = """
lines = postings.memo_paid(made["deposits"][0], paid=6_000, expected=6_000)
print(json.dumps([tell(lambda: post("memo", lines, "memo")) for _ in range(20)]))
"""

FORFEITED = """
deposit = Deposit.objects.get(pk=made["deposits"][0])
print(json.dumps([tell(lambda: deposits.forfeit_deposit(
    deposit=deposit, forfeited_on=DAY, reason="Gone", posting_key=f"gone-{number}",
    person=person, at=AT))]))
"""

# Pays and forfeits little by little, twice as often as there is money for; repeats
# itself, and tries crooked entries.
MANY = """
pays, loses = int(sys.argv[4]), int(sys.argv[5])
told = {"posted": 0, "repeated": 0, "refused": 0, "crooked": 0}
for turn in range(int(sys.argv[3])):
    key = made["deposits"][(turn * 7 + number) % len(made["deposits"])]
    pay = postings.memo_paid(key, paid=pays, expected=pays)
    lose = postings.forfeited(key, loses)
    kind, lines = ("memo", pay) if turn % 2 else ("forfeiture", lose)
    name = f"{number}-{turn}"
    try:
        entry = post(kind, lines, name)
        told["posted"] += 1
        if turn % 10 == 0:
            assert post(kind, lines, name) == entry
            told["repeated"] += 1
    except RefusedError:
        told["refused"] += 1
    if turn % 20 == 0:
        try:
            post("memo", (*lines, postings.Line("crate-charges", 1)), f"{name}-crooked")
        except RefusedError:
            told["crooked"] += 1
print(json.dumps(told))
"""

CHECK = """
import json
from django.db.models import Count, Sum
from inventory.models import Entry, Leg
by_entry = Leg.objects.order_by().values("entry").annotate(s=Sum("cents"), n=Count("pk"))
by_deposit = Leg.objects.order_by().values("deposit", "account__kind").annotate(
    s=Sum("cents"))
paid = Leg.objects.filter(account__kind="supplier-account").order_by()
print(json.dumps({
    "entries": Entry.objects.count(),
    "unbalanced": sum(row["s"] != 0 or row["n"] < 2 for row in by_entry),
    "unsealed": Leg.objects.filter(entry__posting_key=None).count(),
    "below": sum(row["s"] < 0 for row in by_deposit if row["account__kind"] in
                 ("deposits-receivable", "credits-expected", "disputed-credits")),
    "overpaid": sum(row["s"] > 0 for row in
                    paid.values("deposit").annotate(s=Sum("cents"))),
}))
"""


def ask(process):
    """Return the last line a process prints, once it has ended well."""
    out, err = process.communicate(timeout=3600)
    assert process.returncode == 0, err
    return json.loads(out.splitlines()[-1])


def at_once(site, source, made, *words):
    """Let eight workers begin at one moment; return what each tells."""
    (site.folder / "go").unlink(missing_ok=True)
    workers = [
        site.python(WORKER + source, json.dumps(made), str(number), *words)
        for number in range(WORKERS)
    ]
    for worker in workers:
        assert worker.stdout.readline() == "ready\n", worker.stderr.read()
    (site.folder / "go").touch()
    return [ask(worker) for worker in workers]


@pytest.fixture
def made(site):
    return ask(site.python(PREPARE, "1"))


def checked(site):
    return ask(site.python(CHECK))


SOUND = {"unbalanced": 0, "unsealed": 0, "below": 0, "overpaid": 0}


def test_a_double_click_charges_once(site, made):
    told = at_once(site, DOUBLE_CLICK, made)

    (key,) = {key for keys in told for key in keys}
    assert not key.startswith("refused")
    assert checked(site) == {"entries": 3, **SOUND}


def test_one_invoice_line_is_charged_once_by_many_people(site, made):
    told = [words for (words,) in at_once(site, SAME_LINE, made)]

    refused = [words for words in told if words.startswith("refused")]
    assert len(refused) == WORKERS - 1
    assert all("already charged" in words for words in refused)
    assert checked(site) == {"entries": 3, **SOUND}


def test_two_people_who_post_one_memo_pay_it_once(site, made):
    told = [words for (words,) in at_once(site, PAID_TWICE, made)]

    assert sum(words.startswith("refused") for words in told) == WORKERS - 1
    assert checked(site) == {"entries": 3, **SOUND}


def test_a_memo_sent_again_and_again_pays_once(site, made):
    told = at_once(site, RETRIED, made)

    (key,) = {key for keys in told for key in keys}
    assert not key.startswith("refused")
    assert checked(site) == {"entries": 3, **SOUND}


def test_a_deposit_is_forfeited_once_by_many_people(site, made):
    told = [words for (words,) in at_once(site, FORFEITED, made)]

    assert sum(words.startswith("refused") for words in told) == WORKERS - 1
    assert checked(site) == {"entries": 3, **SOUND}


@pytest.mark.slow
def test_eight_processes_lose_nothing_and_leave_nothing_crooked(site):
    deposits, each = max(20, POSTINGS // 400), POSTINGS // WORKERS
    made = ask(site.python(PREPARE, str(deposits)))
    # Of 60.00 expected and 40.00 with us, amounts that half of the asks use up.
    asks = max(1, each * WORKERS // (4 * deposits))
    pays, loses = max(1, 6_000 // asks), max(1, 4_000 // asks)
    begun = time.monotonic()
    told = at_once(site, MANY, made, str(each), str(pays), str(loses))
    seconds = time.monotonic() - begun

    total = {name: sum(one[name] for one in told) for name in told[0]}
    sys.stdout.write(f"\n{POSTINGS:,} postings asked in {seconds:.0f} s: {total}\n")
    assert total["posted"] == deposits * (6_000 // pays + 4_000 // loses)
    assert total["posted"] + total["refused"] == each * WORKERS
    assert total["repeated"] > 0
    assert total["crooked"] == -(-each // 20) * WORKERS
    assert checked(site) == {"entries": 2 * deposits + total["posted"], **SOUND}
    assert "All well" in site.manage("verify").stdout
