"""Fields of the bench: hours of labor, and what another answer asks for."""

import re
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

MOST_HOURS = 500

_HOURS = re.compile(r"(\d{1,3})(?:\.(\d{1,2}))?|(\d{1,3}):([0-5]\d)", re.ASCII)


class HoursField(forms.Field):
    """Hours of labor typed as 1.5 or 1:30; gives whole minutes, 0 for an empty line."""

    def __init__(self, *, label: str, **kwargs: Any) -> None:
        attrs = {"inputmode": "decimal", "autocomplete": "off", "class": "short"}
        kwargs.setdefault("widget", forms.TextInput(attrs=attrs))
        super().__init__(label=label, required=False, **kwargs)

    def prepare_value(self, value: Any) -> Any:
        """Show whole minutes as hours and minutes; nothing for no labor."""
        if isinstance(value, int):
            return f"{value // 60}:{value % 60:02d}" if value else ""
        return value

    def to_python(self, value: Any) -> int:
        """Return the minutes; half a minute is rounded up."""
        text = str("" if value is None else value).strip()
        if not text:
            return 0
        found = _HOURS.fullmatch(text)
        if not found:
            raise ValidationError("Enter hours, such as 1.5 or 1:30.")
        if found[3]:
            minutes = int(found[3]) * 60 + int(found[4])
        else:
            minutes = int(Decimal(text) * 60 + Decimal("0.5"))
        if minutes > MOST_HOURS * 60:
            raise ValidationError(f"Enter at most {MOST_HOURS} hours.")
        return minutes


def call_not_optional(form: forms.Form, *names: str) -> None:
    """Mark fields that another answer asks for, so that they do not say "optional"."""
    for name in names:
        field: Any = form.fields[name]
        field.is_conditional = True
