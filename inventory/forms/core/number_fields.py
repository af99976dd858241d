"""Fields for counts, amounts and weights: ASCII digits only, no exponents."""

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError

from inventory.forms.core.fields import TypedField
from inventory.rules.reckoning import money

MOST_COUNT = 99_999
MOST_CENTS = 10_000_000_000
MOST_MASS = Decimal(1_000_000)

DECIMAL_TYPING = {**TypedField.typing, "inputmode": "decimal"}

_MASS = re.compile(r"(\d{1,3}(?:,\d{3})+|\d{1,9})(\.\d{1,3})?", re.ASCII)
_RATE = re.compile(r"\d{1,6}(\.\d{1,8})?", re.ASCII)
_WHOLE = re.compile(r"\d{1,9}", re.ASCII)


class CountField(TypedField):
    """A whole number typed in digits; gives an int between ``least`` and ``most``."""

    default_error_messages: ClassVar[dict[str, Any]] = {"required": "Enter a number."}
    typing: ClassVar[Mapping[str, str]] = {
        **TypedField.typing,
        "inputmode": "numeric",
    }

    def __init__(
        self,
        *,
        least: int = 0,
        most: int = MOST_COUNT,
        has_stepper: bool = False,
        **options: Any,
    ) -> None:
        self.least = least
        self.most = most
        if has_stepper:
            stepper = {"data-stepper": "", "data-stepper-min": str(least)}
            options.setdefault("attrs", stepper)
        super().__init__(**options)

    def read(self, text: str) -> int:
        """Return the number that was typed."""
        if not _WHOLE.fullmatch(text):
            raise ValidationError(
                f"Enter a whole number in digits, from {self.least:,} to {self.most:,}."
            )
        return int(text)

    def validate(self, value: int | None) -> None:
        """Refuse a number out of bounds."""
        super().validate(value)
        if value is not None and not self.least <= value <= self.most:
            raise ValidationError(
                f"Enter a whole number from {self.least:,} to {self.most:,}."
            )


class MoneyField(TypedField):
    """An amount typed as 1,250.00; gives whole cents, ``least`` of them or more.

    Set ``currency`` in the form's ``__init__`` where the class cannot name it: an
    amount without one is read by nobody. ``names_currency`` is false where another
    field of the form may still change it.
    """

    default_error_messages: ClassVar[dict[str, Any]] = {
        "required": "Enter an amount, such as 185.00."
    }
    typing: ClassVar[Mapping[str, str]] = DECIMAL_TYPING

    def __init__(
        self,
        *,
        currency: str = "",
        least: int = 0,
        names_currency: bool = True,
        **options: Any,
    ) -> None:
        self.currency = currency
        self.names_currency = names_currency
        self.least = least
        super().__init__(**options)

    @property
    def said_currency(self) -> str:
        """Return the currency to name beside the label; dollars go without saying."""
        return money.code_beside(self.currency) if self.names_currency else ""

    def prepare_value(self, value: Any) -> Any:
        """Show cents as an amount."""
        if isinstance(value, int):
            return money.format_cents(value, self._code())
        return value

    def read(self, text: str) -> int:
        """Return the cents that were typed."""
        try:
            cents = money.parse_amount(text, self._code())
        except money.MoneyError as error:
            raise ValidationError(str(error)) from error
        if cents > MOST_CENTS:
            raise ValidationError("Enter an amount up to 100,000,000.00.")
        if cents < self.least:
            raise ValidationError("Enter an amount above 0.")
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


class RateField(TypedField):
    """A rate of exchange, typed as 0.7315; gives a Decimal above zero."""

    default_error_messages: ClassVar[dict[str, Any]] = {
        "required": "Enter a rate, such as 0.7315."
    }
    typing: ClassVar[Mapping[str, str]] = DECIMAL_TYPING

    def read(self, text: str) -> Decimal:
        """Return the rate that was typed."""
        if not _RATE.fullmatch(text) or not (rate := Decimal(text)):
            raise ValidationError(
                "Enter the rate in digits, such as 0.7315: above 0, with up to eight "
                "digits after the point."
            )
        return rate


class MassField(TypedField):
    """A weight as the document states it, typed as 1,240.5; gives a Decimal."""

    default_error_messages: ClassVar[dict[str, Any]] = {"required": "Enter a weight."}
    typing: ClassVar[Mapping[str, str]] = DECIMAL_TYPING

    def read(self, text: str) -> Decimal:
        """Return the weight that was typed."""
        if not _MASS.fullmatch(text):
            raise ValidationError("Enter the weight in digits, such as 1,240.5.")
        mass = Decimal(text.replace(",", ""))
        if not 0 < mass <= MOST_MASS:
            raise ValidationError("Enter a weight above 0, up to 1,000,000.")
        return mass
