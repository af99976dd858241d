"""Where a row is shown: the address of its page, whichever floor serves it.

The ground floor never writes the name of a page above it. It asks for the page of a
row, or for one of the places named here. What nobody serves has the address "": a
link to it is plain text.
"""

from django.db.models import Model
from django.urls import reverse

from inventory.models import (
    CrateReturn,
    CreditMemo,
    Deposit,
    Entry,
    Evidence,
    ExpectedDelivery,
    ListImport,
    OutgoingMail,
    ShortCredit,
    SuspenseLine,
)
from inventory.rules.core.registry import Registry

DOCK = "dock"
"""The trucks at the dock now, and what is to do there."""
HOME = "home"
"""The desk where a person's work begins."""
TAILGATE = "tailgate"
"""Where one truck is unloaded, until its receipt is signed."""
MONTH_END = "month-end"
"""Where a month's books are checked before they are locked."""
UNDO = "undo"
"""Where the message of an act is answered with Undo; its key is the act's event."""

OWN_PAGES: dict[type[Model], str] = {
    CrateReturn: "crate_return",
    CreditMemo: "memo",
    Deposit: "deposit",
    Entry: "entry",
    Evidence: "evidence",
    ExpectedDelivery: "expected_delivery",
    ListImport: "list_import",
    OutgoingMail: "mail",
    ShortCredit: "short_credit",
    SuspenseLine: "suspense_line",
}

pages: Registry[type[Model], str] = Registry("pages of rows", OWN_PAGES)
"""The URL name of the page that shows each kind of row, taking its key."""

places: Registry[str, str] = Registry("places", {})
"""The URL name of each place named above; the ground floor serves none of them."""


def address_of(row: Model | None) -> str:
    """Return the address of the page that shows this row, or ""."""
    if row is None:
        return ""
    name = pages.get(type(row))
    return reverse(name, args=[row.pk]) if name else ""


def address_at(place: str, *keys: object) -> str:
    """Return the address of a place, for the row with this key, or ""."""
    name = places.get(place)
    return reverse(name, args=keys) if name else ""
