"""Some bookings over a spring, for the tests of journal and statement."""

from datetime import date
from types import SimpleNamespace
from uuid import uuid4

from inventory.actions.deposits.ending import charge_deposits
from inventory.actions.ledger.posting import post_entry
from inventory.actions.ledger.reversals import reverse_entry
from inventory.rules.deposits import postings
from tests.making import ARRIVED, make_supplier


def book(who):
    """Charge three crates, ship one, credit it short, and undo a fourth charge."""
    supplier = make_supplier(name="Harrow & Tine Works")
    money = {"location": who.riverside, "supplier": supplier}
    three = charge(
        who, supplier, "INV-7", marks=["HT-1", "HT-2", "HT-3"], day=date(2026, 3, 2)
    )
    [wrong] = charge(who, supplier, "INV-8", marks=["=HT-9"], day=date(2026, 3, 5))

    def post(kind, day, lines):
        return post_entry(
            kind=kind,
            currency="USD",
            effective_on=day,
            lines=lines,
            posting_key=str(uuid4()),
            person=who.abel,
            at=ARRIVED,
            **money,
        )

    first = three[0].pk
    post(
        "credit-expected",
        date(2026, 4, 1),
        postings.credit_expected(first, expected=13_500, late=1_500),
    )
    post(
        "memo",
        date(2026, 4, 20),
        postings.memo_paid(first, paid=11_000, expected=13_500),
    )
    post("dispute", date(2026, 4, 21), postings.short_disputed(first, 2_500))
    reverse_entry(
        entry=wrong.legs.first().entry,
        effective_on=date(2026, 3, 6),
        reason="Typed twice",
        posting_key=str(uuid4()),
        person=who.abel,
        at=ARRIVED,
    )
    return SimpleNamespace(supplier=supplier, deposits=three)


def charge(who, supplier, invoice, *, marks, day):
    return charge_deposits(
        location=who.riverside,
        supplier=supplier,
        invoice_number=invoice,
        line_number=1,
        invoiced_on=day,
        crate_type=None,
        count=len(marks),
        amount_cents=15_000,
        marks=marks,
        crates=[],
        posting_key=str(uuid4()),
        person=who.abel,
        at=ARRIVED,
    )
