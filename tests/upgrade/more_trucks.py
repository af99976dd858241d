"""Trucks of damaged machines and of empties, for the stories beside."""

from datetime import timedelta

from claims.actions.bench.opening import open_crate
from claims.actions.receiving.test_trucks import end_test, start_test
from claims.rules.receiving.receipt_words import Damage
from fixtures.bench import Find, find_at_bench, price, waive
from fixtures.frames import DEPOSIT
from fixtures.steps import fresh
from fixtures.teller import Machine, Papers
from fixtures.yard import charge, check, empty, give_type


def damaged(t, number, days, *, held=False):
    day = t.ago(days)
    at = t.moment(day, 9)
    truck = t.truck(t.cast.carriers["sedge"], at, "Ives Calder", f"SS3{number:04d}")
    bill = t.bill(
        truck,
        f"SSL 66{number:05d}",
        billed=1,
        counted=1,
        crates=1,
        supplier=t.cast.suppliers["cinder"],
    )
    crate = bill.shipment.crates.get()
    t.exception(
        crate,
        at + timedelta(minutes=6),
        Damage("broken", "moderate", ("side-2",), "Two slats broken on side 2"),
        "crate-broken-slats",
    )
    t.sign(truck, at + timedelta(minutes=10), "Ives Calder")
    shipment = t.papers(
        bill.shipment, t.moment(day, 14), Papers(f"CBM-6{number:04d}", "640", 38_900)
    )
    mower = t.machine(
        fresh(crate),
        t.moment(day, 14, 5),
        Machine("Cinderbrook ZT 60", f"CB60U{number:05d}", 689_900, "660"),
    )
    opened = t.moment(t.ago(days - 1), 9)
    open_crate(person=t.technician, at=opened, crate=fresh(crate))
    for minutes, part in ((15, "Rear tire"), (30, "Engine cowl")):
        _find(t, mower, opened + timedelta(minutes=minutes), part=part, days=days)
    if not held:
        waive(t, mower, t.moment(t.ago(days - 4), 10))
    return shipment


def _find(t, mower, at, *, part, days):
    found = find_at_bench(
        t,
        mower,
        at,
        Find(
            "uncrating",
            part,
            "punctured",
            "moderate",
            f"{part} cut through behind the broken slats.",
            "punctured-tire",
            minutes=30,
            parts=((f"{part}, new", "CB-2412", 18_900),),
        ),
    )
    price(t, found, t.moment(t.ago(days - 4), 9))


def frames(t, number, days, count):
    """Bring frames, each charged, opened, emptied and checked whole."""
    day = t.ago(days)
    at = t.moment(day, 9, 50)
    truck = t.truck(t.cast.carriers["gannet"], at, "Hob Lanning", f"GN6{number:04d}")
    bill = t.bill(
        truck,
        f"410-3{number:05d}",
        billed=count,
        counted=count,
        crates=count,
        supplier=t.cast.suppliers["oxbow"],
        kind="reusable",
    )
    t.rest_clear(truck, at + timedelta(minutes=8))
    t.sign(truck, at + timedelta(minutes=13), "Hob Lanning")
    shipment = t.papers(
        bill.shipment, t.moment(day, 14), Papers(f"OXB-7{number:03d}", "4,310", 98_200)
    )
    crates = list(shipment.crates.order_by("number"))
    for place, crate in enumerate(crates, start=1):
        serial = f"OX72U{number:03d}{place}"
        machine = Machine("Oxbow Tiller 72", serial, 459_900, "720")
        t.machine(fresh(crate), t.moment(day, 15), machine)
    give_type(t, crates, t.moment(day, 16), t.cast.crate_types["oxbow"])
    charge(t, crates, f"OXI-4{number:03d}", on=day - timedelta(days=3), cents=DEPOSIT)
    for crate in crates:
        after = t.ago(days - 3)
        open_crate(person=t.technician, at=t.moment(after, 9), crate=fresh(crate))
        empty(t, fresh(crate), t.moment(after, 15))
        check(t, crate, t.moment(after, 16))
    return crates


def tell_test_truck(t):
    """Start a truck for practice and take it back."""
    at = t.moment(t.ago(1), 7)
    truck = start_test(person=t.clerk, at=at, location=t.location)
    end_test(person=t.clerk, at=at + timedelta(minutes=9), delivery=truck)
