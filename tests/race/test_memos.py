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
from inventory.actions.memos.posting import post_memo
from inventory.actions.returns.shipping import Departure, ship_return
from inventory.actions.memos.short_credits import accept_short, dispute_short
from inventory.actions.deposits.short_rows import Decided
from inventory.actions.core.versions import RefusedError, StaleRowError
from inventory.models import Carrier, CrateReturn, CreditMemo, ShortCredit, User
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

CHECK = """
import json
from django.db.models import Count, Sum
from inventory.models import Crate, Entry, Leg, ShortCredit
from tests.returning import balances, expect_books_in_order
expect_books_in_order()
kinds = Entry.objects.order_by().values_list("kind").annotate(n=Count("pk"))
paid = Leg.objects.filter(account__kind="supplier-account").order_by()
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


def check(site):
    return json.loads(output(site.python(CHECK)))


def expect_paid_once(found):
    assert found["kinds"]["memo"] == 3
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
    expect_paid_once(check(site))


def test_a_truck_leaves_once_however_many_record_it(site, made):
    told = race(site, made, SAME_TRUCK)

    assert told.count("done") == 1, told
    found = check(site)
    assert found["kinds"]["credit-expected"] == 6
    assert found["balances"]["credits-expected"] == 72_000
    assert found["states"] == ["shipped"] * 6


def test_a_difference_is_decided_once(site, made):
    output(
        site.python(
            WORKER.split('print("ready"', maxsplit=1)[0] + "post(0)\nprint()",
            json.dumps(made),
            "0",
        )
    )
    told = race(site, made, SAME_DECISION)

    kinds = check(site)["kinds"]
    assert kinds.get("short-credit", 0) + kinds.get("dispute", 0) == 1
    # The winner repeats itself and gets its first answer; everyone else is refused.
    assert told.count("done") == 2, told
