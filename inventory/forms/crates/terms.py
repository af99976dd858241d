"""The form of a supplier's crate terms: the clock, the credit, deposits, deductions."""

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from typing import Any, ClassVar

from crispy_forms.layout import Fieldset, Row
from django import forms

from inventory.actions.crates.terms import Priced, TermsTold
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.lines import (
    Line,
    LinedForm,
    Lines,
    LinesLayout,
    lines_of,
)
from inventory.forms.core.measure_fields import PercentField
from inventory.forms.core.number_fields import CountField, MoneyField
from inventory.forms.core.text_fields import LineField
from inventory.models import CrateType
from inventory.rules.crates import words
from inventory.rules.deposits.credit import DepositError, Terms
from inventory.rules.reckoning.money import MoneyError, check_currency

MOST_STEPS = 12
MOST_DAYS = 9_999
_OTHER_HALF = "Fill this in too, or clear the line."


class StepLine(Line):
    """One step of the decline: after which day, how much is credited."""

    named = "day"

    day = CountField(label="After day", most=MOST_DAYS)
    percent = PercentField(label="Credit in percent")

    def clean(self) -> dict[str, Any]:
        """Ask for the other half of a step that is half filled in."""
        self.require_whole({"day": _OTHER_HALF, "percent": _OTHER_HALF})
        return self.cleaned_data


class StepLines(Lines):
    """The steps of the decline."""

    legend = "Steps, where the credit falls in steps"
    more_words = "More steps"
    shown = 3


class TermsForm(LinedForm):
    """Add terms from a date on. ``types`` are the supplier's, parts prefetched."""

    act = "Add the terms"
    creates = True
    line_sets_of: ClassVar[dict[str, Any]] = {
        "step": lines_of(StepLine, StepLines, most=MOST_STEPS)
    }

    starts_on = DayField(
        label="In force from",
        missing="Choose the first day.",
        too_late="That is too far ahead. Enter a day up to {latest}.",
    )
    currency = forms.RegexField(
        label="Currency",
        regex=r"\A[A-Z]{3}\Z",
        help_text="Three capital letters, such as USD.",
        error_messages={
            "invalid": "Enter three capital letters, such as USD.",
            "required": "Enter three capital letters, such as USD.",
        },
    )
    source = LineField(
        label="Source",
        most=200,
        help_text="The document with these terms, and its date.",
        missing="Enter the document with these terms, and its date.",
    )
    clock_starts = PickField(
        label="Days count from", words=words.CLOCK_STARTS, missing="Choose one."
    )
    clock_stops = PickField(
        label="Days count to", words=words.CLOCK_STOPS, missing="Choose one."
    )
    full_days = CountField(
        label="Full credit through day",
        most=MOST_DAYS,
        missing="Enter the last day of full credit, such as 60.",
    )
    includes_last_day = forms.BooleanField(
        label="The last day is included", required=False
    )
    decline = PickField(label="After that", words=words.DECLINES, missing="Choose one.")
    ends_day = CountField(
        label="No credit after day",
        least=1,
        most=MOST_DAYS,
        help_text="For a straight decline: the day the credit reaches zero.",
    )
    ceiling = PercentField(
        label="Maximum deduction in percent of the deposit",
        help_text="Leave it empty where there is no maximum.",
    )
    return_freight = PickField(
        label="Return freight", words=words.RETURN_FREIGHT, missing="Choose one."
    )
    minimum_per_pickup = CountField(
        label="Minimum crates per pick-up",
        least=1,
        most=999,
        missing="Enter 1 or more.",
    )
    needs_authorization = forms.BooleanField(
        label="Return authorization required", required=False
    )
    needs_appointment = forms.BooleanField(label="Appointment required", required=False)
    oldest_first = forms.BooleanField(
        label="Unmarked crates: credit the oldest charge first", required=False
    )
    transit_days = CountField(
        label="Transit days", most=365, missing="Enter the days, 0 for none."
    )
    unloading_days = CountField(
        label="Unloading days", most=365, missing="Enter the days, 0 for none."
    )
    memo_days = CountField(
        label="Days from receiving a crate to the credit memo",
        most=MOST_DAYS,
        missing="Enter the days, such as 30.",
    )

    def __init__(
        self, *args: Any, types: Sequence[CrateType], latest: date, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.types = types
        day = self.fields["starts_on"]
        if isinstance(day, DayField):
            day.latest = latest
        currency = self._currency()
        for one in types:
            self.fields[f"rate_{one.pk}"] = MoneyField(
                label=f"Deposit of {one.name}", currency=currency
            )
            for part in one.parts.all():
                for end in ("missing", "damaged"):
                    self.fields[f"{end}_{part.pk}"] = MoneyField(
                        label=f"{part.name.capitalize()} {end}, each", currency=currency
                    )

    def _currency(self) -> str:
        """Return the currency of the amounts: as sent, or as first shown."""
        begun: str = self.initial["currency"]
        sent = self.data.get("currency") if self.is_bound else None
        try:
            return check_currency(sent or begun)
        except MoneyError:
            return begun

    def rows(self) -> Iterable[Any]:
        """Return the days, the credit by days, deposits, deductions and the return."""
        return [
            Fieldset("Effective date and source", "starts_on", "source"),
            Fieldset("Counting the days", "clock_starts", "clock_stops"),
            Fieldset(
                "Credit by days out",
                "full_days",
                "includes_last_day",
                Row("decline", "ends_day"),
            ),
            LinesLayout(self.line_sets["step"]),
            Fieldset("Deposits", "currency", *(f"rate_{one.pk}" for one in self.types)),
            Fieldset("Deductions", "ceiling", *self._part_rows()),
            Fieldset(
                "Returning the crates",
                Row("return_freight", "minimum_per_pickup"),
                "needs_authorization",
                "needs_appointment",
                Row("transit_days", "unloading_days", "memo_days"),
                "oldest_first",
            ),
        ]

    def _part_rows(self) -> Iterable[Any]:
        for one in self.types:
            rows = [
                Row(f"missing_{part.pk}", f"damaged_{part.pk}")
                for part in one.parts.all()
            ]
            if rows:
                yield Fieldset(f"Parts of {one.name}", *rows)

    def clean(self) -> dict[str, Any]:
        """Ask for missing prices, then check the terms against each other."""
        cleaned: dict[str, Any] = super().clean() or {}
        for one in self.types:
            for part in one.parts.all():
                self._pair(cleaned, f"missing_{part.pk}", f"damaged_{part.pk}")
        if not any(cleaned.get(f"rate_{one.pk}") is not None for one in self.types):
            self.add_error(None, "Enter the deposit of at least one crate type.")
        if not self.errors:
            try:
                cleaned["rule"] = self._rule(cleaned)
            except DepositError as error:
                self.add_error(None, f"{error} Nothing was saved.")
        return cleaned

    def _pair(self, cleaned: dict[str, Any], one: str, other: str) -> None:
        """Ask for the other half of a price that is half filled in."""
        for typed, missing in ((one, other), (other, one)):
            is_typed = cleaned.get(typed) is not None
            if is_typed and cleaned.get(missing) is None and missing not in self.errors:
                self.add_error(missing, _OTHER_HALF)

    def _rule(self, cleaned: dict[str, Any]) -> Terms:
        plain = ("clock_starts", "clock_stops", "full_days", "decline", "ends_day")
        way = ("return_freight", "minimum_per_pickup", "transit_days", "memo_days")
        flags = ("includes_last_day", "needs_authorization", "needs_appointment")
        more = ("unloading_days", "oldest_first", "ceiling")
        return Terms(
            **{name: cleaned[name] for name in (*plain, *way, *flags, *more)},
            steps=self._steps(),
        )

    def _steps(self) -> tuple[tuple[int, Decimal], ...]:
        lines = self.line_sets["step"].typed()
        return tuple((one["day"], one["percent"]) for one in lines)

    def told(self) -> TermsTold:
        """Return the terms as the action takes them."""
        data = self.cleaned_data
        rates = {one.pk: data.get(f"rate_{one.pk}") for one in self.types}
        parts = [part for one in self.types for part in one.parts.all()]
        return TermsTold(
            starts_on=data["starts_on"],
            currency=data["currency"],
            rule=data["rule"],
            source=data["source"],
            rates={key: cents for key, cents in rates.items() if cents is not None},
            deductions={
                part.pk: Priced(data[f"missing_{part.pk}"], data[f"damaged_{part.pk}"])
                for part in parts
                if data.get(f"missing_{part.pk}") is not None
            },
        )
