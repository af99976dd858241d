"""Forms for carriers and suppliers, with the periods in their own terms."""

from collections.abc import Iterable, Mapping
from typing import Any

from crispy_forms.layout import Fieldset, Row
from django import forms

from inventory.actions.people.partners import Period
from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.number_fields import CountField
from inventory.forms.core.text_fields import LineField, TextField
from inventory.rules.core import vocabulary as words

CARRIER_DUTIES = {
    "concealed-notice": "Notice of concealed damage",
    "claim": "Claim",
    "suit": "Lawsuit after a written denial",
}


class _Periods(HouseForm):
    """Adds three fields, count, unit and start, for each period that may differ."""

    period_names: Mapping[str, str] = {}
    has_source = False

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, label in self.period_names.items():
            self.fields[f"{name}_count"] = CountField(
                label=f"{label}: number", least=1, most=999
            )
            self.fields[f"{name}_unit"] = PickField(
                label="Unit", words=words.PERIOD_UNITS, empty="—"
            )
            self.fields[f"{name}_starts"] = PickField(
                label="Counted from", words=words.PERIOD_STARTS, empty="—"
            )
            if self.has_source:
                self.fields[f"{name}_source"] = LineField(
                    label="Source (tariff or contract)", most=200
                )

    def period_rows(self) -> Iterable[Any]:
        """Return one fieldset for each period."""
        ends = ["count", "unit", "starts"] + (["source"] if self.has_source else [])
        for name, label in self.period_names.items():
            yield Fieldset(label, Row(*[f"{name}_{end}" for end in ends]))

    def clean(self) -> dict[str, Any]:
        """Ask for the rest of a period that is half filled in."""
        cleaned: dict[str, Any] = super().clean() or {}
        for name in self.period_names:
            ends = ["count", "unit", "starts"] + (["source"] if self.has_source else [])
            missing = [end for end in ends if not cleaned.get(f"{name}_{end}")]
            if missing and len(missing) < len(ends):
                for end in missing:
                    if f"{name}_{end}" not in self.errors:
                        self.add_error(
                            f"{name}_{end}",
                            "Fill this in too, or clear the whole period.",
                        )
        return cleaned

    def periods(self) -> list[Period]:
        """Return the periods as typed."""
        found = []
        for name in self.period_names:
            count = self.cleaned_data.get(f"{name}_count")
            if count:
                found.append(
                    Period(
                        name=name,
                        count=count,
                        unit=self.cleaned_data[f"{name}_unit"],
                        starts=self.cleaned_data[f"{name}_starts"],
                        source=self.cleaned_data.get(f"{name}_source", ""),
                    )
                )
        return found

    def own_fields(self) -> dict[str, Any]:
        """Return the values of the row itself, without its periods."""
        skip = tuple(f"{name}_" for name in self.period_names)
        return {
            name: value
            for name, value in self.cleaned_data.items()
            if name != "version" and not name.startswith(skip)
        }


class CarrierForm(_Periods):
    """Add a carrier."""

    act = "Add the carrier"
    creates = True
    period_names = CARRIER_DUTIES
    has_source = True

    name = LineField(label="Name", most=100, missing="Enter the carrier's name.")
    legal_name = LineField(
        label="Legal name",
        most=120,
        help_text="As registered, where it is another. Letters are addressed to it.",
    )
    mode = PickField(label="Mode", words=words.CARRIER_MODES, missing="Choose one.")
    usdot_number = forms.RegexField(
        label="USDOT number",
        regex=r"\A[0-9]{1,8}\Z",
        required=False,
        help_text="Up to eight digits, on the truck's door and the bill of lading.",
        error_messages={"invalid": "Enter one to eight digits."},
    )
    scac = forms.RegexField(
        label="SCAC",
        regex=r"\A[A-Z]{2,4}\Z",
        required=False,
        help_text="Standard Carrier Alpha Code, two to four capital letters.",
        error_messages={"invalid": "Enter two to four capital letters."},
    )
    claims_address = TextField(label="Address for claims", most=400)
    claims_email = forms.EmailField(
        label="Email for claims",
        required=False,
        max_length=254,
        error_messages={
            "invalid": "Enter one address, such as claims@carrier.example."
        },
    )
    claims_phone = LineField(label="Phone for claims", most=40)
    terminal_email = forms.EmailField(
        label="Email of its terminal",
        required=False,
        max_length=254,
        help_text="For a receipt that was not signed with our exceptions.",
        error_messages={
            "invalid": "Enter one address, such as terminal@carrier.example."
        },
    )
    terminal_phone = LineField(label="Phone of its terminal", most=40)
    mail_days = CountField(
        label="Mail time in business days",
        least=0,
        most=30,
        help_text="How long a letter takes to reach it.",
        missing="Enter the mail time in days, such as 5.",
    )

    def rows(self) -> Iterable[Any]:
        """Return the carrier's own fields, then its periods."""
        own = ["name", "legal_name", "mode", "usdot_number", "scac"]
        own += ["claims_address", "claims_email"]
        terminal = ["terminal_email", "terminal_phone"]
        return [*own, "claims_phone", *terminal, "mail_days", *self.period_rows()]


class EditCarrierForm(CarrierForm, StaleForm):
    """Change a carrier."""

    act = "Save the changes"
    creates = False

    def rows(self) -> Iterable[Any]:
        """Return the version, then the same fields."""
        return ["version", *super().rows()]


class SupplierForm(_Periods):
    """Add a supplier."""

    act = "Add the supplier"
    creates = True
    period_names = words.SUPPLIER_PERIODS

    name = LineField(label="Name", most=100, missing="Enter the supplier's name.")
    address = TextField(label="Address", most=400)
    claims_contact = LineField(label="Contact for damage", most=100)
    claims_email = forms.EmailField(
        label="Email for damage",
        required=False,
        max_length=254,
        error_messages={"invalid": "Enter one address, such as claims@maker.example."},
    )
    returns_email = forms.EmailField(
        label="Email for returns",
        required=False,
        max_length=254,
        error_messages={"invalid": "Enter one address, such as returns@maker.example."},
    )
    files_when_prepaid = forms.BooleanField(
        label="Files its own claim on freight it prepays", required=False
    )
    standing_order = PickField(
        label="Standing order for damaged crates",
        words=words.STANDING_ORDERS,
        missing="Choose one.",
    )
    needs_return_authorization = forms.BooleanField(
        label="Requires a return authorization", required=False
    )
    crate_terms = TextField(label="Crate terms, as written", most=1000)

    def rows(self) -> Iterable[Any]:
        """Return the supplier's own fields, then its periods."""
        own = ["name", "address", "claims_contact", "claims_email", "returns_email"]
        more = ["standing_order", "files_when_prepaid", "needs_return_authorization"]
        return [*own, *more, "crate_terms", *self.period_rows()]


class EditSupplierForm(SupplierForm, StaleForm):
    """Change a supplier."""

    act = "Save the changes"
    creates = False

    def rows(self) -> Iterable[Any]:
        """Return the version, then the same fields."""
        return ["version", *super().rows()]
