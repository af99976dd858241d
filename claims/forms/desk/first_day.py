"""The short forms of the first day: the few fields without which nothing works."""

from collections.abc import Iterable
from datetime import date
from typing import Any, ClassVar

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Field, Row

from claims.actions.desk.first_day import FirstCrates
from inventory.forms.core.base import HouseForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.number_fields import CountField, MoneyField
from inventory.forms.core.text_fields import LineField, TextField
from inventory.forms.people.partners import CarrierForm, SupplierForm
from inventory.forms.people.people import LocationForm, PersonForm
from inventory.rules.crates.words import DECLINES
from inventory.rules.deposits.credit import DepositError, Terms
from inventory.rules.reckoning.zones import REGIONS

CURRENCIES = {"US": "USD", "CA": "CAD"}
CHIPS = "dock/layout/chips.html"
TOGETHER = "Fill this in too, or clear the crate type and its deposit."


class _OnBoard(HouseForm):
    """A form on a board: the page has the form tag and the buttons.

    ``left_out`` are the fields of the whole form that the first day does not ask.
    """

    left_out: ClassVar[tuple[str, ...]] = ()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in self.left_out:
            del self.fields[name]

    @property
    def helper(self) -> FormHelper:
        """Return the helper without a form tag and without a button."""
        helper = super().helper
        helper.form_tag = False
        helper.inputs = []
        return helper


class FirstLocationForm(_OnBoard, LocationForm):
    """The location: name, code, address, state, time zone and paper."""

    act = "Save the location"

    left_out = (
        "country",
        "subdivision",
        "latitude",
        "longitude",
        "length_unit",
        "currency",
        "shop_rate",
        "shop_rate_source",
    )

    region = PickField(
        label="State or province",
        words={},
        missing="Choose the state or province.",
    )
    paper = PickField(
        label="Paper",
        words={"letter": "US Letter", "a4": "A4"},
        missing="Choose the paper.",
        as_rows=True,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        region: Any = self.fields["region"]
        region.choices = [("", "Choose one"), *REGIONS.items()]

    def rows(self) -> Iterable[Any]:
        """Return the name first, the paper last."""
        return [
            Row("name", "code"),
            Field("address", rows="2"),
            Row("region", "time_zone"),
            Field("paper", template=CHIPS),
        ]

    def own_fields(self) -> dict[str, Any]:
        """Return the values of the row itself, the currency by its country."""
        values = dict(self.cleaned_data)
        country, _, subdivision = values.pop("region").partition("-")
        return values | {
            "country": country,
            "subdivision": subdivision,
            "currency": CURRENCIES[country],
            "length_unit": "ft",
        }


class FirstPersonForm(_OnBoard, PersonForm):
    """A person with a role."""

    act = "Save the person"

    left_out = ("phone", "is_administrator")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for place in self.places:
            field: Any = self.fields[f"roles_{place.pk}"]
            field.label, field.help_text = f"Role at {place}", ""
            field.is_conditional = True  # one of them is needed: see clean

    def rows(self) -> Iterable[Any]:
        """Return who it is, how they sign in, and their roles as chips."""
        roles = [Field(f"roles_{one.pk}", template=CHIPS) for one in self.places]
        return ["full_name", Row("username", "password"), *roles]

    def clean(self) -> dict[str, Any]:
        """Ask for a role: nobody is helped by a sign-in that leads nowhere."""
        cleaned: dict[str, Any] = super().clean() or {}
        names = [f"roles_{one.pk}" for one in self.places]
        if names and not self.errors and not any(cleaned[name] for name in names):
            self.add_error(names[0], "Choose at least one role.")
        return cleaned


class FirstSupplierForm(_OnBoard, SupplierForm):
    """A supplier, with one type of crate and what its deposit earns."""

    act = "Save the supplier"
    period_names = {}

    left_out = (
        "address",
        "claims_contact",
        "returns_email",
        "files_when_prepaid",
        "standing_order",
        "needs_return_authorization",
        "crate_terms",
    )

    name = LineField(label="Supplier", most=100, missing="Enter the supplier's name.")
    crate_type = LineField(
        label="Crate type", most=60, help_text="Leave it empty if it takes no deposit."
    )
    deposit = MoneyField(label="Deposit for each crate", least=1)
    full_days = CountField(label="Full credit, days", least=1, most=9_999)
    decline = PickField(
        label="After that",
        words={key: DECLINES[key] for key in ("none", "straight")},
        required=True,
    )
    ends_day = CountField(
        label="Zero after day",
        least=1,
        most=9_999,
        help_text="Only where the credit falls day by day.",
    )

    def __init__(self, *args: Any, currency: str, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.currency, self.today = currency, today
        fields: Any = self.fields
        fields["claims_email"].label = "Email for damage notices"
        fields["deposit"].currency = currency
        for name in ("deposit", "full_days"):
            fields[name].is_conditional = True

    def rows(self) -> Iterable[Any]:
        """Return the supplier, its crate, and what the deposit earns."""
        return [
            Row("name", "claims_email"),
            Row("crate_type", "deposit", "full_days"),
            Row("decline", "ends_day"),
        ]

    def clean(self) -> dict[str, Any]:
        """Ask for the rest of a crate type that is half filled in."""
        cleaned: dict[str, Any] = super().clean() or {}
        names = ("crate_type", "deposit", "full_days")
        given = [name for name in names if cleaned.get(name)]
        for name in names:
            if given and name not in given and name not in self.errors:
                self.add_error(name, TOGETHER)
        if given and not self.errors:
            try:
                cleaned["rule"] = self._rule(cleaned)
            except DepositError as error:
                self.add_error(None, f"{error} Nothing was saved.")
        return cleaned

    def _rule(self, cleaned: dict[str, Any]) -> Terms:
        """Return the terms; what is not asked here takes the careful reading."""
        return Terms(
            clock_starts="invoice",
            clock_stops="receipt",
            includes_last_day=True,
            full_days=cleaned["full_days"],
            decline=cleaned["decline"],
            ends_day=cleaned["ends_day"],
            ceiling=None,
            return_freight="us",
            minimum_per_pickup=1,
            needs_authorization=False,
            needs_appointment=False,
            oldest_first=True,
            transit_days=0,
            unloading_days=0,
            memo_days=30,
            steps=(),
        )

    def own_fields(self) -> dict[str, Any]:
        """Return the values of the supplier itself."""
        return {name: self.cleaned_data[name] for name in ("name", "claims_email")}

    def crates(self) -> FirstCrates | None:
        """Return its crate type with the terms, or None without one."""
        data = self.cleaned_data
        if not data["crate_type"]:
            return None
        return FirstCrates(
            data["crate_type"], data["deposit"], self.currency, data["rule"], self.today
        )


class FirstCarrierForm(_OnBoard, CarrierForm):
    """A carrier: its name, its code, where claims go."""

    act = "Save the carrier"
    period_names = {}

    left_out = ("mode", "claims_phone", "terminal_email", "terminal_phone", "mail_days")

    name = LineField(label="Carrier", most=100, missing="Enter the carrier's name.")
    claims_address = TextField(label="Address for claims", most=400, rows=2)

    def rows(self) -> Iterable[Any]:
        """Return the name and the code, then where claims go."""
        return [Row("name", "scac"), Row("claims_address", "claims_email")]

    def own_fields(self) -> dict[str, Any]:
        """Return the values of the row itself, with the usual ones."""
        return super().own_fields() | {"mode": "motor", "mail_days": 5}


class UsualNumbersForm(_OnBoard):
    """Take the account numbers that are filled in."""

    act = "Use these numbers"
    creates = True
