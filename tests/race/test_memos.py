"""Eight at once on returns and memos: a truck leaves once, and a memo pays once."""

import json

import pytest

pytestmark = [pytest.mark.database, pytest.mark.processes]

WORKERS = 8

PREPARE = """
import json
from django.db import transaction
from inventory.actions.core.events import record_event
from inventory.models import ShortCredit
from tests.returning import AT, begin, make_stage, memo_of, ship, stage
with transaction.atomic():  # the event seals the rows that no act made
    book = make_stage(crates=6)
    record_event(kind="password.changed", at=AT, actor=None, location=None,
                 subjects=[], data={})
gone = begin(book)
stage(book, gone, book.crates[:4])
ship(book, gone)
waiting = begin(book)
stage(book, waiting, book.crates[4:])
waiting.refresh_from_db()
one, two, three, _four = book.crates[:4]
lines = ((one, 12_000), (two, 9_000, "late"), (three, 12_000))
memos = [memo_of(book, *lines).pk for _ in range(2)]
print(json.dumps({
    "memos": memos, "people": [book.who.abel.pk, book.who.mina.pk],
    "waiting": [waiting.pk, waiting.version], "carrier": book.carrier.pk}))
"""

# Each worker waits for the file "go", so that all begin at one moment.
WORKER = """
import json, os, sys, time
from datetime import UTC, date, datetime
from django.conf import settings
from types import SimpleNamespace
from inventory.actions.memos.later import match_credit
from inventory.actions.memos.posting import post_memo
from inventory.actions.memos.reversing import reverse_memo
from inventory.actions.memos.suspense import return_credit, take_by_reason
from inventory.actions.returns.shipping import Departure, ship_return
from inventory.actions.memos.short_credits import accept_short, dispute_short
from inventory.actions.deposits.short_rows import Decided
from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.models import (
    Carrier, CrateReturn, CreditMemo, Deposit, ShortCredit, SuspenseLine, User)
from tests.returning import memo_of
made, number = json.loads(sys.argv[1]), int(sys.argv[2])
AT, DAY = datetime(2026, 4, 21, 9, tzinfo=UTC), date(2026, 4, 21)
person = User.objects.get(pk=made["people"][number % 2])

def tell(act):
    try:
        act()
        return "done"
    except (RefusedError, StaleRowError) as error:
        return f"refused: {error}"

def post(place):
    memo = CreditMemo.objects.select_related("location", "supplier").get(
        pk=made["memos"][place])
    return post_memo(memo=memo, version=1, person=person, at=AT)

print("ready", flush=True)
while not os.path.exists(settings.DATA_DIR / "go"):
    time.sleep(0.002)
"""

SAME_MEMO = "print(json.dumps([tell(lambda: post(0)) for _ in range(3)]))"

TWO_MEMOS = "print(json.dumps([tell(lambda: post(number % 2))]))"

SAME_TRUCK = """
row = CrateReturn.objects.select_related("location", "supplier").get(
    pk=made["waiting"][0])
departure = Departure(DAY, DAY, Carrier.objects.get(pk=made["carrier"]))
print(json.dumps([tell(lambda: ship_return(
    crate_return=row, version=made["waiting"][1], departure=departure,
    person=person, at=AT))]))
"""

SAME_DECISION = """
short = ShortCredit.objects.select_related("location", "supplier").get(cause="late")
act = accept_short if number % 2 else dispute_short
key = "one-click" if number < 2 else f"click-{number}"
print(json.dumps([tell(lambda: act(
    short=short, version=short.version,
    decided=Decided(DAY, key, person, AT, "Looked at it."))) for _ in range(2)]))
"""

# The first memo is posted, and one that is not ours: its credit is held.
POSTED = """
held = memo_of(SimpleNamespace(location=row.location, supplier=row.supplier,
                               who=SimpleNamespace(abel=person)), ("ZZ-77", 1_000), number="HELD")
post_memo(memo=held, version=1, person=person, at=AT)
print(json.dumps(SuspenseLine.objects.get().pk))
"""

SAME_UNDO = """
row = CreditMemo.objects.get(pk=made["memos"][0])
print(json.dumps([tell(lambda: reverse_memo(
    memo=row, version=row.version, reason="Typed twice.", reversed_on=DAY,
    person=person, at=AT)) for _ in range(3)]))
"""

# Half undo the memo, half decide what it left: one of the two, never both.
UNDO_OR_DECIDE = """
row = CreditMemo.objects.get(pk=made["memos"][0])
short = ShortCredit.objects.select_related("location", "supplier").get(cause="late")
def undo():
    return reverse_memo(memo=row, version=row.version, reason="Typed twice.",
                        reversed_on=DAY, person=person, at=AT)
def decide():
    return accept_short(short=short, version=short.version, decided=Decided(
        DAY, f"click-{number}", person, AT, "Looked at it."))
print(json.dumps([tell(undo if number % 2 else decide)]))
"""

SAME_HELD = """
held = SuspenseLine.objects.select_related("location", "supplier").get()
key = "one-click" if number < 2 else f"click-{number}"
said = Decided(DAY, key, person, AT, "Looked at it.")
deposit = Deposit.objects.order_by("pk")[3]
ways = (
    lambda: return_credit(line=held, version=held.version, decided=said),
    lambda: take_by_reason(line=held, version=held.version, decided=said),
    lambda: match_credit(line=held, version=held.version, deposit=deposit,
                         decided=said),
)
act = ways[0] if number < 2 else ways[number % 3]
print(json.dumps([tell(act) for _ in range(2)]))
"""

CHECK = """
import json
from django.db.models import Count, Sum
from inventory.models import Crate, Entry, Leg, ShortCredit
from tests.returning import balances, expect_books_in_order
expect_books_in_order()
kinds = Entry.objects.order_by().values_list("kind").annotate(n=Count("pk"))
paid = Leg.objects.filter(account__kind="supplier-account",
                          deposit__isnull=False).order_by()
print(json.dumps({
    "kinds": dict(kinds),
    "balances": balances(),
    "overpaid": sum(row["s"] > 0 for row in
                    paid.values("deposit").annotate(s=Sum("cents"))),
    "shorts": sorted(ShortCredit.objects.values_list("cause", "state")),
    "states": list(Crate.objects.order_by("pk").values_list("state", flat=True)),
}))
"""


@pytest.fixture
def made(site):
    return json.loads(output(site.python(PREPARE)))


def output(process):
    out, told = process.communicate(timeout=120)
    assert process.returncode == 0, told
    return out.splitlines()[-1]


def race(site, made, act):
    """Let eight begin at one moment; return what each was told, one after another."""
    workers = [
        site.python(WORKER + act, json.dumps(made), str(number))
        for number in range(WORKERS)
    ]
    for worker in workers:
        assert worker.stdout.readline().strip() == "ready"
    (site.folder / "go").touch()
    return [word for worker in workers for word in json.loads(output(worker))]


def alone(site, made, act):
    """Do this before the race, in a process of its own."""
    begun = WORKER.split('print("ready"', maxsplit=1)[0]
    output(site.python(begun + act, json.dumps(made), "0"))


def check(site):
    return json.loads(output(site.python(CHECK)))


def expect_paid_once(found, *, held=0):
    """Check that the three lines paid once; ``held`` lines more are in suspense."""
    assert found["kinds"]["memo"] == 3 + held
    assert found["overpaid"] == 0
    assert found["states"][:4] == ["credited", "short-credited", "credited", "shipped"]
    assert found["shorts"] == [["late", "open"], ["not-on-memo", "open"]]
    assert found["balances"]["credits-expected"] == 3_000 + 12_000


def test_eight_who_post_the_same_memo_and_retry_pay_it_once(site, made):
    told = race(site, made, SAME_MEMO)

    assert set(told) == {"done"}, told
    expect_paid_once(check(site))


def test_two_memos_of_the_same_crates_pay_each_crate_once(site, made):
    told = race(site, made, TWO_MEMOS)

    assert set(told) == {"done"}, told
    found = check(site)
    expect_paid_once(found, held=3)
    # The second memo's 120.00, 90.00 and 120.00 are credited twice: all held.
    assert found["balances"]["supplier-suspense"] == -33_000


def test_a_truck_leaves_once_however_many_record_it(site, made):
    told = race(site, made, SAME_TRUCK)

    assert told.count("done") == 1, told
    found = check(site)
    assert found["kinds"]["credit-expected"] == 6
    assert found["balances"]["credits-expected"] == 72_000
    assert found["states"] == ["shipped"] * 6


def test_a_difference_is_decided_once(site, made):
    alone(site, made, "post(0)\nprint()")
    told = race(site, made, SAME_DECISION)

    kinds = check(site)["kinds"]
    assert kinds.get("short-credit", 0) + kinds.get("dispute", 0) == 1
    # The winner repeats itself and gets its first answer; everyone else is refused.
    assert told.count("done") == 2, told


def test_a_posted_memo_is_undone_once_by_eight_who_retry(site, made):
    alone(site, made, "post(0)\nprint()")
    told = race(site, made, SAME_UNDO)

    assert set(told) == {"done"}, told
    found = check(site)
    assert found["kinds"]["reversal"] == found["kinds"]["memo"] == 3
    assert found["states"][:4] == ["shipped"] * 4
    assert found["balances"]["credits-expected"] == 48_000
    assert {state for _cause, state in found["shorts"]} == {"reversed"}
    assert "All well" in site.manage("verify").stdout


def test_a_memo_is_undone_or_what_it_left_is_decided_never_both(site, made):
    alone(site, made, "post(0)\nprint()")
    told = race(site, made, UNDO_OR_DECIDE)

    found = check(site)
    undone = found["kinds"].get("reversal", 0) == 3
    decided = found["kinds"].get("short-credit", 0) == 1
    assert undone != decided, (found, told)
    assert found["balances"]["supplier-account"] == (-72_000 if undone else -39_000)


def test_a_held_credit_is_decided_once(site, made):
    alone(site, made, "row = CreditMemo.objects.get(pk=made['memos'][0])\n" + POSTED)
    told = race(site, made, SAME_HELD)

    found = check(site)
    ends = ("held-returned", "held-matched", "held-taken")
    assert sum(found["kinds"].get(kind, 0) for kind in ends) == 1, found
    assert "supplier-suspense" not in found["balances"]
    # The winner repeats itself and is answered as before; everybody else is refused.
    assert 2 <= told.count("done") <= 4, told
