"""Forms for what can wait: a bill's paperwork, its crates and its machines."""

from datetime import date
from typing import Any

from crispy_forms.layout import Field, Fieldset, Row
from django import forms
from django.core.exceptions import ValidationError
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
from inventory.forms.receiving.companies import (
    COMPANIES,
    company_field,
    company_rows,
    stored_companies,
)
from inventory.models import Delivery, Shipment, Supplier
from inventory.rules.core import vocabulary as words
from inventory.rules.reckoning.money import MoneyError, check_currency


def figure(value: Any) -> str:
    """Return a weight as stored, "1240.5", or "" where there is none."""
    return "" if value is None else f"{value.normalize():f}"


class ShipmentForm(StaleForm):
    """Complete the paperwork of a freight bill; only its number is required."""

    act = "Save"

    pro_number = ProField()
    supplier = RowField(label="Supplier")
    origin = LineField(label="Shipped from", most=120)
    bol_number = LineField(label="BOL number", most=40, is_identifier=True)
    bol_on = DayField(
        label="BOL date",
        too_late="The BOL is dated before the truck arrives. Enter a date up to {latest}.",
    )
    pieces_billed = CountField(label="Pieces billed", least=1, most=9999)
    piece_unit = PickField(label="Unit", words=words.PIECE_UNITS, missing="Choose one.")
    billed_weight = MassField(label="Billed weight")
    weight_unit = PickField(
        label="Weight unit", words=words.MASS_UNITS, missing="Choose lb or kg."
    )
    delivery_terms = PickField(
        label="Delivery terms",
        words=words.DELIVERY_TERMS,
        missing="Choose one, or Not known.",
        help_text="The terms decide who bears the risk; who pays the freight does not.",
    )
    freight_payer = PickField(
        label="Who pays the freight?",
        words=words.FREIGHT_PAYERS,
        missing="Choose one, or Not known.",
    )
    # Before the amounts: it says how they are read.
    currency = LineField(
        label="Currency",
        most=3,
        is_identifier=True,
        help_text="All amounts of this bill are in it. It stays once a machine, a crate or "
        "a claim has one.",
    )
    freight_charge_cents = MoneyField(label="Freight charge")
    freight_borne_cents = MoneyField(
        label="Freight we bear", help_text="At most the freight charge."
    )
    released_value_cents_per_lb = MoneyField(
        label="Released value per pound", help_text="Only if the bill states one."
    )
    contract_carriage = PickField(
        label="Carried under our own contract?",
        words=words.YES_NO_UNKNOWN,
        missing="Choose one, or Not known.",
    )
    regime = PickField(
        label="Law that applies",
        words=words.REGIMES,
        missing="Choose one.",
    )

    def __init__(
        self,
        *args: Any,
        shipment: Shipment,
        today: date,
        names_parties: bool = False,
        **kwargs: Any,
    ) -> None:
        now_stored = {name: getattr(shipment, name) for name in self.base_fields}
        now_stored |= stored_companies(shipment)
        self.companies = COMPANIES if names_parties else {}
        initial = now_stored | kwargs.pop("initial", {})
        super().__init__(*args, initial=initial, **kwargs)
        supplier: Any = self.fields["supplier"]
        supplier.queryset = Supplier.objects.order_by("name")
        supplier.empty_label = "Not known yet"
        bol_on: Any = self.fields["bol_on"]
        arrived = Delivery.bringing(shipment).aggregate(first=Min("arrived_on"))[
            "first"
        ]
        bol_on.latest = min(today, arrived) if arrived else today
        self.usual_currency = shipment.currency
        read_money_in(self, shipment.currency)
        for name in self.companies:
            self.fields[name] = company_field(name, shipment)

    def rows(self) -> list[Any]:
        """Return the fields in the order of the documents."""
        return [*self._paper_rows(), *company_rows(self.companies)]

    def _paper_rows(self) -> list[Any]:
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
                Field("currency", css_class="short"),
                Row("freight_charge_cents", "freight_borne_cents"),
                Row("released_value_cents_per_lb", "contract_carriage"),
                "regime",
            ),
        ]

    def clean_currency(self) -> str:
        """Return the code of the currency, and read the amounts in it."""
        try:
            code = check_currency(self.cleaned_data["currency"] or self.usual_currency)
        except MoneyError as error:
            raise ValidationError(str(error)) from error
        read_money_in(self, code)
        return code

    def clean(self) -> dict[str, Any]:
        """Refuse more freight borne than charged."""
        cleaned = super().clean() or {}
        charge = cleaned.get("freight_charge_cents")
        borne = cleaned.get("freight_borne_cents")
        if charge is not None and borne is not None and borne > charge:
            self.add_error(
                "freight_borne_cents",
                "This is more than the freight charge. Check both amounts.",
            )
        return cleaned

    def papers(self) -> dict[str, Any]:
        """Return the columns to save."""
        cleaned = dict(self.cleaned_data)
        cleaned.pop("version")
        supplier = cleaned.pop("supplier")
        cleaned["supplier_id"] = supplier.pk if supplier else None
        for name in self.companies:
            company = cleaned.pop(name)
            cleaned[f"{name}_id"] = company.pk if company else None
        cleaned["billed_weight"] = figure(cleaned["billed_weight"])
        return cleaned


class CrateForm(StaleForm):
    """Correct a crate's mark, kind and deposit."""

    act = "Save"

    mark = LineField(label="Crate mark", most=60, is_identifier=True, scans=True)
    kind = PickField(
        label="Kind of crate",
        words=words.CRATE_KINDS,
        missing="Choose one.",
        as_rows=True,
    )
    deposit_cents = MoneyField(
        label="Deposit", help_text="Only a reusable crate that we took has one."
    )

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        read_money_in(self, currency)


class _UnitFields(forms.Form):
    model = LineField(
        label="Model", most=80, missing="Enter the model from the serial plate."
    )
    serial = LineField(
        label="Serial number",
        most=60,
        is_identifier=True,
        scans=True,
        help_text="From the serial plate or the packing list.",
    )
    engine_serial = LineField(
        label="Engine serial number",
        most=60,
        is_identifier=True,
        scans=True,
        help_text="From the papers. At setup it is compared with the engine.",
    )
    crate = RowField(label="Crate")
    invoice_cents = MoneyField(
        label="Invoice value", help_text="What we pay for it, less discounts."
    )
    weight = MassField(label="Weight")
    weight_unit = PickField(
        label="Weight unit", words=words.MASS_UNITS, missing="Choose lb or kg."
    )

    def set_up(self, shipment: Shipment) -> None:
        """Offer this bill's crates only, and read money in its currency."""
        crate: Any = self.fields["crate"]
        crate.queryset = shipment.crates.filter(is_over=False).order_by("number")
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
        Field("engine_serial"),
        Field("crate"),
        Field("invoice_cents"),
        Row("weight", "weight_unit"),
    ]


class UnitForm(HouseForm, _UnitFields):
    """List a machine of a freight bill."""

    act = "List a machine"
    creates = True

    def __init__(self, *args: Any, shipment: Shipment, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.set_up(shipment)

    def rows(self) -> list[Any]:
        """Return the fields in the order of the plate, then the invoice."""
        return _unit_rows()


class EditUnitForm(StaleForm, _UnitFields):
    """Correct a machine's line."""

    act = "Save"
    creates = False

    def __init__(self, *args: Any, shipment: Shipment, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.set_up(shipment)

    def rows(self) -> list[Any]:
        """Return the fields in the order of the plate, then the invoice."""
        return [Field("version"), *_unit_rows()]
