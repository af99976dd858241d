"""Forms of credit memos: typed line by line or imported, and matched."""

from collections.abc import Iterable
from datetime import date
from typing import Any

from crispy_forms.layout import Fieldset, Row
from django import forms

from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.choice_fields import RowField
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.number_fields import MoneyField, read_money_in
from inventory.forms.core.text_fields import LineField
from inventory.forms.memos.sheets import read_memo_file
from inventory.models import Deposit, Location, Supplier
from inventory.queries.ledger.balances import sums_on
from inventory.queries.memos.awaited import currency_of
from inventory.rules.memos.files import Reading, SheetError
from inventory.rules.memos.matching import Line
from inventory.rules.reckoning.money import format_cents

LINES = 8
"""How many lines a memo's form offers at once; more are added on its page."""


class _Head(forms.Form):
    """What stands at the top of a memo."""

    supplier = RowField(label="Supplier", missing="Choose the supplier.")
    number = LineField(
        label="Memo number",
        most=40,
        is_identifier=True,
        missing="Write the number of the memo.",
    )
    dated_on = DayField(label="Dated", missing="Write the memo's date.")
    received_on = DayField(label="Received on", missing="Write the day it came.")

    def set_up(self, location: Location, today: date) -> None:
        """Offer the suppliers, and days up to today."""
        supplier: Any = self.fields["supplier"]
        supplier.queryset = Supplier.objects.order_by("name", "pk")
        supplier.empty_label = "Choose one"
        for name in ("dated_on", "received_on"):
            day: Any = self.fields[name]
            day.latest = today
        self.location = location
        self.read_amounts_in(location.currency)

    def clean_dated_on(self) -> date | None:
        """Return the memo's day; by the terms of that day its amounts are read."""
        dated_on: date | None = self.cleaned_data["dated_on"]
        supplier = self.cleaned_data.get("supplier")
        if supplier is not None and dated_on is not None:
            self.read_amounts_in(currency_of(self.location, supplier, dated_on))
        return dated_on

    def read_amounts_in(self, currency: str) -> None:
        """Read every amount of the memo in this currency."""
        self.currency = currency
        read_money_in(self, currency)

    def head(self) -> dict[str, Any]:
        """Return the memo's own columns."""
        names = ("supplier", "number", "dated_on", "received_on")
        return {name: self.cleaned_data[name] for name in names}


_HEAD_ROWS = ("supplier", "number", Row("dated_on", "received_on"))


class _LineFields(forms.Form):
    """One line of a memo."""

    mark = LineField(label="Mark or GRAI", most=60)
    type_name = LineField(label="Or type, without a mark", most=60)
    amount = MoneyField(label="Credited")
    remark = LineField(label="The supplier's remark", most=200)


class EnterMemoForm(HouseForm, _Head):
    """Type a memo: its head and its first lines."""

    act = "Enter the memo"

    def __init__(
        self, *args: Any, location: Location, today: date, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.set_up(location, today)
        for number in range(1, LINES + 1):
            for name, field in _LineFields().fields.items():
                self.fields[f"{name}_{number}"] = field
        self.read_amounts_in(self.currency)

    def rows(self) -> Iterable[Any]:
        """Return the head, then line by line."""
        lines = [
            Fieldset(
                f"Line {number}",
                Row(f"mark_{number}", f"type_name_{number}"),
                Row(f"amount_{number}", f"remark_{number}"),
            )
            for number in range(1, LINES + 1)
        ]
        return [*_HEAD_ROWS, *lines]

    def clean(self) -> dict[str, Any]:
        """Ask for what a line begun still lacks, and for one line at least."""
        cleaned: dict[str, Any] = super().clean() or {}
        begun = [n for n in range(1, LINES + 1) if self._is_begun(cleaned, n)]
        for number in begun:
            if cleaned.get(f"amount_{number}") is None:
                self._say(f"amount_{number}", "Write what this line credits.")
            if not (
                cleaned.get(f"mark_{number}") or cleaned.get(f"type_name_{number}")
            ):
                self._say(f"mark_{number}", "Write the mark, or the type beside it.")
        if not begun and not self.errors:
            self.add_error("mark_1", "Write at least one line of the memo.")
        return cleaned

    def _say(self, name: str, words: str) -> None:
        if name not in self.errors:
            self.add_error(name, words)

    def _is_begun(self, cleaned: dict[str, Any], number: int) -> bool:
        names = [f"{name}_{number}" for name in _LineFields.base_fields]
        return any(
            cleaned.get(name) not in {None, ""} or name in self.errors for name in names
        )

    def lines(self) -> list[Line]:
        """Return the lines typed, numbered without gaps."""
        got = self.cleaned_data
        begun = [n for n in range(1, LINES + 1) if self._is_begun(got, n)]
        return [
            Line(
                place,
                got[f"amount_{number}"],
                got[f"mark_{number}"],
                got[f"type_name_{number}"],
                got[f"remark_{number}"],
            )
            for place, number in enumerate(begun, start=1)
        ]


class ImportMemoForm(HouseForm, _Head):
    """Read a memo from a file. The first sending only shows what would come of it."""

    act = "Show what each line comes to"
    has_files = True

    sheet = forms.FileField(
        label="The memo as CSV or XLSX",
        allow_empty_file=True,
        max_length=255,
        widget=forms.ClearableFileInput(
            attrs={
                "accept": ".csv,.xlsx,text/csv,"
                "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
            }
        ),
        help_text="First row: mark, type, count, amount, remark. Up to 2 MB and 5,000 "
        "lines.",
        error_messages={
            "required": "Choose the file. A browser does not keep it.",
            "invalid": "Choose the file again.",
            "max_length": "Give the file a shorter name.",
        },
    )

    def __init__(
        self, *args: Any, location: Location, today: date, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.set_up(location, today)
        self.reading = Reading()

    def rows(self) -> Iterable[Any]:
        """Return the head, then the file."""
        return [*_HEAD_ROWS, "sheet"]

    def clean_sheet(self) -> object:
        """Read the file. Its problems stay on the form, row by row."""
        upload = self.cleaned_data["sheet"]
        try:
            self.reading = read_memo_file(upload, self.currency)
        except SheetError as error:
            raise forms.ValidationError(str(error)) from error
        if self.reading.problems:
            count = len(self.reading.problems) + self.reading.more_problems
            raise forms.ValidationError(
                f"{count} row{'' if count == 1 else 's'} cannot be read, so nothing "
                "was saved. Put them right in the file and choose it again."
            )
        return upload


class AddLineForm(HouseForm, _LineFields):
    """Add one line to a memo that is not posted."""

    act = "Add the line"

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        amount: Any = self.fields["amount"]
        amount.required = True
        amount.currency = currency
        amount.error_messages["required"] = "Write what this line credits."

    def rows(self) -> Iterable[Any]:
        """Return the line in two rows."""
        return [Row("mark", "type_name"), Row("amount", "remark")]

    def clean(self) -> dict[str, Any]:
        """Ask for a mark or a type."""
        cleaned: dict[str, Any] = super().clean() or {}
        is_named = cleaned.get("mark") or cleaned.get("type_name")
        if not is_named and not {"mark", "type_name"} & self.errors.keys():
            self.add_error("mark", "Write the mark, or the type beside it.")
        return cleaned

    def line(self) -> Line:
        """Return the line; its position is the memo's to give."""
        got = self.cleaned_data
        return Line(0, got["amount"], got["mark"], got["type_name"], got["remark"])


class MatchLineForm(StaleForm):
    """Say which crate a line is for, or that it is not ours."""

    act = "Match the line"

    deposit = RowField(label="Crate", help_text="With a credit that is still open.")
    is_not_ours = forms.BooleanField(label="It is for no crate of ours", required=False)

    def __init__(self, *args: Any, candidates: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["deposit"]
        field.queryset = candidates
        field.empty_label = "Choose a crate"
        field.label_from_instance = deposit_words

    def clean(self) -> dict[str, Any]:
        """Ask for exactly one of both."""
        cleaned: dict[str, Any] = super().clean() or {}
        if "deposit" in cleaned and bool(cleaned["deposit"]) == bool(
            cleaned.get("is_not_ours")
        ):
            self.add_error("deposit", "Choose a crate, or say that it is not ours.")
        return cleaned


def deposit_words(row: Deposit) -> str:
    """Return a deposit as a list names it, with what is still open on it."""
    sums = sums_on(row)
    name = row.mark or (row.crate.mark if row.crate else "") or str(row.crate or row)
    kind = f", {row.crate_type}" if row.crate_type else ""
    amount = format_cents(sums.credit, sums.currency, code=True)
    return f"{name}{kind}, {amount} open, invoice {row.invoice_number}"


class TakeImportForm(HouseForm):
    """Enter the memo that was shown: it comes back signed, so that nothing changed."""

    act = "Enter the memo with these lines"

    signed = forms.CharField(widget=forms.HiddenInput)
