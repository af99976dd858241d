"""Forms for what can be filled in later: the bill's papers, crates and machines."""

from datetime import date
from typing import Any

from crispy_forms.layout import Field, Fieldset, Row
from django import forms
from django.db.models import Min

from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.choice_fields import PickField, RowField
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.number_fields import (
    CountField,
    MassField,
    MoneyField,
    read_money_in,
)
from inventory.forms.core.text_fields import LineField, ProField
from inventory.models import Shipment, Supplier
from inventory.rules.core import vocabulary as words


def figure(value: Any) -> str:
    """Return a weight as it is stored, "1240.5", or "" where there is none."""
    return "" if value is None else f"{value.normalize():f}"


class ShipmentForm(StaleForm):
    """Fill in the papers of a freight bill; nothing but the number is a must."""

    act = "Save the papers"

    pro_number = ProField()
    supplier = RowField(label="Supplier")
    origin = LineField(label="Shipped from", most=120)
    bol_number = LineField(label="Bill of lading", most=40, is_identifier=True)
    bol_on = DayField(
        label="Date of the bill",
        help_text="Such as 2026-03-31.",
        too_late="A bill is written before the truck comes. Write a day up to {latest}.",
    )
    pieces_billed = CountField(label="Pieces billed", least=1, most=9999)
    piece_unit = PickField(
        label="Unit", words=words.PIECE_UNITS, missing="Choose the bill's unit."
    )
    billed_weight = MassField(label="Billed weight")
    weight_unit = PickField(
        label="In", words=words.MASS_UNITS, missing="Choose lb or kg."
    )
    delivery_terms = PickField(
        label="Delivery terms",
        words=words.DELIVERY_TERMS,
        missing="Choose the terms, or that they are not known.",
        help_text="They say who bears the risk. Who pays the freight does not.",
    )
    freight_payer = PickField(
        label="Who pays the freight",
        words=words.FREIGHT_PAYERS,
        missing="Choose who pays, or that it is not known.",
    )
    freight_charge_cents = MoneyField(label="Freight charge")
    freight_borne_cents = MoneyField(
        label="Of that, borne by us", help_text="At most the charge."
    )
    released_value_cents_per_lb = MoneyField(
        label="Released value per pound", help_text="Only where the bill states one."
    )
    contract_carriage = PickField(
        label="Carried under our own contract",
        words=words.YES_NO_UNKNOWN,
        missing="Choose yes, no or not known.",
    )
    regime = PickField(
        label="Law of this carriage",
        words=words.REGIMES,
        missing="Choose the law that this carriage runs under.",
    )

    def __init__(
        self, *args: Any, shipment: Shipment, today: date, **kwargs: Any
    ) -> None:
        initial = {name: getattr(shipment, name) for name in self.base_fields}
        super().__init__(*args, initial=initial, **kwargs)
        supplier: Any = self.fields["supplier"]
        supplier.queryset = Supplier.objects.order_by("name")
        supplier.empty_label = "Not known yet"
        bol_on: Any = self.fields["bol_on"]
        came = shipment.deliveries.aggregate(first=Min("arrived_on"))["first"]
        bol_on.latest = min(today, came) if came else today
        read_money_in(self, shipment.currency)

    def rows(self) -> list[Any]:
        """Return the papers in the order in which they lie on the desk."""
        return [
            Field("version"),
            Fieldset(
                "Freight bill and bill of lading",
                "pro_number",
                Row("bol_number", "bol_on"),
                Row("supplier", "origin"),
            ),
            Fieldset(
                "What was billed",
                Row("pieces_billed", "piece_unit"),
                Row("billed_weight", "weight_unit"),
            ),
            Fieldset(
                "Terms and freight",
                "delivery_terms",
                "freight_payer",
                Row("freight_charge_cents", "freight_borne_cents"),
                Row("released_value_cents_per_lb", "contract_carriage"),
                "regime",
            ),
        ]

    def clean(self) -> dict[str, Any]:
        """Refuse bearing more than the charge."""
        cleaned = super().clean() or {}
        charge = cleaned.get("freight_charge_cents")
        borne = cleaned.get("freight_borne_cents")
        if charge is not None and borne is not None and borne > charge:
            self.add_error(
                "freight_borne_cents", "This is more than the charge. Check both."
            )
        return cleaned

    def papers(self) -> dict[str, Any]:
        """Return the columns to write."""
        cleaned = dict(self.cleaned_data)
        cleaned.pop("version")
        supplier = cleaned.pop("supplier")
        cleaned["supplier_id"] = supplier.pk if supplier else None
        cleaned["billed_weight"] = figure(cleaned["billed_weight"])
        return cleaned


class CrateForm(StaleForm):
    """Keep a crate's mark, kind and deposit."""

    act = "Save the crate"

    mark = LineField(label="Mark on the crate", most=60, is_identifier=True)
    kind = PickField(
        label="Kind",
        words=words.CRATE_KINDS,
        missing="Choose the kind of crate.",
        as_rows=True,
    )
    deposit_cents = MoneyField(
        label="Deposit", help_text="Only a reusable crate that we kept has one."
    )

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        read_money_in(self, currency)


class _UnitFields(forms.Form):
    model = LineField(label="Model", most=80, missing="Write the model from the plate.")
    serial = LineField(
        label="Serial number",
        most=60,
        is_identifier=True,
        help_text="From the plate or the packing list.",
    )
    crate = RowField(label="Rides in")
    invoice_cents = MoneyField(
        label="Invoice value", help_text="What we pay for it, net of discounts."
    )
    weight = MassField(label="Weight")
    weight_unit = PickField(
        label="In", words=words.MASS_UNITS, missing="Choose lb or kg."
    )

    def set_up(self, shipment: Shipment) -> None:
        """Offer this bill's crates only, and read money in its currency."""
        crate: Any = self.fields["crate"]
        crate.queryset = shipment.crates.order_by("number")
        crate.empty_label = "No crate, or not known"
        invoice: Any = self.fields["invoice_cents"]
        invoice.currency = shipment.currency

    def machine(self) -> dict[str, Any]:
        """Return the machine's columns as the action takes them."""
        cleaned = dict(self.cleaned_data)
        cleaned.pop("version", None)
        return cleaned | {"weight": figure(cleaned["weight"])}


def _unit_rows() -> list[Any]:
    return [
        Field("model"),
        Field("serial"),
        Field("crate"),
        Field("invoice_cents"),
        Row("weight", "weight_unit"),
    ]


class UnitForm(HouseForm, _UnitFields):
    """List a machine of a freight bill."""

    act = "List the machine"

    def __init__(self, *args: Any, shipment: Shipment, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.set_up(shipment)

    def rows(self) -> list[Any]:
        """Return the fields in the order of the plate, then the invoice."""
        return _unit_rows()


class EditUnitForm(StaleForm, _UnitFields):
    """Correct a machine's line."""

    act = "Save the machine"

    def __init__(self, *args: Any, shipment: Shipment, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.set_up(shipment)

    def rows(self) -> list[Any]:
        """Return the fields in the order of the plate, then the invoice."""
        return [Field("version"), *_unit_rows()]
