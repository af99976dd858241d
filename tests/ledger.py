"""A book to post in: Riverside, a supplier, its crates, and short ways to post."""

import itertools
from datetime import UTC, date, datetime
from types import SimpleNamespace

from inventory.actions.deposits.ending import charge_deposits
from inventory.actions.ledger.posting import post_entry
from inventory.models import CrateTerms
from tests.making import make_crate_type, make_reusable, make_shipment, make_supplier
from tests.people import cast

AT = datetime(2026, 3, 10, 15, 30, tzinfo=UTC)
DAY = date(2026, 3, 10)

_count = itertools.count(1)


def make_terms(supplier, **over):
    """Make terms: full credit to day 90, half to day 120, then nothing."""
    steps = over.pop("steps", ((90, 50),))
    rates = over.pop("rates", ())
    values = {
        "starts_on": date(2026, 1, 1),
        "clock_starts": "invoice",
        "clock_stops": "pick-up",
        "full_days": 90,
        "decline": "steps",
        "ends_day": 120,
        "return_freight": "us",
        "source": "Crate sheet of 2026, page 2",
        "added_at": AT,
    }
    terms = CrateTerms.objects.create(supplier=supplier, **{**values, **over})
    for after_day, percent in steps:
        terms.steps.create(after_day=after_day, percent=percent)
    for crate_type, cents in rates:
        terms.rates.create(crate_type=crate_type, deposit_cents=cents)
    return terms


def make_book(who=None):
    """Make the cast unless given, a supplier with a crate type, and a freight bill."""
    who = who or cast()
    supplier = make_supplier()
    shipment = make_shipment(location=who.riverside, supplier=supplier)
    return SimpleNamespace(
        who=who,
        location=who.riverside,
        supplier=supplier,
        shipment=shipment,
        crate_type=make_crate_type(supplier),
    )


def charge(book, **over):
    """Charge one deposit of 120.00, on no crate, unless told otherwise."""
    number = next(_count)
    count = over.get("count", 1)
    values = {
        "location": book.location,
        "supplier": book.supplier,
        "invoice_number": f"INV-{number}",
        "line_number": 1,
        "invoiced_on": DAY,
        "crate_type": book.crate_type,
        "count": count,
        "amount_cents": 12_000,
        "marks": [],
        "crates": [],
        "posting_key": f"charge-{number}",
        "person": book.who.abel,
        "at": AT,
    }
    found = charge_deposits(**{**values, **over})
    return found[0] if count == 1 else found


def charged_crate(book, **over):
    """Make a reusable crate with its deposit charged; return both."""
    crate = make_reusable(book.shipment)
    return crate, charge(book, crates=[crate], **over)


def post(book, kind, lines, **over):
    """Post lines into the book."""
    values = {
        "location": book.location,
        "supplier": book.supplier,
        "currency": "USD",
        "effective_on": DAY,
        "posting_key": f"post-{next(_count)}",
        "person": book.who.abel,
        "at": AT,
    }
    return post_entry(kind=kind, lines=lines, **{**values, **over})
