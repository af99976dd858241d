"""Fields for sizes in inches or millimetres, and for percentages."""

import re
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from inventory.rules.reckoning.measures import MeasureError, parse_length_mm

_PERCENT = re.compile(r"(\d{1,3})(\.\d{1,2})?", re.ASCII)


class LengthField(forms.Field):
    """A length typed as 48 1/2, 48.5 or 1232 mm; gives the text, trimmed.

    The form's ``clean`` turns it into millimetres, because the unit stands in a
    field of its own: see ``length_of``.
    """

    def __init__(self, *, label: str, **kwargs: Any) -> None:
        attrs = {"autocomplete": "off", "class": "short"}
        kwargs.setdefault("widget", forms.TextInput(attrs=attrs))
        kwargs.setdefault("required", False)
        super().__init__(label=label, **kwargs)

    def to_python(self, value: Any) -> str:
        """Return the trimmed text."""
        return " ".join(str(value or "").split())[:40]


def length_of(text: str, unit: str) -> int | None:
    """Return millimetres, or None for an empty line. Raises ValidationError."""
    if not text:
        return None
    try:
        return parse_length_mm(text, unit)
    except MeasureError as error:
        raise ValidationError(str(error)) from error


class PercentField(forms.Field):
    """A percentage typed as 62.5, from 0 to 100; gives a Decimal."""

    def __init__(self, *, label: str, missing: str = "", **kwargs: Any) -> None:
        attrs = {"inputmode": "decimal", "autocomplete": "off", "class": "short"}
        kwargs.setdefault("widget", forms.TextInput(attrs=attrs))
        kwargs.setdefault("required", bool(missing))
        super().__init__(label=label, **kwargs)
        if missing:
            self.error_messages["required"] = missing

    def prepare_value(self, value: Any) -> Any:
        """Show a kept percentage without idle zeros."""
        return f"{value.normalize():f}" if isinstance(value, Decimal) else value

    def to_python(self, value: Any) -> Decimal | None:
        """Return the percentage, or None for an empty line."""
        text = str("" if value is None else value).strip().removesuffix("%").strip()
        if not text:
            return None
        if not _PERCENT.fullmatch(text) or Decimal(text) > 100:
            raise ValidationError("Write a percentage from 0 to 100, such as 62.5.")
        return Decimal(text)
