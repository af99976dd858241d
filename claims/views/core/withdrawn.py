"""The page of a row that was taken back: what it was, read-only, with its history."""

from collections.abc import Sequence

from django.db.models import Model
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from claims.queries.desk.stories import evidence_of
from inventory.models import Crate, Delivery, Location, Shipment, Unit
from inventory.queries.core.history import story_of
from inventory.views.core.clock import dock_words, truck_name

Fact = tuple[str, str, Model | None]
"""A label, the words, and the row they lead to."""


def withdrawn_page(
    request: HttpRequest,
    row: Delivery | Shipment | Crate | Unit,
    location: Location,
    *,
    leave_out: tuple[str, ...],
) -> HttpResponse:
    """Show a truck, bill, crate or machine that was taken back."""
    noun = str(row._meta.model_name)
    name = truck_name(row) if isinstance(row, Delivery) else str(row)
    context = {
        "name": name,
        "row": row,
        "kicker": _KICKERS[type(row)],
        "on": dock_words(location, row.withdrawn_at) if row.withdrawn_at else "",
        "facts": _facts(row),
        "photos": evidence_of(**{noun: row}),
        "story": story_of([row], location, leave_out=leave_out),
        "crumbs": [("Dock", "/dock/"), (name, "")],
    }
    return render(request, "claims/desk/withdrawn.html", context)


_KICKERS: dict[type[Model], str] = {
    Delivery: "Truck",
    Shipment: "Freight bill",
    Crate: "Crate",
    Unit: "Machine",
}


def _facts(row: Delivery | Shipment | Crate | Unit) -> Sequence[Fact]:
    if isinstance(row, Delivery):
        arrived = dock_words(row.location, row.arrived_at)
        bills = row.handovers.model.everything.filter(delivery=row)
        return [
            ("Carrier", row.carrier.name, None),
            ("Arrived", arrived, None),
            ("Driver", row.driver_name, None),
            ("Trailer", row.trailer_number, None),
            *(
                ("Freight bill", str(one.shipment), one.shipment)
                for one in bills.select_related("shipment").order_by("pk")
            ),
        ]
    if isinstance(row, Shipment):
        billed = "" if row.pieces_billed is None else str(row.pieces_billed)
        return [
            ("Carrier", row.carrier.name, None),
            ("Supplier", row.supplier.name if row.supplier else "", None),
            ("Bill of lading", row.bol_number, None),
            (f"Billed, in {row.piece_unit}s", billed, None),
        ]
    if isinstance(row, Crate):
        return [
            ("Mark", row.mark, None),
            ("Freight bill", str(row.shipment), row.shipment),
        ]
    return [("Freight bill", str(row.shipment), row.shipment)]
