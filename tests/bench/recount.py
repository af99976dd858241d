"""Count the deadlines of many bills again: ``python -m tests.bench.recount 100000``.

A look, not a test. The bills are of 500 days, one in ten with damage, one in twenty with
a claim. A bare read is what any count must do at least: all columns of all running rows.
Then every bill is counted, then nothing is changed, and then the day of arrival of one
bill in a hundred, whatever its story; at the end the day is the next one.
"""

import datetime as dt
import io
import sys
import tempfile
import time
from pathlib import Path

from tests.bench.flat import say, settled, site

STORY = 500
FIRST = dt.date(2024, 11, 4)
ON = "2026-03-11"


def story(who, supplier, carrier):
    """Make the bills that are copied, with their deadlines counted."""
    from claims.actions.core.deadlines import record_differences
    from tests import making

    at = dt.datetime.fromisoformat(f"{ON}T12:00:00Z")
    for number in range(STORY):
        day = FIRST + dt.timedelta(days=number)
        place = {"location": who.riverside, "carrier": carrier}
        truck = making.make_signed_delivery(**place, arrived_on=day, signed_by=who.rosa)
        bill = making.make_shipment(
            **place, supplier=supplier, bol_on=day - dt.timedelta(days=4)
        )
        making.make_handover(truck, bill)
        crates = [
            making.make_crate(bill, delivery=truck, mark=f"HT{bill.pk}X{place}Y")
            for place in range(2)
        ]
        if number % 10 == 0:
            look = making.make_inspection(
                crate=crates[0], looked_by=who.tomas, looked_on=day
            )
            finding = making.make_finding(look)
            if number % 20 == 0:
                claim = making.make_claim(
                    bill,
                    made_by=who.mina,
                    number=f"C{bill.pk}N",
                    state="received",
                    sent_on=day,
                    received_on=day,
                )
                making.make_claim_line(claim, finding=finding)
        record_differences(shipment=bill, at=at, person=None)


def recount(on=ON, **options):
    """Run the nightly command; return its seconds, elapsed and of the processor."""
    from django.core.management import call_command

    said = io.StringIO()
    begun = time.perf_counter(), time.process_time()
    call_command("recount_deadlines", on=on, stdout=said, **options)
    taken = time.perf_counter() - begun[0], time.process_time() - begun[1]
    return *taken, said.getvalue().splitlines()[-1]


def bare_read():
    """Read all columns of all running rows; return the seconds and how many."""
    from claims.models import Deadline

    begun = time.perf_counter(), time.process_time()
    rows = Deadline.objects.filter(superseded_at=None).values_list()
    count = sum(1 for _ in rows.iterator(2000))
    return time.perf_counter() - begun[0], time.process_time() - begun[1], count


def main(bills):
    """Print the table."""
    from inventory.models import Delivery, Shipment
    from tests import making
    from tests.bench.copies import Block
    from tests.people import cast

    given = cast(), making.make_supplier(), making.make_carrier()
    block = Block.begin()
    story(*given)
    copies = max(0, bills // STORY - 1)
    block.end().copy(range(1, copies + 1), in_past=False)
    settled()
    elapsed, least, rows = bare_read()
    say(f"{Shipment.standing.count():,} bills, {rows:,} running rows")
    say(f"{'work':34}{'elapsed':>10}{'processor':>11}{'bare reads':>12}")
    say(f"{'bare read of the running rows':34}{elapsed:8.2f} s{least:9.2f} s{1:12.1f}")

    def tell(work, **options):
        elapsed, spent, last = recount(**options)
        say(f"{work:34}{elapsed:8.2f} s{spent:9.2f} s{spent / least:12.1f}  {last}")

    tell("recount of every bill", all=True)
    tell("recount, nothing changed")
    keys = Delivery.objects.order_by("pk").values_list("pk", flat=True)
    for key in list(keys)[::101]:
        row = Delivery.objects.filter(pk=key)
        row.update(arrived_on=row.get().arrived_on + dt.timedelta(days=1))
    tell("recount, one in a hundred changed")
    tell("recount once more")
    tell("recount on the next day", on="2026-03-12")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory(prefix="recount-") as top, site(Path(top)):
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
