"""Forms of the dock: the truck, its freight bills, their count, crates and machines."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from crispy_forms.layout import HTML, Field, Row
from django import forms
from django.core.exceptions import ValidationError

from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.choice_fields import PickField, RowField
from inventory.forms.core.day_fields import MomentField
from inventory.forms.core.number_fields import CountField
from inventory.forms.core.photos import PhotosField
from inventory.forms.core.text_fields import LineField, ProField
from inventory.models import Carrier, Supplier
from inventory.rules.core import vocabulary as words

MOST_CRATES = 200


class _TruckFields(forms.Form):
    """What is written down about a truck, its driver and its seal."""

    arrived_at = MomentField(
        label="Arrived",
        missing="Write when the truck came, as 2026-03-31 14:05.",
        help_text="Dock time, such as 2026-03-31 14:05.",
    )
    driver_name = LineField(label="Driver", most=80)
    trailer_number = LineField(label="Trailer", most=30, is_identifier=True)
    seal_number = LineField(
        label="Seal number",
        most=30,
        is_identifier=True,
        help_text="Read it before it is cut.",
    )
    seal_note = LineField(
        label="How the seal was", most=200, help_text="Whole, broken, or none."
    )
    unloaded_by = PickField(
        label="Who unloads", words=words.UNLOADED_BY, empty="Not said"
    )


class LogDeliveryForm(HouseForm, _TruckFields):
    """Log a truck: the carrier and the time; all else may wait."""

    act = "Log the truck"
    creates = True

    carrier = RowField(label="Carrier")
    carrier_name = LineField(
        label="Or a new carrier",
        most=100,
        help_text="Not in the list? Write its name here; it counts instead.",
    )
    photo = PhotosField(
        label="The load, before anything moves", camera=True, multiple=False
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
        """Return the carrier and time first, then what may wait."""
        return [
            Field("carrier"),
            Field("carrier_name"),
            Field("arrived_at"),
            Field("photo", data_previews="pictures"),
            HTML(
                "<details class='more'{% if form.is_bound %} open{% endif %}><summary>Driver, trailer and seal</summary>"
            ),
            Row("driver_name", "trailer_number"),
            Row("seal_number", "seal_note"),
            Field("unloaded_by"),
            HTML("</details>"),
        ]

    def clean(self) -> dict[str, Any]:
        """Ask for one carrier, listed or new."""
        cleaned = super().clean() or {}
        if self.errors.keys() & {"carrier", "carrier_name"}:
            return cleaned
        if not cleaned.get("carrier") and not cleaned.get("carrier_name"):
            self.add_error("carrier", "Choose the carrier, or write its name below.")
        return cleaned


class EditDeliveryForm(StaleForm, _TruckFields):
    """Correct what was logged, as long as the receipt is not signed."""

    act = "Save the correction"

    carrier = RowField(label="Carrier", missing="Choose the carrier.")

    def __init__(self, *args: Any, latest: datetime, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        carrier: Any = self.fields["carrier"]
        carrier.queryset = Carrier.objects.order_by("name")
        arrived_at: Any = self.fields["arrived_at"]
        arrived_at.latest = latest

    def rows(self) -> list[Any]:
        """Return the fields in the order in which a truck is looked at."""
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
        label="Counted off this truck",
        has_stepper=True,
        help_text="Refused pieces count too: they were tendered.",
    )
    rest_to_follow = forms.BooleanField(
        label="Part delivery: the rest is to follow on another truck", required=False
    )


class BillForm(HouseForm, _CountFields):
    """Add a freight bill: its PRO, its pieces, the count and the crates beneath."""

    act = "Add the freight bill"
    creates = True

    pro_number = ProField()
    pieces_billed = CountField(
        label="Pieces billed", least=1, most=9999, has_stepper=True
    )
    piece_unit = PickField(
        label="The bill's own unit",
        words=words.PIECE_UNITS,
        missing="Choose the unit the bill counts in.",
    )
    crates = CountField(
        label="Crates to look at",
        most=MOST_CRATES,
        has_stepper=True,
        help_text="Leave empty where the bill counts crates: then it is the count.",
    )
    crate_kind = PickField(
        label="Kind of crate",
        words=words.CRATE_KINDS,
        missing="Choose the kind of crate.",
    )
    supplier = RowField(
        label="Supplier", help_text="Its standing order on damage is shown to you."
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["supplier"]
        field.queryset = Supplier.objects.order_by("name")
        field.empty_label = "Not known yet"

    def rows(self) -> list[Any]:
        """Return number and count first, then the crates."""
        return [
            Field("pro_number"),
            Row("pieces_billed", "piece_unit"),
            Field("pieces_counted"),
            Field("rest_to_follow"),
            Row("crates", "crate_kind"),
            Field("supplier"),
        ]

    def clean(self) -> dict[str, Any]:
        """Take the count for the number of crates where the bill counts crates."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        if cleaned.get("crates") is None:
            counted = cleaned.get("pieces_counted") or 0
            cleaned["crates"] = counted if cleaned["piece_unit"] == "crate" else 0
        if cleaned["crates"] > MOST_CRATES:
            raise ValidationError(
                f"At most {MOST_CRATES} crates at a time. Write fewer under Crates to "
                "look at and list the rest afterwards."
            )
        return cleaned


class HandoverForm(StaleForm, _CountFields):
    """Count again, as long as the receipt is not signed."""

    act = "Save the count"

    def rows(self) -> list[Any]:
        """Return the count and whether more is to come."""
        return [Field("version"), Field("pieces_counted"), Field("rest_to_follow")]


class CratesForm(HouseForm):
    """List more crates that a truck brought on this freight bill."""

    act = "List the crates"

    delivery = RowField(
        label="Which truck brought them", missing="Choose the truck that brought them."
    )
    count = CountField(
        label="How many crates",
        least=1,
        most=MOST_CRATES,
        missing="Write how many crates, at least 1.",
        has_stepper=True,
    )
    kind = PickField(
        label="Kind of crate",
        words=words.CRATE_KINDS,
        missing="Choose the kind of crate.",
    )

    def __init__(self, *args: Any, deliveries: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["delivery"]
        field.queryset = deliveries
        field.label_from_instance = lambda row: (
            f"Truck of {row.arrived_on:%Y-%m-%d}, {row.carrier}"
        )
        field.empty_label = None
