"""Forms for deposits: charge, match, withdraw, forfeit; and reverse an entry."""

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
from inventory.forms.core.text_fields import LineField, TextField
from inventory.models import Crate, CrateType, Location, Supplier
from inventory.queries.deposits.facts import currency_of
from inventory.rules.core.text import normal_identifier
from inventory.rules.reckoning.counts import pieces_in_words
from inventory.rules.reckoning.money import MoneyError, check_currency

MOST_PIECES = 200
LONGEST_MARK = 60


class _TypeField(RowField):
    """A crate type, named with its supplier."""

    def label_from_instance(self, obj: Any) -> str:
        """Return the type with its supplier."""
        return f"{obj.supplier}: {obj}"


class _LineForm(HouseForm):
    """One invoice line: who charged what, for how many crates."""

    location = RowField(label="Location", required=True)
    supplier = RowField(label="Supplier", required=True)
    invoice_number = LineField(
        label="Invoice number",
        most=40,
        missing="Enter the number on the invoice.",
        is_identifier=True,
    )
    line_number = CountField(label="Line", least=1, most=9999, required=True)
    invoiced_on = DayField(label="Invoice date", required=True)
    crate_type = _TypeField(label="Crate type")
    count = CountField(
        label="Crates",
        least=1,
        most=MOST_PIECES,
        missing="Enter how many crates the line charges.",
        has_stepper=True,
    )
    # Before the amount: it says how the amount is read.
    currency = LineField(
        label="Currency",
        most=3,
        is_identifier=True,
        help_text="Empty means the currency of the supplier's terms, else the location's.",
    )
    amount_cents = MoneyField(
        label="Deposit per crate", required=True, names_currency=False
    )
    marks = TextField(
        label="Crate marks",
        rows=4,
        help_text=(
            "One per line, as on the invoice; a mark that only one crate here has is "
            "matched to it."
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
        """Return the currency code, or nothing; the amount is read in it."""
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
        """Return the marks, one per line, each normalized."""
        lines = str(self.cleaned_data["marks"]).splitlines()
        marks = [mark for line in lines if (mark := normal_identifier(line))]
        if any(len(mark) > LONGEST_MARK for mark in marks):
            raise ValidationError(
                f"A mark has up to {LONGEST_MARK} characters. Enter one per line."
            )
        if len(set(marks)) != len(marks):
            raise ValidationError("A mark is listed twice. Enter each once.")
        return marks

    def clean(self) -> dict[str, Any]:
        """Refuse marks that are not as many as the crates."""
        cleaned: dict[str, Any] = super().clean() or {}
        marks, count = cleaned.get("marks"), cleaned.get("count")
        if marks and count and len(marks) != count:
            self.add_error(
                "marks",
                f"The line charges {pieces_in_words(count, 'crate')}, but {len(marks)} "
                f"{'mark is' if len(marks) == 1 else 'marks are'} listed. List as "
                "many, or none.",
            )
        return cleaned


class ChargeForm(_LineForm):
    """Charge deposits from one line of the supplier's invoice."""

    act = "Save the charge"
    creates = True

    booked_on = DayField(
        label="Booking day",
        help_text="Empty means the invoice date; fill it in where that day is locked.",
    )
    crate = RowField(label="Crate", widget=forms.HiddenInput)

    def __init__(self, *args: Any, crates: QuerySet[Crate], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["crate"].queryset = crates

    def rows(self) -> Sequence[Any]:
        """Return the invoice, then the charge."""
        return [
            "crate",
            Fieldset(
                "Invoice",
                "location",
                "supplier",
                Row("invoice_number", "line_number"),
                Row("invoiced_on", "booked_on"),
            ),
            Fieldset(
                "Charge",
                "crate_type",
                "count",
                Row("amount_cents", Field("currency", css_class="short")),
                "marks",
            ),
        ]

    def clean(self) -> dict[str, Any]:
        """Refuse several crates where the form was opened from one crate."""
        cleaned = super().clean()
        if cleaned.get("crate") and cleaned.get("count") not in {None, 1}:
            self.add_error(
                "count",
                "You opened this form from one crate. Enter 1, or start again from "
                "Deposits.",
            )
        return cleaned


class OpeningForm(_LineForm):
    """Enter deposits that are open in the earlier books."""

    act = "Save the opening balance"
    creates = True

    opened_on = DayField(label="Open as of", required=True)

    def rows(self) -> Sequence[Any]:
        """Return the earlier invoice, then what is open on it."""
        return [
            Fieldset(
                "Invoice",
                "location",
                "supplier",
                Row("invoice_number", "line_number"),
                "invoiced_on",
            ),
            Fieldset(
                "Open balance",
                "opened_on",
                "crate_type",
                "count",
                Row("amount_cents", Field("currency", css_class="short")),
                "marks",
            ),
        ]


class _CrateOfBillField(RowField):
    """A crate, named with its freight bill."""

    def label_from_instance(self, obj: Any) -> str:
        """Return the crate with its freight bill and its state."""
        return f"{obj} · {obj.shipment} · {obj.get_state_display()}"


class MatchForm(StaleForm):
    """Say which crate a deposit is on."""

    act = "Match to this crate"

    crate = _CrateOfBillField(label="Crate", required=True)

    def __init__(self, *args: Any, crates: QuerySet[Crate], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["crate"].queryset = crates


class _ReasonForm(HouseForm):
    """A posting with its day and its reason."""

    effective_on = DayField(label="Effective date", required=True)
    reason = LineField(label="Reason", most=300, missing="Enter a reason.")

    def __init__(self, *args: Any, today: dt.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["effective_on"].latest = today
        self.initial.setdefault("effective_on", today)


class WithdrawForm(_ReasonForm, StaleForm):
    """Withdraw a charge."""

    act = "Withdraw the charge"
    creates = True


class ForfeitForm(_ReasonForm):
    """Forfeit a deposit."""

    act = "Forfeit the deposit"
    creates = True


class ReverseForm(_ReasonForm):
    """Reverse an entry."""

    act = "Reverse the entry"
    creates = True


class UndoForm(_ReasonForm, StaleForm):
    """Reverse a whole act, such as a posted memo: the day and the reason."""

    creates = True

    def __init__(self, *args: Any, act: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.act = act
