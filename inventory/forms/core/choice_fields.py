"""Fields for one of a few: a vocabulary's values, or rows that belong here."""

import re
from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError

from inventory.forms.core.fields import AskedField

_KEY = re.compile(r"\d{1,9}", re.ASCII)


class _ChosenField(AskedField):
    """A field for one of several."""

    default_error_messages: ClassVar[dict[str, Any]] = {
        "required": "Choose one.",
        "invalid_choice": "Choose one of those listed.",
    }


class PickField(_ChosenField, forms.ChoiceField):
    """One of a vocabulary's values, as a drop-down or, with ``as_rows``, as rows."""

    def __init__(
        self,
        *,
        words: Mapping[str, str],
        as_rows: bool = False,
        empty: str = "",
        **options: Any,
    ) -> None:
        choices = list(words.items())
        if empty:
            choices = [("", empty), *((k, v) for k, v in choices if k)]
        if as_rows:
            options.setdefault("widget", forms.RadioSelect)
        super().__init__(choices=choices, **options)


class RowField(_ChosenField, forms.ModelChoiceField):  # type: ignore[type-arg]
    """One row out of those the form was given.

    Set ``queryset`` in the form's ``__init__`` to the rows that belong here: a row
    of another location or bill is then refused like any unknown one.
    """

    def __init__(self, **options: Any) -> None:
        options.setdefault("empty_label", "Choose one")
        super().__init__(queryset=None, **options)

    def to_python(self, value: Any) -> Any:
        """Return the row; text that is no key is an unknown choice, not a failure."""
        text = str(value or "")
        if text and not _KEY.fullmatch(text):
            raise ValidationError(self.error_messages["invalid_choice"])
        return super().to_python(value)
