"""Forms of a freight bill at the dock: its number and pieces, its count, its crates."""

from collections.abc import Callable
from typing import Any

from crispy_forms.layout import Field, Row
from django import forms
from django.core.exceptions import ValidationError

from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.choice_fields import PickField, RowField
from inventory.forms.core.layout import Folded
from inventory.forms.core.number_fields import CountField
from inventory.forms.core.text_fields import ProField
from inventory.forms.receiving.expected import marks_field
from inventory.models import Delivery, ExpectedDelivery, Shipment, Supplier
from inventory.rules.core import vocabulary as words

MOST_CRATES = 200
USUAL = {"piece_unit": "crate", "crate_kind": "one-way", "handling_unit": "skid"}
"""What a freight bill says where nobody says otherwise."""


class BillFields(forms.Form):
    """A freight bill in its own units: pieces, and handling units where it has them."""

    pro_number = ProField()
    pieces_billed = CountField(label="Pieces billed", least=1, most=9999)
    piece_unit = PickField(
        label="Unit on the bill",
        words=words.PIECE_UNITS,
        missing="Choose one, such as crate or skid.",
    )
    crates = CountField(
        label="Crates to inspect",
        most=MOST_CRATES,
        help_text="Leave empty if the bill counts crates.",
    )
    crate_kind = PickField(
        label="Kind of crate",
        words=words.CRATE_KINDS,
        missing="Choose one.",
    )
    handling_billed = CountField(
        label="Handling units billed",
        least=1,
        most=9999,
        help_text="If the bill states them beside the pieces, such as 3 skids.",
    )
    handling_unit = PickField(
        label="Handling unit", words=words.PIECE_UNITS, missing="Choose one."
    )
    supplier = RowField(
        label="Supplier", help_text="You then see its standing order on damage."
    )

    def set_up_bill(self, expected: ExpectedDelivery | None = None) -> None:
        """Offer the suppliers, and the marks of a bill that was announced."""
        if marks := marks_field(expected):
            self.fields["marks"] = marks
        field: Any = self.fields["supplier"]
        field.queryset = Supplier.objects.order_by("name")
        field.empty_label = "Not known yet"
        for name, usual in USUAL.items():
            fields: Any = self.fields[name]
            fields.required, fields.is_conditional = False, True
            self.initial.setdefault(name, usual)

    def marks_row(self) -> list[str]:
        """Return the row of the announced marks, where there are any."""
        return ["marks"] if "marks" in self.fields else []

    def bill(self) -> dict[str, Any]:
        """Return the bill as the action takes it; crates default to crates billed.

        Raise ValidationError for too many crates.
        """
        bill = {name: self.cleaned_data[name] for name in BillFields.base_fields}
        bill |= {name: bill[name] or usual for name, usual in USUAL.items()}
        if bill["crates"] is None:
            counted = self.cleaned_data.get("pieces_counted")
            pieces = bill["pieces_billed"] if counted is None else counted
            bill["crates"] = (pieces or 0) if bill["piece_unit"] == "crate" else 0
        if bill["crates"] > MOST_CRATES:
            raise ValidationError(
                f"At most {MOST_CRATES} crates at a time. Nothing was saved. Enter fewer "
                "crates to inspect, and list the rest afterwards."
            )
        return bill


def bill_rows(*more: Any) -> list[Any]:
    """Return number and pieces first, then what is seldom needed."""
    return [
        Field("pro_number"),
        Row("pieces_billed", "piece_unit", css_class="pair"),
        *more,
        Folded(
            "Crates differ, handling units, supplier",
            Row("crates", "crate_kind", css_class="pair"),
            Row("handling_billed", "handling_unit", css_class="pair"),
            Field("supplier"),
        ),
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


class BillForm(HouseForm, BillFields, _CountFields):
    """Add a freight bill: its PRO, its pieces, the count and its crates."""

    act = "Add a freight bill"
    creates = True

    def __init__(
        self, *args: Any, expected: ExpectedDelivery | None = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.set_up_bill(expected)

    def rows(self) -> list[Any]:
        """Return number and count first, then the crates."""
        count = [Field("pieces_counted"), Field("rest_to_follow")]
        return bill_rows(*self.marks_row(), *count)

    def clean(self) -> dict[str, Any]:
        """Use the pieces as the number of crates where the bill counts crates."""
        cleaned = super().clean() or {}
        return cleaned if self.errors else cleaned | self.bill()


class HandoverForm(StaleForm, _CountFields):
    """Count what the truck brought of one bill, in the bill's own units."""

    act = "Save"

    handling_counted = CountField(label="Handling units counted", has_stepper=True)

    def __init__(self, *args: Any, shipment: Shipment, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        pieces, handling = (
            self.fields["pieces_counted"],
            self.fields["handling_counted"],
        )
        pieces.label = f"{shipment.get_piece_unit_display().capitalize()}s counted"
        handling.label = f"{shipment.get_handling_unit_display().capitalize()}s counted"
        pieces.required = True
        pieces.error_messages["required"] = "Enter the count, or 0 for none."
        if shipment.handling_billed is None:
            del self.fields["handling_counted"]

    def rows(self) -> list[Any]:
        """Return the count and whether more follows."""
        names = [name for name in ("handling_counted",) if name in self.fields]
        return [
            Field("version"),
            Field("pieces_counted"),
            *names,
            Field("rest_to_follow"),
        ]


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
