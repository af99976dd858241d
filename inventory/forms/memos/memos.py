"""Forms for credit memos: enter or import one, add lines, match them."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any, ClassVar

from crispy_forms.layout import Row
from django import forms

from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.choice_fields import RowField
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.lines import (
    Line as LineOfForm,
)
from inventory.forms.core.lines import LinedForm, Lines, LinesLayout, lines_of
from inventory.forms.core.number_fields import MoneyField, read_money_in
from inventory.forms.core.sheet_files import SheetField, read_table
from inventory.forms.core.shown import ShownForm
from inventory.forms.core.text_fields import LineField
from inventory.models import Deposit, Location, Supplier
from inventory.queries.deposits.facts import currency_of
from inventory.queries.ledger.balances import sums_on
from inventory.rules.core.table_files import SheetError
from inventory.rules.memos.files import Reading, read_lines
from inventory.rules.memos.matching import Line
from inventory.rules.reckoning.counts import pieces_in_words
from inventory.rules.reckoning.money import format_cents

LINES = 8
"""How many lines are entered with a memo; more are added on its page."""

DAMAGED = (
    "The lines were damaged on the way, or the page is older than twelve hours. "
    "Nothing was saved. Choose the file again."
)


class _Head(forms.Form):
    """The head of a memo."""

    supplier = RowField(label="Supplier", required=True)
    number = LineField(
        label="Memo number",
        most=40,
        is_identifier=True,
        missing="Enter the number on the memo.",
    )
    dated_on = DayField(label="Memo date", required=True)
    received_on = DayField(label="Date received", required=True)

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
    """The fields of one memo line."""

    mark = LineField(label="Crate mark or GRAI", most=60)
    type_name = LineField(label="Or its crate type", most=60)
    amount = MoneyField(label="Amount credited", required=True, names_currency=False)
    remark = LineField(label="Supplier's remark", most=200)

    def clean(self) -> dict[str, Any]:
        """Ask for a mark or a type."""
        cleaned: dict[str, Any] = super().clean() or {}
        is_named = cleaned.get("mark") or cleaned.get("type_name")
        if not is_named and not {"mark", "type_name"} & self.errors.keys():
            self.add_error("mark", "Enter the crate mark, or the crate type.")
        return cleaned

    def line_at(self, position: int) -> Line:
        """Return the line at this position of its memo."""
        got = self.cleaned_data
        return Line(
            position, got["amount"], got["mark"], got["type_name"], got["remark"]
        )


class _MemoLine(_LineFields, LineOfForm):
    """One of the lines that are entered with a memo."""

    named = "mark"
    laid_out = (("mark", "type_name"), ("amount", "remark"))


class _MemoLines(Lines):
    """The lines that are entered with a memo."""

    legend = "Lines of the memo"
    shown = LINES

    def clean(self) -> None:
        """Ask for at least one line."""
        if not any(line.has_changed() for line in self.forms):
            self.forms[0].add_error("mark", "Enter at least one line.")


class EnterMemoForm(LinedForm, _Head):
    """Enter a memo: its head and its first lines."""

    act = "Save the memo"
    creates = True
    line_sets_of: ClassVar[dict[str, Any]] = {
        "lines": lines_of(_MemoLine, _MemoLines, most=LINES)
    }

    def __init__(
        self, *args: Any, location: Location, today: date, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.set_up(location, today)

    def read_amounts_in(self, currency: str) -> None:
        """Read the amounts of every line in this currency."""
        super().read_amounts_in(currency)
        for line in self.line_sets["lines"]:
            amount: Any = line.fields["amount"]
            amount.currency = currency

    def rows(self) -> Iterable[Any]:
        """Return the head, then line by line."""
        return [*_HEAD_ROWS, LinesLayout(self.line_sets["lines"])]

    def memo_lines(self) -> list[Line]:
        """Return the lines that were typed, numbered without gaps."""
        begun = [line for line in self.line_sets["lines"] if line.has_changed()]
        return [line.line_at(place) for place, line in enumerate(begun, start=1)]


class ImportMemoForm(HouseForm, _Head):
    """Read a memo from a file, only to show the result of each line."""

    act = "Preview the memo"
    has_files = True

    sheet = SheetField(
        label="Memo file (CSV or XLSX)",
        help_text="First row: mark, type, count, amount, remark; up to 2 MB and 5,000 "
        "lines.",
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
        """Read the file. Its problems are listed on the page, row by row."""
        upload = self.cleaned_data["sheet"]
        try:
            rows, separator = read_table(upload)
        except SheetError as error:
            raise forms.ValidationError(str(error)) from error
        self.reading = read_lines(rows, separator=separator, currency=self.currency)
        if self.reading.problems:
            count = len(self.reading.problems) + self.reading.more_problems
            raise forms.ValidationError(
                f"{pieces_in_words(count, 'row')} cannot be read. Nothing was saved. "
                "Correct the file and choose it again."
            )
        return upload


class AddLineForm(HouseForm, _LineFields):
    """Add one line to a memo that is not posted."""

    act = "Add the line"
    creates = True

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        amount: Any = self.fields["amount"]
        amount.currency, amount.names_currency = currency, True

    def rows(self) -> list[Any]:
        """Return the line in two rows."""
        return [Row("mark", "type_name"), Row("amount", "remark")]


class MatchLineForm(StaleForm):
    """Choose the crate that a line is for, or mark it as not ours."""

    act = "Match the line"

    deposit = RowField(label="Crate", help_text="Crates with an open credit.")
    is_not_ours = forms.BooleanField(label="Not ours", required=False)

    def __init__(self, *args: Any, candidates: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["deposit"]
        field.queryset = candidates
        field.empty_label = "Choose a crate"
        field.label_from_instance = deposit_words

    def clean(self) -> dict[str, Any]:
        """Ask for exactly one of the two."""
        cleaned: dict[str, Any] = super().clean() or {}
        if "deposit" in cleaned and bool(cleaned["deposit"]) == bool(
            cleaned.get("is_not_ours")
        ):
            self.add_error(
                "deposit", "Choose a crate or tick Not ours, one of the two."
            )
        return cleaned


def deposit_words(row: Deposit) -> str:
    """Return a deposit as a list shows it, with the amount still open."""
    sums = sums_on(row)
    name = row.mark or (row.crate.mark if row.crate else "") or str(row.crate or row)
    kind = f", {row.crate_type}" if row.crate_type else ""
    amount = format_cents(sums.credit, sums.currency, code=True)
    return f"{name}{kind}, {amount} open, invoice {row.invoice_number}"


class TakeImportForm(ShownForm):
    """Save the memo that was shown: it is sent back signed, so it cannot change."""

    act = "Save the memo with these lines"
    creates = True
    salt = "inventory.memo-import"
    damaged = DAMAGED

    @classmethod
    def showing(
        cls, location: Location, head: Mapping[str, Any], lines: Sequence[Line]
    ) -> "TakeImportForm":
        """Return the form that sends this memo back."""
        memo = {
            "supplier": head["supplier"].pk,
            "number": head["number"],
            "dated_on": head["dated_on"].isoformat(),
            "received_on": head["received_on"].isoformat(),
            "lines": [
                [line.position, line.amount, line.mark, line.type_name, line.remark]
                for line in lines
            ],
        }
        return cls.sending(location, memo)

    def again(self, shown: Mapping[str, Any]) -> dict[str, Any]:
        """Return the memo that was shown."""
        return {
            "supplier": Supplier.objects.get(pk=shown["supplier"]),
            "number": shown["number"],
            "dated_on": date.fromisoformat(shown["dated_on"]),
            "received_on": date.fromisoformat(shown["received_on"]),
            "lines": [Line(*values) for values in shown["lines"]],
        }
