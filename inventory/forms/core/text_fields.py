"""Fields for words: cleaned on the way in, with a length a person can see."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from inventory.rules.core.text import clean_text, normal_identifier, normal_pro

MOST_CHARACTERS = 10_000
MOST_LINES = 200


class LineField(forms.CharField):
    """One line of text, cleaned and stripped.

    ``missing`` is the sentence for an empty line; giving it makes the field
    required. ``is_identifier`` normalises to upper case with single spaces and asks
    the phone for capitals without correction.
    """

    def __init__(
        self,
        *,
        label: str,
        most: int,
        missing: str = "",
        is_identifier: bool = False,
        attrs: Mapping[str, str] | None = None,
        **kwargs: Any,
    ) -> None:
        self.most = most
        self.is_identifier = is_identifier
        widget = forms.TextInput(attrs={"autocomplete": "off", **(attrs or {})})
        if is_identifier:
            widget.attrs |= {
                "autocapitalize": "characters",
                "autocorrect": "off",
                "spellcheck": "false",
                "class": "ident",
            }
        kwargs.setdefault("widget", widget)
        kwargs.setdefault("required", bool(missing))
        super().__init__(label=label, **kwargs)
        if missing:
            self.error_messages["required"] = missing

    def to_python(self, value: Any) -> str:
        """Return the cleaned line."""
        text = " ".join(clean_text(str(value or "")).split())
        return normal_identifier(text) if self.is_identifier else text

    def validate(self, value: str) -> None:
        """Refuse an empty required line and one that is too long."""
        super().validate(value)
        if len(value) > self.most:
            raise ValidationError(
                f"Shorten this to {self.most} characters; it has {len(value)}."
            )


class ProField(LineField):
    """The freight bill's own number, as the carrier prints it."""

    def __init__(self) -> None:
        super().__init__(
            label="PRO number",
            most=30,
            is_identifier=True,
            missing="Write the PRO number from the freight bill.",
        )

    def to_python(self, value: Any) -> str:
        """Return the number alone."""
        return normal_pro(super().to_python(value))


class TextField(forms.CharField):
    """Several lines of text, cleaned; at most 10,000 characters and 200 lines."""

    def __init__(
        self,
        *,
        label: str,
        most: int = MOST_CHARACTERS,
        missing: str = "",
        rows: int = 3,
        **kwargs: Any,
    ) -> None:
        self.most = min(most, MOST_CHARACTERS)
        kwargs.setdefault("widget", forms.Textarea(attrs={"rows": str(rows)}))
        kwargs.setdefault("required", bool(missing))
        super().__init__(label=label, **kwargs)
        if missing:
            self.error_messages["required"] = missing

    def to_python(self, value: Any) -> str:
        """Return the cleaned text with its line breaks."""
        return clean_text(str(value or "")).strip()

    def validate(self, value: str) -> None:
        """Refuse an empty required text and one that is too long."""
        super().validate(value)
        if len(value) > self.most:
            raise ValidationError(
                f"Shorten this to {self.most:,} characters; it has {len(value):,}."
            )
        lines = value.count("\n") + 1
        if lines > MOST_LINES:
            raise ValidationError(
                f"Shorten this to {MOST_LINES} lines; it has {lines:,}."
            )
