"""Forms for what suppliers announce: by hand, from a file, and on a bill that arrives."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from datetime import date
from typing import Any

from crispy_forms.layout import Field, Row
from django import forms
from django.core.exceptions import ValidationError

from inventory.forms.core.base import HouseForm
from inventory.forms.core.choice_fields import PickField, RowField
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.number_fields import CountField
from inventory.forms.core.sheet_files import SheetField, read_table
from inventory.forms.core.shown import ShownForm
from inventory.forms.core.text_fields import LineField, TextField
from inventory.forms.core.withdrawing import WithdrawForm
from inventory.models import Carrier, ExpectedDelivery, Location, Supplier
from inventory.rules.codes.normal_keys import normal_key
from inventory.rules.core import vocabulary as words
from inventory.rules.core.table_files import SheetError
from inventory.rules.core.text import (
    clean_file_name,
    normal_identifier,
    normal_pro,
)
from inventory.rules.receiving.announced import (
    MOST_PIECES,
    Announced,
    AnnouncedCrate,
    Notice,
)
from inventory.rules.receiving.ship_notices import (
    DAY_ORDERS,
    LONGEST_AHEAD,
    LONGEST_PAST,
    Reading,
    read_announced,
)

DAMAGED = (
    "The rows were damaged on the way, or the page is older than twelve hours. Nothing "
    "was saved. Choose the file again."
)
_MOST_MARK = 60


def _offer_suppliers(form: forms.Form) -> None:
    supplier: Any = form.fields["supplier"]
    supplier.queryset = Supplier.objects.order_by("name", "pk")
    supplier.empty_label = "Choose one"


def _set_window(form: forms.Form, name: str, today: date) -> None:
    day: Any = form.fields[name]
    day.earliest, day.latest = today - LONGEST_PAST, today + LONGEST_AHEAD


class AddExpectedForm(HouseForm):
    """Enter one announced freight bill by hand."""

    act = "Save the expected bill"
    creates = True

    supplier = RowField(label="Supplier", required=True)
    carrier = RowField(label="Carrier")
    pro_number = LineField(label="PRO number", most=30, is_identifier=True)
    bol_number = LineField(label="Bill of lading", most=40, is_identifier=True)
    expected_on = DayField(
        label="Expected on",
        required=True,
        too_late="That day is more than two years off. Enter a day up to {latest}.",
    )
    pieces = CountField(
        label="Crates announced",
        least=1,
        most=MOST_PIECES,
        has_stepper=True,
        missing="Enter a whole number, at least 1.",
    )
    kind = PickField(label="Kind of crate", words=words.CRATE_KINDS, empty="Not known")
    marks = TextField(
        label="Crate marks",
        most=10_000,
        rows=6,
        help_text="One mark a line. Crates without a mark need no line.",
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _offer_suppliers(self)
        carrier: Any = self.fields["carrier"]
        carrier.queryset = Carrier.objects.order_by("name", "pk")
        carrier.empty_label = "Not known"
        for name in ("pro_number", "bol_number"):
            field: Any = self.fields[name]
            field.is_conditional = True
        _set_window(self, "expected_on", today)

    def rows(self) -> list[Any]:
        """Return the bill, then its crates."""
        return [
            Row("supplier", "carrier"),
            Row("pro_number", "bol_number"),
            Field("expected_on"),
            Row("pieces", "kind"),
            Field("marks"),
        ]

    def clean_pro_number(self) -> str:
        """Leave out the word PRO."""
        return normal_pro(self.cleaned_data["pro_number"])

    def clean_marks(self) -> list[str]:
        """Return the marks, one a line; refuse one that is twice there or too long."""
        lines = self.cleaned_data["marks"].splitlines()
        marks = [normal_identifier(line) for line in lines if line.strip()]
        keys = [normal_key(mark) for mark in marks]
        for mark, key in zip(marks, keys, strict=True):
            if len(mark) > _MOST_MARK:
                raise ValidationError(
                    f"Shorten {mark[:20]} to {_MOST_MARK} characters."
                )
            if keys.count(key) > 1:
                raise ValidationError(f"{mark} is there twice. Enter each mark once.")
        return marks

    def clean(self) -> dict[str, Any]:
        """Ask for a number, and for no more marks than crates."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        if not cleaned["pro_number"] and not cleaned["bol_number"]:
            self.add_error("pro_number", "Enter the PRO number or the bill of lading.")
        if len(cleaned["marks"]) > cleaned["pieces"]:
            self.add_error(
                "pieces",
                f"There are {len(cleaned['marks'])} marks. Enter at least as many crates.",
            )
        return cleaned

    def announced(self) -> Announced:
        """Return the bill that is announced."""
        cleaned = self.cleaned_data
        kind = cleaned["kind"]
        crates = [AnnouncedCrate(0, mark, kind=kind) for mark in cleaned["marks"]]
        rest = cleaned["pieces"] - len(crates)
        if rest:
            crates.append(AnnouncedCrate(0, pieces=rest, kind=kind))
        carrier = cleaned["carrier"]
        return Announced(
            pro=cleaned["pro_number"],
            bol=cleaned["bol_number"],
            carrier=carrier.name if carrier else "",
            expected_on=cleaned["expected_on"],
            crates=tuple(crates),
        )


class ImportExpectedForm(HouseForm):
    """Read a ship notice from a file, only to show the fate of each row."""

    act = "Preview the notice"
    has_files = True

    supplier = RowField(label="Supplier", required=True)
    order = PickField(
        label="Dates with slashes", words=DAY_ORDERS, missing="Choose one."
    )
    expected_on = DayField(
        label="Expected on",
        help_text="Used where a row has no date.",
        too_late="That day is more than two years off. Enter a day up to {latest}.",
    )
    sheet = SheetField(
        label="Ship notice (CSV or XLSX)",
        help_text="First row: PRO or BOL, carrier, expected, mark, model, pieces, "
        "reusable; one row a crate; up to 2 MB and 5,000 rows.",
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.notice = Notice()
        _offer_suppliers(self)
        _set_window(self, "expected_on", today)

    @property
    def file_name(self) -> str:
        """Return the name of the file, as it is kept."""
        return clean_file_name(self.cleaned_data["sheet"].name or "")

    def clean(self) -> dict[str, Any]:
        """Read the file. What cannot be read of it is shown row by row."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        reading = Reading(cleaned["order"], self.today, cleaned["expected_on"])
        try:
            rows, _separator = read_table(cleaned["sheet"])
            self.notice = read_announced(rows, reading)
        except SheetError as error:
            self.add_error("sheet", str(error))
        return cleaned


class NotExpectedForm(WithdrawForm):
    """Ask why an announced bill will not come."""

    act = "No longer expected"


class TakeExpectedForm(ShownForm):
    """Import the bills that were shown: sent back signed, so they cannot change."""

    act = "Import the new bills"
    creates = True
    salt = "inventory.expected-import"
    damaged = DAMAGED

    @classmethod
    def showing(
        cls,
        location: Location,
        supplier: Supplier,
        bills: Sequence[Announced],
        file_name: str,
    ) -> "TakeExpectedForm":
        """Return the form that sends these bills back."""
        shown = {
            "supplier": supplier.pk,
            "file": file_name,
            "bills": [
                asdict(bill) | {"expected_on": bill.expected_on.isoformat()}
                for bill in bills
            ],
        }
        return cls.sending(location, shown)

    def again(self, shown: Mapping[str, Any]) -> dict[str, Any]:
        """Return the bills that were shown."""
        return {
            "supplier": Supplier.objects.get(pk=shown["supplier"]),
            "file_name": shown["file"],
            "bills": [_bill_again(bill) for bill in shown["bills"]],
        }


def _bill_again(shown: dict[str, Any]) -> Announced:
    crates = tuple(AnnouncedCrate(**crate) for crate in shown["crates"])
    day = date.fromisoformat(shown["expected_on"])
    return Announced(**{**shown, "crates": crates, "expected_on": day})


def marks_field(expected: ExpectedDelivery | None) -> forms.MultipleChoiceField | None:
    """Return the ticks for the marks of an announced bill; None where it has none.

    All are ticked: the clerk unticks what did not come.
    """
    if expected is None:
        return None
    lines = expected.crates.exclude(mark="").order_by("position")
    choices = [
        (line.mark, f"{line.mark}, {line.model}" if line.model else line.mark)
        for line in lines
    ]
    if not choices:
        return None
    return forms.MultipleChoiceField(
        label="Marks that came",
        choices=choices,
        initial=[mark for mark, _ in choices],
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Untick the ones that are not on this truck.",
        error_messages={"invalid_choice": "Choose among the marks shown."},
    )
