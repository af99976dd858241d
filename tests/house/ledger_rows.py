"""A deposit with its entry at Riverside, for the walks over every page."""

from types import SimpleNamespace

from inventory.models import Entry
from tests import ledger, making


def make_ledger_rows(who, shipment):
    """Charge a deposit on no crate yet; return it and its entry by their address."""
    book = SimpleNamespace(
        who=who,
        location=shipment.location,
        supplier=shipment.supplier,
        crate_type=None,
    )
    # A number that no other row of the walks has: theirs are by crate.
    deposit = ledger.charge(book, invoice_number=f"LEDGER-{shipment.pk}")
    entry = Entry.objects.get(legs__deposit=deposit, legs__cents__gt=0)
    return {
        "deposit": [deposit.pk],
        "entry": [entry.pk],
        "carried_check": [making.make_carried_check(who.abel).pk],
        "place_and_supplier": [shipment.location_id, shipment.supplier_id],
    }
