"""What all fields share: the sentence for an empty one, and one typed line."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms


class AskedField(forms.Field):
    """A field with a label. ``missing`` is the error where it is empty.

    Giving ``missing`` makes the field required. With ``required=True`` alone the
    error is the one in ``default_error_messages`` of the field's own class.
    """

    def __init__(
        self, *args: Any, label: str, missing: str = "", **options: Any
    ) -> None:
        options.setdefault("required", bool(missing))
        super().__init__(*args, label=label, **options)
        if missing:
            self.error_messages["required"] = missing


class TypedField(AskedField):
    """One line typed as text, which ``read`` turns into a value.

    ``typing`` holds the attributes of the input; ``attrs`` adds to them.
    """

    typing: ClassVar[Mapping[str, str]] = {"autocomplete": "off", "class": "short"}

    def __init__(
        self, *args: Any, attrs: Mapping[str, str] | None = None, **options: Any
    ) -> None:
        widget = forms.TextInput(attrs={**self.typing, **(attrs or {})})
        options.setdefault("widget", widget)
        super().__init__(*args, **options)

    def read(self, text: str) -> Any:
        """Return the value of a line that is not empty. Raise ValidationError."""
        raise NotImplementedError

    def to_python(self, value: Any) -> Any:
        """Return the value, or None for an empty line."""
        text = str("" if value is None else value).strip()
        return self.read(text) if text else None
