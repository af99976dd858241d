"""Forms of a return: its plan, its crates, its departure, its arrival, its losses."""

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from typing import Any

from crispy_forms.layout import Field, Fieldset, Row
from django import forms

from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.choice_fields import PickField, RowField
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.number_fields import CountField, MoneyField
from inventory.forms.core.text_fields import LineField
from inventory.forms.evidence.photos import PhotoField, PhotoFormMixin
from inventory.models import Carrier, Crate, Delivery, Location, Supplier
from inventory.rules.crates.words import HOW_SIGNED_WORDS

MOST_AHEAD = timedelta(days=365)


class _Plan(forms.Form):
    """What a return's plan may say, all of it later if need be."""

    carrier = RowField(label="Carrier", help_text="Leave it open until it is known.")
    delivery = RowField(
        label="Truck at the dock",
        help_text="Where the truck that takes them is logged in already.",
    )
    planned_on = DayField(
        label="Planned for",
        help_text="Such as 2026-03-31.",
        too_late="This is more than a year ahead. Write a day up to {latest}.",
    )
    authorization = LineField(
        label="Return authorization", most=40, help_text="The supplier's number."
    )
    appointment = LineField(label="Appointment", most=100)

    def set_up(self, *, location: Location, today: date) -> None:
        """Offer the carriers, and the trucks at this dock that are not signed for."""
        carrier: Any = self.fields["carrier"]
        carrier.queryset = Carrier.objects.exclude(mode="broker").order_by("name", "pk")
        carrier.empty_label = "Not known yet"
        delivery: Any = self.fields["delivery"]
        delivery.queryset = (
            Delivery.objects.filter(
                location=location, arrived_on__gte=today - timedelta(days=7)
            )
            .select_related("carrier")
            .order_by("-arrived_at", "-pk")
        )
        delivery.empty_label = "No truck yet"
        delivery.label_from_instance = truck_words
        planned: Any = self.fields["planned_on"]
        planned.latest = today + MOST_AHEAD
        planned.earliest = today - timedelta(days=60)


def truck_words(row: Delivery) -> str:
    """Return a truck as a list names it."""
    return f"{row.carrier}, {row.arrived_on:%Y-%m-%d}, driver {row.driver_name or '?'}"


_PLAN_ROWS = (
    Row("carrier", "delivery"),
    Row("planned_on", "authorization"),
    "appointment",
)


class MakeReturnForm(HouseForm, _Plan):
    """Begin a return to a supplier."""

    act = "Begin the return"

    supplier = RowField(label="Supplier", missing="Choose the supplier they go to.")

    def __init__(
        self, *args: Any, location: Location, today: date, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        supplier: Any = self.fields["supplier"]
        supplier.queryset = Supplier.objects.order_by("name", "pk")
        supplier.empty_label = "Choose one"
        self.set_up(location=location, today=today)

    def rows(self) -> Iterable[Any]:
        """Return the supplier first, then the plan."""
        return ["supplier", *_PLAN_ROWS]


class EditReturnForm(StaleForm, _Plan):
    """Change the plan of a return that has not left."""

    act = "Save the plan"

    def __init__(
        self, *args: Any, location: Location, today: date, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.set_up(location=location, today=today)

    def rows(self) -> Iterable[Any]:
        """Return the version, then the plan."""
        return [Field("version"), *_PLAN_ROWS]


class StageCratesForm(HouseForm):
    """Choose the crates that go onto a return."""

    act = "Stage the crates"

    crates = forms.MultipleChoiceField(
        label="Crates that are ready to go",
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": "Choose at least one crate.",
            "invalid_choice": "One of them is no longer ready. Open the page again.",
        },
    )

    def __init__(self, *args: Any, ready: Sequence[Crate], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.by_key = {str(row.pk): row for row in ready}
        field: Any = self.fields["crates"]
        field.choices = [(key, crate_words(row)) for key, row in self.by_key.items()]

    def clean_crates(self) -> list[Crate]:
        """Return the crates chosen."""
        return [self.by_key[key] for key in self.cleaned_data["crates"]]


def crate_words(row: Crate) -> str:
    """Return a crate as a list names it."""
    kind = f", {row.crate_type}" if row.crate_type else ""
    return f"{row.mark or row.grai or row}{kind}, {row.get_state_display().lower()}"


class ReasonForm(StaleForm):
    """Say why; ``act`` and the field's label are given."""

    reason = LineField(label="Why", most=300, missing="Say why in a few words.")

    def __init__(self, *args: Any, act: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.act = act


class ShipReturnForm(PhotoFormMixin, StaleForm):
    """Let a return leave: days, who takes it, what the driver signed for, photos."""

    act = "Record that it left"
    has_files = True

    left_on = DayField(label="Picked up on", missing="Write the day it left.")
    billed_on = DayField(
        label="Date of the bill of lading", missing="Write the date of the bill."
    )
    carrier = RowField(label="Carrier")
    delivery = RowField(label="Truck at the dock")
    driver_name = LineField(label="Driver", most=80)
    driver_count = CountField(
        label="Crates the driver counted",
        most=9_999,
        has_stepper=True,
        help_text="As signed. A difference is kept and stops nothing.",
    )
    how_signed = PickField(
        label="How it was signed",
        words=HOW_SIGNED_WORDS,
        missing="Choose how it was signed.",
        as_rows=True,
    )
    photos = PhotoField(
        label="Photos of the load and of the signed bill", multiple=True
    )
    freight_cents = MoneyField(
        label="Return freight",
        help_text="What it costs us, where it is known.",
    )
    supplier_bills_freight = forms.BooleanField(
        label="The supplier bills us this freight",
        required=False,
        help_text="Only then is it posted here. A carrier's bill belongs to the "
        "dealer's own payables.",
    )

    def __init__(
        self,
        *args: Any,
        location: Location,
        today: date,
        currency: str,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        carrier: Any = self.fields["carrier"]
        carrier.queryset = Carrier.objects.exclude(mode="broker").order_by("name", "pk")
        carrier.empty_label = "Not known"
        delivery: Any = self.fields["delivery"]
        delivery.queryset = (
            Delivery.objects.filter(
                location=location, arrived_on__gte=today - timedelta(days=60)
            )
            .select_related("carrier")
            .order_by("-arrived_at", "-pk")
        )
        delivery.empty_label = "None: it came for the empties only"
        delivery.label_from_instance = truck_words
        for name in ("left_on", "billed_on"):
            day: Any = self.fields[name]
            day.latest = today
        money: Any = self.fields["freight_cents"]
        money.currency = currency

    def rows(self) -> Iterable[Any]:
        """Return the driver first: he waits."""
        return [
            Field("version"),
            Field("client_id"),
            Fieldset(
                "What the driver signs for",
                Row("driver_name", "driver_count"),
                "how_signed",
                Field("photos", data_previews="pictures"),
            ),
            Fieldset(
                "When and with whom",
                Row("left_on", "billed_on"),
                Row("carrier", "delivery"),
            ),
            Fieldset("Freight", "freight_cents", "supplier_bills_freight"),
        ]

    def clean(self) -> dict[str, Any]:
        """Ask for the count where the driver signed, and for the freight billed."""
        cleaned: dict[str, Any] = super().clean() or {}
        is_signed = cleaned.get("how_signed") == "signed"
        if is_signed and cleaned.get("driver_count", 0) is None:
            self.add_error(
                "driver_count", "Write the count that the driver signed for."
            )
        if cleaned.get("supplier_bills_freight") and not cleaned.get("freight_cents"):
            self.add_error("freight_cents", "Write the freight the supplier bills.")
        return cleaned


class ReceiveReturnForm(StaleForm):
    """Record the day on which the supplier received a return."""

    act = "Record the receipt"

    received_on = DayField(
        label="Received by the supplier on", missing="Write the day it was received."
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        day: Any = self.fields["received_on"]
        day.latest = today


class LoseCrateForm(StaleForm):
    """Record that a carrier lost a crate on its way back."""

    act = "Record the loss"

    lost_on = DayField(label="Known since", missing="Write the day it was known.")
    reason = LineField(
        label="What shows it",
        most=300,
        missing="Say what shows that it was lost on the way.",
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        day: Any = self.fields["lost_on"]
        day.latest = today
