"""Fields for one of a few: a vocabulary's values, or rows that belong here."""

import re
from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

_KEY = re.compile(r"\d{1,9}", re.ASCII)


class PickField(forms.ChoiceField):
    """One of a vocabulary's values, as a drop-down or, with ``as_rows``, as rows."""

    def __init__(
        self,
        *,
        label: str,
        words: Mapping[str, str],
        missing: str = "",
        as_rows: bool = False,
        empty: str = "",
        **kwargs: Any,
    ) -> None:
        choices = list(words.items())
        if empty:
            choices = [("", empty), *((k, v) for k, v in choices if k)]
        if as_rows:
            kwargs.setdefault("widget", forms.RadioSelect)
        kwargs.setdefault("required", bool(missing))
        super().__init__(label=label, choices=choices, **kwargs)
        if missing:
            self.error_messages["required"] = missing
        self.error_messages["invalid_choice"] = "Choose one of those listed."


class RowField(forms.ModelChoiceField):  # type: ignore[type-arg]
    """One row out of those the form was given.

    Set ``queryset`` in the form's ``__init__`` to the rows that belong here: a row
    of another location or bill is then refused like any unknown one.
    """

    def __init__(self, *, label: str, missing: str = "", **kwargs: Any) -> None:
        kwargs.setdefault("required", bool(missing))
        kwargs.setdefault("empty_label", "Choose one")
        super().__init__(queryset=None, label=label, **kwargs)
        if missing:
            self.error_messages["required"] = missing
        self.error_messages["invalid_choice"] = "Choose one of those listed."

    def to_python(self, value: Any) -> Any:
        """Return the row; text no key can be is an unknown choice, not a failure."""
        text = str(value or "")
        if text and not _KEY.fullmatch(text):
            raise ValidationError(self.error_messages["invalid_choice"])
        return super().to_python(value)
