"""Fields for counts, amounts and weights: ASCII digits only, no exponents."""

import re
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from inventory.rules.reckoning import money

MOST_COUNT = 99_999
MOST_CENTS = 10_000_000_000
MOST_MASS = Decimal(1_000_000)

_MASS = re.compile(r"(\d{1,3}(?:,\d{3})+|\d{1,9})(\.\d{1,3})?", re.ASCII)
_WHOLE = re.compile(r"\d{1,9}", re.ASCII)


class CountField(forms.Field):
    """A whole number typed in digits; gives an int between ``least`` and ``most``."""

    def __init__(
        self,
        *,
        label: str,
        least: int = 0,
        most: int = MOST_COUNT,
        missing: str = "",
        has_stepper: bool = False,
        **kwargs: Any,
    ) -> None:
        self.least = least
        self.most = most
        attrs = {"inputmode": "numeric", "autocomplete": "off", "class": "short"}
        if has_stepper:
            attrs |= {"data-stepper": "", "data-stepper-min": str(least)}
        kwargs.setdefault("widget", forms.TextInput(attrs=attrs))
        kwargs.setdefault("required", bool(missing))
        super().__init__(label=label, **kwargs)
        if missing:
            self.error_messages["required"] = missing

    def to_python(self, value: Any) -> int | None:
        """Return the number, or None for an empty line."""
        text = str("" if value is None else value).strip()
        if not text:
            return None
        if not _WHOLE.fullmatch(text):
            raise ValidationError(
                f"Write a whole number in digits, from {self.least:,} to {self.most:,}."
            )
        return int(text)

    def validate(self, value: int | None) -> None:
        """Refuse a number out of bounds."""
        super().validate(value)
        if value is not None and not self.least <= value <= self.most:
            raise ValidationError(
                f"Write a whole number from {self.least:,} to {self.most:,}."
            )


class MoneyField(forms.Field):
    """An amount typed as 1,250.00; gives whole cents, ``least`` of them or more.

    Set ``currency`` in the form's ``__init__`` where the class cannot name it: an
    amount without one is read by nobody.
    """

    def __init__(
        self,
        *,
        label: str,
        missing: str = "",
        currency: str = "",
        least: int = 0,
        **kwargs: Any,
    ) -> None:
        self.currency = currency
        self.least = least
        attrs = {"inputmode": "decimal", "autocomplete": "off", "class": "short"}
        kwargs.setdefault("widget", forms.TextInput(attrs=attrs))
        kwargs.setdefault("required", bool(missing))
        super().__init__(label=label, **kwargs)
        if missing:
            self.error_messages["required"] = missing

    def prepare_value(self, value: Any) -> Any:
        """Show cents as an amount."""
        if isinstance(value, int):
            return money.format_cents(value, self._code())
        return value

    def to_python(self, value: Any) -> int | None:
        """Return the cents, or None for an empty line."""
        text = str("" if value is None else value).strip()
        if not text:
            return None
        try:
            cents = money.parse_amount(text, self._code())
        except money.MoneyError as error:
            raise ValidationError(str(error)) from error
        if cents > MOST_CENTS:
            raise ValidationError("Write an amount up to 100,000,000.00.")
        if cents < self.least:
            raise ValidationError("Write an amount above 0.")
        return cents

    def _code(self) -> str:
        if not self.currency:
            raise LookupError(f"No currency was set for {self.label}.")
        return self.currency


def read_money_in(form: forms.Form, currency: str) -> None:
    """Read and show every amount of a form in this currency."""
    for field in form.fields.values():
        if isinstance(field, MoneyField):
            field.currency = currency


class MassField(forms.Field):
    """A weight as the paper states it, typed as 1,240.5; gives a Decimal."""

    def __init__(self, *, label: str, missing: str = "", **kwargs: Any) -> None:
        attrs = {"inputmode": "decimal", "autocomplete": "off", "class": "short"}
        kwargs.setdefault("widget", forms.TextInput(attrs=attrs))
        kwargs.setdefault("required", bool(missing))
        super().__init__(label=label, **kwargs)
        if missing:
            self.error_messages["required"] = missing

    def to_python(self, value: Any) -> Decimal | None:
        """Return the weight, or None for an empty line."""
        text = str("" if value is None else value).strip()
        if not text:
            return None
        if not _MASS.fullmatch(text):
            raise ValidationError("Write the weight in digits, such as 1,240.5.")
        mass = Decimal(text.replace(",", ""))
        if not 0 < mass <= MOST_MASS:
            raise ValidationError("Write a weight above 0, up to 1,000,000.")
        return mass
