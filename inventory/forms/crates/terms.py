"""The form of a supplier's crate terms: the clock, the credit, deposits, deductions."""

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from crispy_forms.layout import Fieldset, Row
from django import forms

from inventory.actions.crates.terms import Priced, TermsTold
from inventory.forms.core.base import HouseForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.measure_fields import PercentField
from inventory.forms.core.number_fields import CountField, MoneyField
from inventory.forms.core.text_fields import LineField
from inventory.models import CrateType
from inventory.rules.crates import words
from inventory.rules.deposits.credit import DepositError, Terms
from inventory.rules.reckoning.money import MoneyError, check_currency

STEP_ROWS = 5
MOST_DAYS = 9_999


class TermsForm(HouseForm):
    """Add terms from a date on. ``types`` are the supplier's, parts prefetched."""

    act = "Add the terms"

    starts_on = DayField(
        label="In force from",
        missing="Write the first day as 2026-03-31.",
        too_late="That is too far ahead. Write a day up to {latest}.",
    )
    currency = forms.RegexField(
        label="Currency",
        regex=r"\A[A-Z]{3}\Z",
        help_text="Three capital letters, such as USD.",
        error_messages={
            "invalid": "Write three capital letters, such as USD.",
            "required": "Write three capital letters, such as USD.",
        },
    )
    source = LineField(
        label="Where it says so",
        most=200,
        missing="Write where these terms stand: which document, of which date.",
    )
    clock_starts = PickField(
        label="The clock starts on the", words=words.CLOCK_STARTS, missing="Choose one."
    )
    clock_stops = PickField(
        label="It stops on the", words=words.CLOCK_STOPS, missing="Choose one."
    )
    full_days = CountField(
        label="Full credit to day",
        most=MOST_DAYS,
        missing="Write the last day of full credit, for example 60.",
    )
    includes_last_day = forms.BooleanField(label="That day is included", required=False)
    decline = PickField(label="After it", words=words.DECLINES, missing="Choose one.")
    ends_day = CountField(
        label="Nothing after day",
        least=1,
        most=MOST_DAYS,
        help_text="For a straight decline: the day it reaches nothing.",
    )
    ceiling = PercentField(
        label="Deductions at most, in percent of the deposit",
        help_text="Leave empty where there is no ceiling.",
    )
    return_freight = PickField(
        label="Return freight", words=words.RETURN_FREIGHT, missing="Choose one."
    )
    minimum_per_pickup = CountField(
        label="Least crates for a pick-up",
        least=1,
        most=999,
        missing="Write 1 or more.",
    )
    needs_authorization = forms.BooleanField(
        label="Wants a return authorization", required=False
    )
    needs_appointment = forms.BooleanField(label="Wants an appointment", required=False)
    oldest_first = forms.BooleanField(
        label="Without a mark, the oldest charge is credited first", required=False
    )
    transit_days = CountField(
        label="Days on the road", most=365, missing="Write the days, 0 for none."
    )
    unloading_days = CountField(
        label="Days to unload", most=365, missing="Write the days, 0 for none."
    )
    memo_days = CountField(
        label="Days from their receipt to the credit memo",
        most=MOST_DAYS,
        missing="Write the days, for example 30.",
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
        for number in range(1, STEP_ROWS + 1):
            self.fields[f"step_{number}_day"] = CountField(
                label="After day", most=MOST_DAYS
            )
            self.fields[f"step_{number}_percent"] = PercentField(label="Percent")
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
        """Return the currency amounts are typed in: as posted, or as begun with."""
        begun: str = self.initial["currency"]
        told = self.data.get("currency") if self.is_bound else None
        try:
            return check_currency(told or begun)
        except MoneyError:
            return begun

    def rows(self) -> Iterable[Any]:
        """Return the clock, the credit by days, deposits and deductions, the way."""
        steps = [
            Row(f"step_{number}_day", f"step_{number}_percent")
            for number in range(1, STEP_ROWS + 1)
        ]
        return [
            Fieldset("Since when, and where it says so", "starts_on", "source"),
            Fieldset("The clock", "clock_starts", "clock_stops"),
            Fieldset(
                "Credit by days out",
                "full_days",
                "includes_last_day",
                Row("decline", "ends_day"),
            ),
            Fieldset("Steps, where it falls in steps", *steps),
            Fieldset("Deposits", "currency", *(f"rate_{one.pk}" for one in self.types)),
            Fieldset("Deductions", "ceiling", *self._part_rows()),
            Fieldset(
                "The way back",
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
        """Complete steps and prices, then let the rules judge the whole."""
        cleaned: dict[str, Any] = super().clean() or {}
        for number in range(1, STEP_ROWS + 1):
            self._pair(cleaned, f"step_{number}_day", f"step_{number}_percent")
        for one in self.types:
            for part in one.parts.all():
                self._pair(cleaned, f"missing_{part.pk}", f"damaged_{part.pk}")
        if not any(cleaned.get(f"rate_{one.pk}") is not None for one in self.types):
            self.add_error(None, "Write the deposit of at least one crate type.")
        if not self.errors:
            try:
                cleaned["rule"] = self._rule(cleaned)
            except DepositError as error:
                self.add_error(None, f"{error} Nothing was saved.")
        return cleaned

    def _pair(self, cleaned: dict[str, Any], one: str, other: str) -> None:
        """Ask for the other half of a line that was begun."""
        for typed, missing in ((one, other), (other, one)):
            begun = cleaned.get(typed) is not None
            if begun and cleaned.get(missing) is None and missing not in self.errors:
                self.add_error(missing, "Fill this in too, or clear the line.")

    def _rule(self, cleaned: dict[str, Any]) -> Terms:
        plain = ("clock_starts", "clock_stops", "full_days", "decline", "ends_day")
        way = ("return_freight", "minimum_per_pickup", "transit_days", "memo_days")
        flags = ("includes_last_day", "needs_authorization", "needs_appointment")
        more = ("unloading_days", "oldest_first", "ceiling")
        return Terms(
            **{name: cleaned[name] for name in (*plain, *way, *flags, *more)},
            steps=self._steps(cleaned),
        )

    def _steps(self, cleaned: dict[str, Any]) -> tuple[tuple[int, Decimal], ...]:
        pairs = (
            (cleaned.get(f"step_{number}_day"), cleaned.get(f"step_{number}_percent"))
            for number in range(1, STEP_ROWS + 1)
        )
        return tuple(
            (day, percent)
            for day, percent in pairs
            if day is not None and percent is not None
        )

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
