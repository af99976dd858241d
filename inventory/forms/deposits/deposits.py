"""Forms of the ledger: charging deposits, matching, taking back, forfeiting."""

import datetime as dt
from collections.abc import Sequence
from typing import Any

from crispy_forms.layout import Field, Fieldset, Row
from django import forms
from django.core.exceptions import ValidationError
from django.db.models import QuerySet

from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.choice_fields import RowField
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.number_fields import CountField, MoneyField
from inventory.forms.core.posting import PostingMixin
from inventory.forms.core.text_fields import LineField, TextField
from inventory.models import Crate, CrateType, Location, Supplier
from inventory.queries.memos.awaited import currency_of
from inventory.rules.core.text import normal_identifier
from inventory.rules.reckoning.money import MoneyError, check_currency

MOST_PIECES = 200
LONGEST_MARK = 60


class _TypeField(RowField):
    """A crate type, told by its supplier."""

    def label_from_instance(self, obj: Any) -> str:
        """Return the type with its supplier."""
        return f"{obj.supplier}: {obj}"


class _LineForm(PostingMixin, HouseForm):
    """One line of an invoice: who charged what, for how many crates."""

    location = RowField(label="Location", missing="Choose the location.")
    supplier = RowField(label="Supplier", missing="Choose the supplier.")
    invoice_number = LineField(
        label="Invoice number",
        most=40,
        missing="Write the invoice number.",
        is_identifier=True,
    )
    line_number = CountField(
        label="Line", least=1, most=9999, missing="Write the number of the line."
    )
    invoiced_on = DayField(label="Date of the invoice", missing="Write its date.")
    crate_type = _TypeField(label="Type of crate")
    count = CountField(
        label="Crates",
        least=1,
        most=MOST_PIECES,
        missing="Write how many crates the line charges.",
        has_stepper=True,
    )
    # Before the amount: it says how the amount is read.
    currency = LineField(
        label="Currency",
        most=3,
        is_identifier=True,
        help_text="Leave empty for that of the supplier's terms, or of the location.",
    )
    amount_cents = MoneyField(
        label="Deposit for each crate", missing="Write the deposit for one crate."
    )
    marks = TextField(
        label="Marks of the crates",
        rows=4,
        help_text=(
            "One a line, as the invoice gives them. A mark that one crate here bears "
            "is matched to it. Leave empty for racks without a mark."
        ),
    )

    def __init__(
        self,
        *args: Any,
        places: QuerySet[Location],
        today: dt.date,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["location"].queryset = places
        fields["supplier"].queryset = Supplier.objects.order_by("name", "pk")
        types = CrateType.objects.select_related("supplier")
        fields["crate_type"].queryset = types.order_by("supplier__name", "name", "pk")
        for name in ("invoiced_on", "booked_on", "opened_on"):
            if name in self.fields:
                fields[name].latest = today
        self.usual_currency = str(self.initial.get("currency") or places[0].currency)
        self._read_amount_in(self.usual_currency)
        if len(places) == 1:
            self.initial.setdefault("location", places[0].pk)

    def clean_currency(self) -> str:
        """Return the code of the currency, or nothing; read the amount in it."""
        code = str(self.cleaned_data["currency"])
        self._read_amount_in(self._usual_currency())
        if not code:
            return ""
        try:
            self._read_amount_in(check_currency(code))
        except MoneyError as error:
            raise ValidationError(str(error)) from error
        return code

    def _usual_currency(self) -> str:
        """Return the currency of the supplier's terms, or of the location."""
        got = self.cleaned_data
        location = got.get("location")
        if location is None:
            return self.usual_currency
        supplier, on = got.get("supplier"), got.get("invoiced_on")
        if supplier is None or on is None:
            return str(location.currency)
        return currency_of(location, supplier, on)

    def _read_amount_in(self, currency: str) -> None:
        amount: Any = self.fields["amount_cents"]
        amount.currency = currency

    def clean_marks(self) -> list[str]:
        """Return the marks line by line, each in its one form."""
        lines = str(self.cleaned_data["marks"]).splitlines()
        marks = [mark for line in lines if (mark := normal_identifier(line))]
        if any(len(mark) > LONGEST_MARK for mark in marks):
            raise ValidationError(
                f"A mark has up to {LONGEST_MARK} characters. Write one a line."
            )
        if len(set(marks)) != len(marks):
            raise ValidationError("A mark stands there twice. Write each once.")
        return marks

    def clean(self) -> dict[str, Any]:
        """Hold the marks against the count."""
        cleaned: dict[str, Any] = super().clean() or {}
        marks, count = cleaned.get("marks"), cleaned.get("count")
        if marks and count and len(marks) != count:
            self.add_error(
                "marks",
                f"The line charges {count} crates, but {len(marks)} marks are listed. "
                "List as many, or none.",
            )
        return cleaned


class ChargeForm(_LineForm):
    """Charge deposits by one line of the supplier's invoice."""

    act = "Charge the deposits"

    booked_on = DayField(
        label="Book it on",
        help_text="Leave empty for the invoice's own date. Fill in where that is "
        "locked.",
    )
    crate = RowField(label="Crate", widget=forms.HiddenInput)

    def __init__(self, *args: Any, crates: QuerySet[Crate], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["crate"].queryset = crates

    def rows(self) -> Sequence[Any]:
        """Return the invoice, then what it charges."""
        return [
            "posting_key",
            "crate",
            Fieldset(
                "The invoice",
                "location",
                "supplier",
                Row("invoice_number", "line_number"),
                Row("invoiced_on", "booked_on"),
            ),
            Fieldset(
                "What it charges",
                "crate_type",
                "count",
                Row("amount_cents", Field("currency", css_class="short")),
                "marks",
            ),
        ]

    def clean(self) -> dict[str, Any]:
        """Refuse several crates where the charge began at one."""
        cleaned = super().clean()
        if cleaned.get("crate") and cleaned.get("count") not in {None, 1}:
            self.add_error(
                "count",
                "This charge began at one crate. Write 1, or open the form anew from "
                "the desk.",
            )
        return cleaned


class OpeningForm(_LineForm):
    """Bring in deposits that stand open in the books kept before."""

    act = "Bring them in"

    opened_on = DayField(
        label="Open as of", missing="Write the day these balances are of."
    )

    def rows(self) -> Sequence[Any]:
        """Return the invoice of old, then what is open on it."""
        return [
            "posting_key",
            Fieldset(
                "The invoice that charged them",
                "location",
                "supplier",
                Row("invoice_number", "line_number"),
                "invoiced_on",
            ),
            Fieldset(
                "What is still open",
                "opened_on",
                "crate_type",
                "count",
                Row("amount_cents", Field("currency", css_class="short")),
                "marks",
            ),
        ]


class _CrateOfBillField(RowField):
    """A crate, told by its freight bill."""

    def label_from_instance(self, obj: Any) -> str:
        """Return the crate with its freight bill and where it stands."""
        return f"{obj} · {obj.shipment} · {obj.get_state_display()}"


class MatchForm(StaleForm):
    """Say which crate a deposit is on."""

    act = "Match them"

    crate = _CrateOfBillField(label="Crate", missing="Choose the crate.")

    def __init__(self, *args: Any, crates: QuerySet[Crate], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["crate"].queryset = crates


class _ReasonForm(PostingMixin, HouseForm):
    """An act of the ledger with its day and its reason."""

    effective_on = DayField(
        label="Takes effect on", missing="Write the day it takes effect."
    )
    reason = LineField(label="Why", most=300, missing="Say why.")

    def __init__(self, *args: Any, today: dt.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["effective_on"].latest = today
        self.initial.setdefault("effective_on", today)


class WithdrawForm(_ReasonForm, StaleForm):
    """Take a charge back."""

    act = "Take the charge back"


class ForfeitForm(_ReasonForm):
    """Forfeit a deposit."""

    act = "Forfeit the deposit"


class ReverseForm(_ReasonForm):
    """Reverse an entry."""

    act = "Reverse the entry"
