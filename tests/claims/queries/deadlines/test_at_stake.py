"""Money at risk: each freight bill once, closed crates apart, each currency apart."""

from datetime import date

from claims.queries.deadlines.at_risk import AtRisk, at_stake
from claims.queries.deadlines.lapses import Lapse

DAY = date(2026, 3, 17)


def lapse(cents, currency="USD", *, hand="write", bill=1):
    return Lapse(
        hand=hand,
        key=1,
        shipment_id=bill,
        claim_id=None,
        delivery_id=None,
        label="Claim",
        what="",
        pro_number="PRO1",
        day=DAY,
        due=DAY,
        send_by=None,
        days_left=3,
        amount_cents=cents,
        currency=currency,
        notice_kind="",
    )


def test_currencies_are_never_added():
    rows = [lapse(50_000), lapse(70_000, "CAD", bill=2), lapse(None, "EUR", bill=3)]
    assert at_stake(rows) == [AtRisk("CAD", 70_000, 0), AtRisk("USD", 50_000, 0)]


def test_a_bill_counts_once_at_its_dearest_and_each_closed_crate_for_itself():
    rows = [
        lapse(50_000),
        lapse(60_000),
        lapse(10_000, hand="open"),
        lapse(10_000, hand="open"),
    ]
    assert at_stake(rows) == [AtRisk("USD", 60_000, 20_000)]


def test_nothing_lapses():
    assert at_stake([]) == []
