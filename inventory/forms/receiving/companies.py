"""The companies of a freight bill beside the one on its truck, in its paperwork."""

from collections.abc import Collection
from typing import Any

from crispy_forms.layout import Fieldset, Row

from inventory.forms.core.choice_fields import RowField
from inventory.models import Carrier, Shipment

COMPANIES = {
    "record_carrier": (
        "Carrier of record",
        "Who issued the bill of lading. Claims go there.",
    ),
    "broker": (
        "Broker",
        "It arranged the carriage. A claim to it alone is filed with no carrier.",
    ),
    "originating_carrier": ("Originating carrier", "It picked up."),
    "delivering_carrier": ("Delivering carrier", "It carried the last leg."),
}
"""Each company of a bill by its column: its label and its hint."""


def stored_companies(shipment: Shipment) -> dict[str, int | None]:
    """Return the companies of the bill as they are stored."""
    return {name: getattr(shipment, f"{name}_id") for name in COMPANIES}


def company_field(name: str, shipment: Shipment) -> RowField:
    """Return the field of one company; only the broker may be a broker."""
    label, hint = COMPANIES[name]
    on_truck = shipment.carrier
    empty = "None"
    if name == "record_carrier":
        empty = f"Same as on the truck: {on_truck.name}"
        if on_truck.is_broker:
            empty = "Not known yet. Ask the broker."
    field = RowField(label=label, empty_label=empty, required=False, help_text=hint)
    rows = Carrier.objects.order_by("name")
    field.queryset = rows if name == "broker" else rows.exclude(mode="broker")
    return field


def company_rows(names: Collection[str]) -> list[Any]:
    """Return the fieldset of the companies; nothing where none is asked."""
    if not names:
        return []
    first, broker, origin, last = names
    return [Fieldset("Companies on this bill", Row(first, broker), Row(origin, last))]
