"""Forms of a return: its plan, its crates, shipping, supplier receipt, a lost crate."""

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from functools import partial
from typing import Any

from crispy_forms.layout import Field, Fieldset, Row
from django import forms

from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.choice_fields import PickField, RowField
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.number_fields import CountField, MoneyField
from inventory.forms.core.photos import PhotosField
from inventory.forms.core.text_fields import LineField, TextField
from inventory.models import Carrier, Crate, Delivery, Location, Supplier
from inventory.rules.crates.words import HOW_SIGNED_WORDS
from inventory.rules.reckoning.moments import day_words

MOST_AHEAD = timedelta(days=365)


class _Plan(forms.Form):
    """The plan of a return. Every part of it can be added later."""

    carrier = RowField(label="Carrier")
    delivery = RowField(
        label="Truck",
        help_text="Choose it if the truck that takes the crates is already logged.",
    )
    planned_on = DayField(
        label="Planned ship date",
        too_late="That is more than a year ahead. Enter a day up to {latest}.",
    )
    authorization = LineField(
        label="Return authorization",
        most=40,
        help_text="The supplier's number.",
    )
    appointment = LineField(label="Pickup appointment", most=100)
    bill_to = TextField(
        label="Bill the freight to",
        most=300,
        rows=3,
        required=False,
        help_text="Name and address. Empty: whoever pays by the supplier's terms.",
    )

    def set_up(self, *, location: Location, today: date) -> None:
        """Offer the carriers, and the trucks of the last week at this dock."""
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
        delivery.empty_label = "Not logged yet"
        delivery.label_from_instance = partial(truck_words, today=today)
        planned: Any = self.fields["planned_on"]
        planned.latest = today + MOST_AHEAD
        planned.earliest = today - timedelta(days=60)


def truck_words(row: Delivery, today: date) -> str:
    """Return a truck as a list names it: "Gannet Overland · Thu 26 Nov, driver Otis"."""
    driver = f", driver {row.driver_name}" if row.driver_name else ""
    return f"{row.carrier} \N{MIDDLE DOT} {day_words(row.arrived_on, today)}{driver}"


_PLAN_ROWS = (
    Row("carrier", "delivery"),
    Row("planned_on", "authorization"),
    "appointment",
    "bill_to",
)


class MakeReturnForm(HouseForm, _Plan):
    """Start a return to a supplier."""

    act = "Plan the return"
    creates = True

    supplier = RowField(label="Supplier", missing="Choose one.")

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
    """Change the plan of a return that is not shipped yet."""

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

    act = "Stage crates"
    creates = True

    crates = forms.MultipleChoiceField(
        label="Crates ready to ship back",
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": "Choose at least one crate.",
            "invalid_choice": "One of them is no longer ready. Nothing was saved. Open the page again.",
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
    """The reason for an act. ``act`` is what the button says."""

    reason = LineField(label="Reason", most=300, missing="Enter a reason.")

    def __init__(self, *args: Any, act: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.act = act


class ShipReturnForm(StaleForm):
    """Ship a return: dates, who takes it, what the driver signed for, photos."""

    act = "Ship return"
    creates = True

    left_on = DayField(label="Picked up on", missing="Enter a date.")
    billed_on = DayField(label="Bill of lading date", missing="Enter a date.")
    carrier = RowField(label="Carrier")
    delivery = RowField(label="Truck")
    driver_name = LineField(label="Driver's name", most=80)
    driver_count = CountField(
        label="Crates the driver signed for",
        most=9_999,
        has_stepper=True,
        help_text="If it differs from our list, both counts are saved.",
    )
    how_signed = PickField(
        label="How was it signed?",
        words=HOW_SIGNED_WORDS,
        missing="Choose one.",
        as_rows=True,
    )
    photos = PhotosField(label="Photos of the load and the signed bill")
    freight_cents = MoneyField(
        label="Return freight", help_text="What the freight costs us."
    )
    supplier_bills_freight = forms.BooleanField(
        label="The supplier bills us for this freight",
        required=False,
        help_text="Only then is it posted here. A carrier's bill goes to accounts "
        "payable.",
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
        carrier.empty_label = "Not known yet"
        delivery: Any = self.fields["delivery"]
        delivery.queryset = (
            Delivery.objects.filter(
                location=location, arrived_on__gte=today - timedelta(days=60)
            )
            .select_related("carrier")
            .order_by("-arrived_at", "-pk")
        )
        delivery.empty_label = "None"
        delivery.label_from_instance = partial(truck_words, today=today)
        counted: Any = self.fields["driver_count"]
        counted.is_conditional = True
        for name in ("left_on", "billed_on"):
            day: Any = self.fields[name]
            day.latest = today
        money: Any = self.fields["freight_cents"]
        money.currency = currency

    def rows(self) -> Iterable[Any]:
        """Return the driver's part first: the driver is waiting."""
        return [
            Field("version"),
            Fieldset(
                "Driver",
                Row("driver_name", "driver_count"),
                "how_signed",
                Field("photos", data_previews="pictures"),
            ),
            Fieldset(
                "Pickup",
                Row("left_on", "billed_on"),
                Row("carrier", "delivery"),
            ),
            Fieldset("Freight", "freight_cents", "supplier_bills_freight"),
        ]

    def clean(self) -> dict[str, Any]:
        """Require the count where the driver signed, and the freight where it is billed."""
        cleaned: dict[str, Any] = super().clean() or {}
        is_signed = cleaned.get("how_signed") == "signed"
        if is_signed and cleaned.get("driver_count", 0) is None:
            self.add_error(
                "driver_count", "Enter the count that the driver signed for."
            )
        if cleaned.get("supplier_bills_freight") and not cleaned.get("freight_cents"):
            self.add_error(
                "freight_cents", "Enter the freight that the supplier bills."
            )
        return cleaned


class ReceiveReturnForm(StaleForm):
    """Record the day on which the supplier received a return."""

    act = "Record supplier receipt"
    creates = True

    received_on = DayField(label="Received by the supplier on", missing="Enter a date.")

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        day: Any = self.fields["received_on"]
        day.latest = today


class LoseCrateForm(StaleForm):
    """Record that a carrier lost a crate in return transit."""

    act = "Record the loss"
    creates = True

    lost_on = DayField(label="Date we learned of it", missing="Enter a date.")
    reason = LineField(
        label="How do we know?", most=300, missing="Enter what shows the loss."
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        day: Any = self.fields["lost_on"]
        day.latest = today
