"""A return, a memo and a difference at Riverside, for the walks over every page."""

from datetime import date

from inventory.models import (
    CrateReturn,
    CreditMemo,
    Deposit,
    MemoLine,
    ReturnLine,
    ShortCredit,
    SuspenseLine,
)
from tests import making
from tests.making import ARRIVED

DAY = date(2026, 3, 12)


def make_return_rows(who, shipment, number=0):
    """Make one of each, in plain rows: a return being staged, and one that left."""
    staged, left = _return(who, shipment, number, 1), _return(who, shipment, number, 2)
    line, gone = (
        add_line(who, one, shipment, state)
        for one, state in ((staged, "staged"), (left, "shipped"))
    )
    CrateReturn.objects.filter(pk=left.pk).update(
        state="shipped", picked_up_on=DAY, billed_on=DAY, carrier=shipment.carrier
    )
    memo = CreditMemo.objects.create(
        currency="USD",
        location=shipment.location,
        supplier=shipment.supplier,
        number=f"CM-{number}",
        dated_on=DAY,
        received_on=DAY,
        made_at=ARRIVED,
        made_by=who.abel,
    )
    memo_line = MemoLine.objects.create(
        memo=memo, position=1, mark="HT-1", amount_cents=9_000
    )
    return {
        "crate_return": [staged.pk],
        "return_left": [left.pk],
        "return_line": [line.pk],
        "return_line_left": [gone.pk],
        "memo": [memo.pk],
        "memo_line": [memo_line.pk],
        "short_credit": [make_short(gone, memo_line).pk],
        "held_credit": [make_held(memo_line).pk],
    }


def make_short(line, memo_line, **over):
    """Make a difference of 30.00 on a crate that left."""
    values = {
        "location": line.deposit.location,
        "supplier": line.deposit.supplier,
        "deposit": line.deposit,
        "memo_line": memo_line,
        "currency": "USD",
        "cause": "price",
        "amount_cents": 3_000,
        "opened_on": DAY,
    }
    return ShortCredit.objects.create(**{**values, **over})


def make_held(memo_line, **over):
    """Make a credit of 10.00 held in suspense."""
    values = {
        "location": memo_line.memo.location,
        "supplier": memo_line.memo.supplier,
        "memo_line": memo_line,
        "currency": "USD",
        "amount_cents": 1_000,
        "opened_on": DAY,
    }
    return SuspenseLine.objects.create(**{**values, **over})


def _return(who, shipment, number, part):
    return CrateReturn.objects.create(
        currency="USD",
        location=shipment.location,
        supplier=shipment.supplier,
        number=f"RIV-2026-{number:02d}{part:02d}",
        made_at=ARRIVED,
        made_by=who.rosa,
    )


def add_line(who, crate_return, shipment, state):
    """Put one charged crate on a return."""
    crate = making.make_reusable(shipment, state=state)
    deposit = Deposit.objects.create(
        currency="USD",
        location=shipment.location,
        supplier=shipment.supplier,
        crate_type=crate.crate_type,
        crate=crate,
        invoice_number=f"INV-{crate.pk}",
        line_number=1,
        invoiced_on=DAY,
        mark=crate.mark,
        amount_cents=12_000,
        charged_at=ARRIVED,
        charged_by=who.abel,
    )
    return ReturnLine.objects.create(
        crate_return=crate_return, crate=crate, deposit=deposit, expected_cents=12_000
    )
