"""Fields for words: cleaned on the way in, with a length a person can see."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.urls import reverse_lazy

from inventory.forms.core.fields import AskedField
from inventory.rules.core.text import clean_text, normal_identifier, normal_pro

MOST_CHARACTERS = 10_000
MOST_LINES = 200


class LineField(AskedField, forms.CharField):
    """One line of text, cleaned and stripped.

    ``is_identifier`` normalizes to upper case with single spaces and asks the phone
    for capitals without correction. ``scans`` puts a button beside it that reads the
    code on a label; what it reads is cleaned as if it had been typed.
    """

    default_error_messages: ClassVar[dict[str, Any]] = {"required": "Fill this in."}

    def __init__(
        self,
        *,
        most: int,
        is_identifier: bool = False,
        scans: bool = False,
        attrs: Mapping[str, str] | None = None,
        **options: Any,
    ) -> None:
        self.most = most
        self.is_identifier = is_identifier
        typing: dict[str, Any] = {"autocomplete": "off", **(attrs or {})}
        if is_identifier:
            typing |= {
                "autocapitalize": "characters",
                "autocorrect": "off",
                "spellcheck": "false",
                "class": "ident",
            }
        if scans:
            typing["data-scan"] = reverse_lazy("read_codes")
        options.setdefault("widget", forms.TextInput(attrs=typing))
        super().__init__(**options)

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
            scans=True,
            missing="Enter the PRO number from the freight bill.",
        )

    def to_python(self, value: Any) -> str:
        """Return the number alone."""
        return normal_pro(super().to_python(value))


class TextField(AskedField, forms.CharField):
    """Several lines of text, cleaned; at most 10,000 characters and 200 lines."""

    default_error_messages: ClassVar[dict[str, Any]] = {"required": "Fill this in."}

    def __init__(
        self, *, most: int = MOST_CHARACTERS, rows: int = 3, **options: Any
    ) -> None:
        self.most = min(most, MOST_CHARACTERS)
        options.setdefault("widget", forms.Textarea(attrs={"rows": str(rows)}))
        super().__init__(**options)

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
