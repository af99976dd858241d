"""Fields for sizes in inches or millimeters, and for percentages."""

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Any, ClassVar

from django.core.exceptions import ValidationError

from inventory.forms.core.fields import TypedField
from inventory.forms.core.number_fields import DECIMAL_TYPING
from inventory.rules.reckoning.measures import MeasureError, parse_length_mm

_PERCENT = re.compile(r"(\d{1,3})(\.\d{1,2})?", re.ASCII)


class LengthField(TypedField):
    """A length typed as 48 1/2, 48.5 or 1232 mm; gives the text, trimmed.

    The form's ``clean`` turns it into millimeters, because its unit is a field of
    its own: see ``length_of``.
    """

    def to_python(self, value: Any) -> str:
        """Return the trimmed text."""
        return " ".join(str(value or "").split())[:40]


def length_of(text: str, unit: str) -> int | None:
    """Return millimeters, or None for an empty line. Raise ValidationError."""
    if not text:
        return None
    try:
        return parse_length_mm(text, unit)
    except MeasureError as error:
        raise ValidationError(str(error)) from error


class PercentField(TypedField):
    """A percentage typed as 62.5, from 0 to 100; gives a Decimal."""

    default_error_messages: ClassVar[dict[str, Any]] = {
        "required": "Enter a percentage."
    }
    typing: ClassVar[Mapping[str, str]] = DECIMAL_TYPING

    def prepare_value(self, value: Any) -> Any:
        """Show a saved percentage without trailing zeros."""
        return f"{value.normalize():f}" if isinstance(value, Decimal) else value

    def read(self, text: str) -> Decimal | None:
        """Return the percentage; a sign alone is an empty line."""
        bare = text.removesuffix("%").strip()
        if not bare:
            return None
        if not _PERCENT.fullmatch(bare) or Decimal(bare) > 100:
            raise ValidationError("Enter a percentage from 0 to 100, such as 62.5.")
        return Decimal(bare)
