"""Forms of the dock: the truck, its freight bills, their count, crates and machines."""

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Any

from crispy_forms.layout import Field, Row
from django import forms
from django.core.exceptions import ValidationError

from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.choice_fields import PickField, RowField
from inventory.forms.core.day_fields import MomentField
from inventory.forms.core.layout import Folded
from inventory.forms.core.number_fields import CountField
from inventory.forms.core.photos import PhotosField
from inventory.forms.core.text_fields import LineField, ProField
from inventory.forms.receiving.expected import marks_field
from inventory.models import Carrier, Delivery, ExpectedDelivery, Supplier
from inventory.rules.core import vocabulary as words

MOST_CRATES = 200


class _TruckFields(forms.Form):
    """A truck: its arrival, its driver and its seal."""

    arrived_at = MomentField(
        label="Arrived",
        missing="Enter when the truck arrived, such as 2026-03-31 14:05.",
        help_text="Dock time, such as 2026-03-31 14:05.",
    )
    driver_name = LineField(label="Driver's name", most=80)
    trailer_number = LineField(label="Trailer number", most=30, is_identifier=True)
    seal_number = LineField(
        label="Seal number",
        most=30,
        is_identifier=True,
        help_text="Read it before it is cut.",
    )
    seal_note = LineField(
        label="Seal condition", most=200, help_text="Intact, broken, or no seal."
    )
    unloaded_by = PickField(
        label="Who unloaded?", words=words.UNLOADED_BY, empty="Not known"
    )


class LogDeliveryForm(HouseForm, _TruckFields):
    """Log a truck: the carrier and the time; the rest is optional."""

    act = "Log a truck"
    creates = True

    carrier = RowField(label="Carrier")
    carrier_name = LineField(
        label="New carrier",
        most=100,
        help_text="If the carrier is not on the list, enter its name here.",
    )
    photo = PhotosField(
        label="Photo of the load before unloading", camera=True, multiple=False
    )

    def __init__(
        self, *args: Any, carriers: Sequence[Carrier], latest: datetime, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        ids = [row.pk for row in carriers]
        field: Any = self.fields["carrier"]
        field.queryset = Carrier.objects.filter(pk__in=ids)
        field.is_conditional = True
        field.choices = [("", "Choose a carrier"), *((c.pk, c.name) for c in carriers)]
        arrived_at: Any = self.fields["arrived_at"]
        arrived_at.latest = latest

    def rows(self) -> list[Any]:
        """Return the carrier and time first, then what is seldom needed."""
        return [
            Field("carrier"),
            Field("carrier_name"),
            Field("arrived_at"),
            Field("photo", data_previews="pictures"),
            Folded(
                "Driver, trailer and seal",
                Row("driver_name", "trailer_number"),
                Row("seal_number", "seal_note"),
                Field("unloaded_by"),
            ),
        ]

    def clean(self) -> dict[str, Any]:
        """Ask for one carrier, listed or new."""
        cleaned = super().clean() or {}
        if self.errors.keys() & {"carrier", "carrier_name"}:
            return cleaned
        if not cleaned.get("carrier") and not cleaned.get("carrier_name"):
            self.add_error("carrier", "Choose a carrier, or enter a new one below.")
        return cleaned


class EditDeliveryForm(StaleForm, _TruckFields):
    """Correct a truck before its receipts are signed."""

    act = "Save"

    carrier = RowField(label="Carrier", missing="Choose one.")

    def __init__(self, *args: Any, latest: datetime, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        carrier: Any = self.fields["carrier"]
        carrier.queryset = Carrier.objects.order_by("name")
        arrived_at: Any = self.fields["arrived_at"]
        arrived_at.latest = latest

    def rows(self) -> list[Any]:
        """Return the fields in the order in which a truck is checked."""
        return [
            Field("version"),
            Field("carrier"),
            Field("arrived_at"),
            Row("driver_name", "trailer_number"),
            Row("seal_number", "seal_note"),
            Field("unloaded_by"),
        ]


class _CountFields(forms.Form):
    pieces_counted = CountField(
        label="Pieces counted off this truck",
        has_stepper=True,
        help_text="Count refused pieces too: they were tendered.",
    )
    rest_to_follow = forms.BooleanField(
        label="Part delivery: the rest follows on another truck", required=False
    )


class BillForm(HouseForm, _CountFields):
    """Add a freight bill: its PRO, its pieces, the count and its crates."""

    act = "Add a freight bill"
    creates = True

    pro_number = ProField()
    pieces_billed = CountField(
        label="Pieces billed", least=1, most=9999, has_stepper=True
    )
    piece_unit = PickField(
        label="Unit on the bill",
        words=words.PIECE_UNITS,
        missing="Choose one, such as crate or skid.",
    )
    crates = CountField(
        label="Crates to inspect",
        most=MOST_CRATES,
        has_stepper=True,
        help_text="Leave empty if the bill counts crates: the count is used.",
    )
    crate_kind = PickField(
        label="Kind of crate",
        words=words.CRATE_KINDS,
        missing="Choose one.",
    )
    supplier = RowField(
        label="Supplier", help_text="You then see its standing order on damage."
    )

    def __init__(
        self, *args: Any, expected: ExpectedDelivery | None = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["supplier"]
        field.queryset = Supplier.objects.order_by("name")
        field.empty_label = "Not known yet"
        if marks := marks_field(expected):
            self.fields["marks"] = marks

    def rows(self) -> list[Any]:
        """Return number and count first, then the crates."""
        return [
            Field("pro_number"),
            Row("pieces_billed", "piece_unit"),
            Field("pieces_counted"),
            Field("rest_to_follow"),
            Row("crates", "crate_kind"),
            *(["marks"] if "marks" in self.fields else []),
            Field("supplier"),
        ]

    def clean(self) -> dict[str, Any]:
        """Use the count as the number of crates where the bill counts crates."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        if cleaned.get("crates") is None:
            counted = cleaned.get("pieces_counted") or 0
            cleaned["crates"] = counted if cleaned["piece_unit"] == "crate" else 0
        if cleaned["crates"] > MOST_CRATES:
            raise ValidationError(
                f"At most {MOST_CRATES} crates at a time. Nothing was saved. Enter fewer "
                "crates to inspect, and list the rest afterwards."
            )
        return cleaned


class HandoverForm(StaleForm, _CountFields):
    """Count again before the receipts are signed."""

    act = "Save"

    def rows(self) -> list[Any]:
        """Return the count and whether more follows."""
        return [Field("version"), Field("pieces_counted"), Field("rest_to_follow")]


class CratesForm(HouseForm):
    """List more crates that a truck brought on this freight bill.

    ``name_of`` gives the words for a truck.
    """

    act = "List crates"
    creates = True

    delivery = RowField(label="Truck", missing="Choose one.")
    count = CountField(
        label="Number of crates",
        least=1,
        most=MOST_CRATES,
        missing="Enter a whole number, at least 1.",
        has_stepper=True,
    )
    kind = PickField(
        label="Kind of crate",
        words=words.CRATE_KINDS,
        missing="Choose one.",
    )
    is_over = forms.BooleanField(
        label="Over: not on this bill, held for the carrier", required=False
    )

    def __init__(
        self,
        *args: Any,
        deliveries: Any,
        name_of: Callable[[Delivery], str],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["delivery"]
        field.queryset = deliveries
        field.label_from_instance = name_of
        field.empty_label = None
