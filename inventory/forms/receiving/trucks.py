"""Forms of the truck at the dock: logging it, and correcting it."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Field, Row
from django import forms

from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.choice_fields import PickField, RowField
from inventory.forms.core.day_fields import MomentField
from inventory.forms.core.layout import Folded
from inventory.forms.core.photos import PhotosField
from inventory.forms.core.text_fields import LineField
from inventory.forms.receiving.bills import BillFields, bill_rows
from inventory.models import Carrier, ExpectedDelivery
from inventory.rules.core import vocabulary as words

CARRIERS_FIRST = 5
"""How many carriers are shown as tiles, the last used first; the others fold."""
CHIPS = "dock/layout/chips.html"


class _TruckFields(forms.Form):
    """A truck: its arrival, its driver and its seal."""

    arrived_at = MomentField(label="Arrived", missing="Enter when the truck arrived.")
    driver_name = LineField(label="Driver's name", most=80)
    trailer_number = LineField(label="Trailer number", most=30, is_identifier=True)
    seal_number = LineField(
        label="Seal number",
        most=30,
        is_identifier=True,
        scans=True,
        help_text="Read it before it is cut.",
    )
    seal_condition = PickField(
        label="Seal, before the doors open",
        words=words.SEAL_CONDITIONS,
        empty="Not known",
    )
    seal_note = LineField(label="Note on the seal", most=200)
    unloaded_by = PickField(
        label="Who unloaded?", words=words.UNLOADED_BY, empty="Not known"
    )


class LogDeliveryForm(HouseForm, _TruckFields, BillFields):
    """Log a truck with its first freight bill: the carrier, the PRO and the pieces."""

    act = "Log a truck"
    creates = True

    carrier = RowField(label="Carrier", widget=forms.RadioSelect)
    carrier_name = LineField(label="New carrier", most=100)
    photo = PhotosField(
        label="Photo of the load before unloading", camera=True, multiple=False
    )

    def __init__(
        self,
        *args: Any,
        carriers: Sequence[Carrier],
        latest: datetime,
        expected: ExpectedDelivery | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        ids = [row.pk for row in carriers]
        field: Any = self.fields["carrier"]
        field.queryset = Carrier.objects.filter(pk__in=ids)
        field.is_conditional = True
        field.choices = [(row.pk, row.name) for row in carriers]
        field.first = CARRIERS_FIRST
        field.widget.attrs["data-then"] = "id_pro_number"
        self.has_carriers = bool(ids)
        arrived_at: Any = self.fields["arrived_at"]
        arrived_at.latest = latest
        self.set_up_bill(expected)
        self.fields["pro_number"].required = expected is not None

    @property
    def helper(self) -> FormHelper:
        """Return the helper of a form that fits one screen."""
        helper = super().helper
        helper.form_class = "dense"
        return helper

    def rows(self) -> list[Any]:
        """Return the carrier and the bill first, then what is seldom needed."""
        new = Field("carrier_name")
        return [
            *(
                [Field("carrier", template=CHIPS, wrapper_class="two")]
                if self.has_carriers
                else []
            ),
            Folded("New carrier", new) if self.has_carriers else new,
            *bill_rows(*self.marks_row()),
            Field("photo", data_previews="pictures"),
            Folded(
                "Arrived now: change the time, driver, trailer, seal",
                Field("arrived_at"),
                Row("driver_name", "trailer_number"),
                Row("seal_number", "seal_condition"),
                Field("seal_note"),
                Field("unloaded_by"),
            ),
        ]

    def clean(self) -> dict[str, Any]:
        """Ask for one carrier, listed or new, and for the number of a bill."""
        cleaned = super().clean() or {}
        is_named = self.errors.keys() & {"carrier", "carrier_name"}
        if not is_named and not cleaned.get("carrier") and not cleaned["carrier_name"]:
            name = "carrier" if self.has_carriers else "carrier_name"
            self.add_error(name, "Choose a carrier, or enter a new one.")
        if cleaned.get("pieces_billed") and not cleaned.get("pro_number"):
            self.add_error("pro_number", "Enter the PRO number of the freight bill.")
        if not self.errors and cleaned["pro_number"]:
            cleaned["bill"] = self.bill()
        return cleaned


class EditDeliveryForm(StaleForm, _TruckFields):
    """Correct a truck before its receipts are signed."""

    act = "Save"

    carrier = RowField(label="Carrier", missing="Choose one.")
    started_at = MomentField(label="Unloading started")
    departed_at = MomentField(label="Driver left")
    unloaded_with = PickField(
        label="Unloaded with", words=words.UNLOADED_WITH, empty="Not known"
    )
    shippers_count = forms.BooleanField(
        label="Shipper's load and count", required=False
    )
    damaged_on_trailer = forms.BooleanField(
        label="Damage seen on the trailer, before it was moved", required=False
    )

    def __init__(self, *args: Any, latest: datetime, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        carrier: Any = self.fields["carrier"]
        carrier.queryset = Carrier.objects.order_by("name")
        for name in ("arrived_at", "started_at", "departed_at"):
            moment: Any = self.fields[name]
            moment.latest = latest

    def rows(self) -> list[Any]:
        """Return the fields in the order in which a truck is checked."""
        return [
            Field("version"),
            Field("carrier"),
            Field("arrived_at"),
            Row("started_at", "departed_at"),
            Row("driver_name", "trailer_number"),
            Row("seal_number", "seal_condition"),
            Field("seal_note"),
            Field("shippers_count"),
            Row("unloaded_by", "unloaded_with"),
            Field("damaged_on_trailer"),
        ]
