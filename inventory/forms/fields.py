"""Fields that turn what was typed into a domain value, or say what to type instead.

Every sentence tells the person what to do. Control and direction-changing
characters are dropped on the way in; digits are the ASCII ones only.
"""

import re
import unicodedata
from collections.abc import Mapping
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError

from inventory.rules.text import clean_text

YEARS_BACK = 5
MOST_CHARACTERS = 10_000
MOST_LINES = 200
MOST_COUNT = 99_999
MOST_CENTS = 10_000_000_000
MOST_MASS = Decimal(1_000_000)

_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_CLOCK = re.compile(r"(\d{4}-\d{2}-\d{2})[ T](\d{2}):(\d{2})", re.ASCII)
_AMOUNT = re.compile(r"\$?(\d{1,3}(?:,\d{3})+|\d{1,12})(?:\.(\d{1,2}))?", re.ASCII)
_MASS = re.compile(r"(\d{1,3}(?:,\d{3})+|\d{1,9})(\.\d{1,3})?", re.ASCII)
_WHOLE = re.compile(r"\d{1,9}", re.ASCII)


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


def normal_identifier(text: str) -> str:
    """Return a serial, PRO or mark as we keep and look for it: one form for all."""
    plain = unicodedata.normalize("NFKC", clean_text(text))
    return " ".join(plain.upper().split())


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


class DayField(forms.Field):
    """A date typed as 2026-03-31.

    Set ``latest`` (and ``earliest`` if it is not five years before it) on the
    form's own field in ``__init__``: the field does not read the clock.
    """

    default_error_messages: ClassVar[dict[str, Any]] = {
        "required": "Write the date as 2026-03-31."
    }

    def __init__(
        self,
        *,
        label: str,
        missing: str = "",
        too_late: str = "This day is still to come. Write a day up to {latest}.",
        **kwargs: Any,
    ) -> None:
        self.earliest: date | None = None
        self.latest: date | None = None
        self.too_late = too_late
        attrs = {"autocomplete": "off", "class": "short"}
        kwargs.setdefault("widget", forms.TextInput(attrs=attrs))
        kwargs.setdefault("required", bool(missing))
        super().__init__(label=label, **kwargs)
        if missing:
            self.error_messages["required"] = missing

    def prepare_value(self, value: Any) -> Any:
        """Show a date as it is to be typed."""
        return value.isoformat() if isinstance(value, date) else value

    def to_python(self, value: Any) -> date | None:
        """Return the day, or None for an empty line."""
        if isinstance(value, date):
            return value
        text = str(value or "").strip()
        return read_day(text) if text else None

    def validate(self, value: date | None) -> None:
        """Refuse a day outside the window."""
        super().validate(value)
        if value is not None:
            check_window(
                value,
                earliest=self.earliest,
                latest=self.latest,
                too_late=self.too_late,
            )


def read_day(text: str) -> date:
    """Return the day written as 2026-03-31. Raises ValidationError otherwise."""
    if not _DAY.fullmatch(text):
        raise ValidationError("Write the date as 2026-03-31.")
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise ValidationError(
            f"There is no day {text}. Check the month and the day."
        ) from error


def check_window(
    day: date, *, earliest: date | None, latest: date | None, too_late: str
) -> None:
    """Raise ValidationError for a day outside the window.

    With ``latest`` but no ``earliest`` the window opens five years before it.
    """
    if latest is None:
        return
    if day > latest:
        raise ValidationError(too_late.format(latest=latest.isoformat()))
    first = earliest or latest - timedelta(days=366 * YEARS_BACK)
    if day < first:
        raise ValidationError(
            f"This is before {first.isoformat()}. Check the year and write it again."
        )


class MomentField(forms.Field):
    """A local date and time typed as 2026-03-31 14:05; gives a naive datetime.

    Set ``latest`` (naive, local) in the form's ``__init__``.
    """

    def __init__(self, *, label: str, missing: str = "", **kwargs: Any) -> None:
        self.latest: datetime | None = None
        widget = forms.TextInput(attrs={"autocomplete": "off", "class": "medium"})
        kwargs.setdefault("widget", widget)
        kwargs.setdefault("required", bool(missing))
        super().__init__(label=label, **kwargs)
        if missing:
            self.error_messages["required"] = missing

    def prepare_value(self, value: Any) -> Any:
        """Show a moment as it is to be typed."""
        return f"{value:%Y-%m-%d %H:%M}" if isinstance(value, datetime) else value

    def to_python(self, value: Any) -> datetime | None:
        """Return the local moment, or None for an empty line."""
        if isinstance(value, datetime):
            return value
        text = " ".join(str(value or "").split())
        if not text:
            return None
        found = _CLOCK.fullmatch(text)
        if not found:
            raise ValidationError("Write date and time as 2026-03-31 14:05.")
        day = read_day(found[1])
        hour, minute = int(found[2]), int(found[3])
        if hour > 23 or minute > 59:
            raise ValidationError("Write the time from 00:00 to 23:59.")
        return datetime.combine(day, datetime.min.time()).replace(
            hour=hour, minute=minute
        )

    def validate(self, value: datetime | None) -> None:
        """Refuse a moment still to come, or years ago."""
        super().validate(value)
        if value is None or self.latest is None:
            return
        if value > self.latest:
            raise ValidationError(
                "This moment is still to come. Write when it happened, up to "
                f"{self.latest:%Y-%m-%d %H:%M}."
            )
        check_window(
            value.date(), earliest=None, latest=self.latest.date(), too_late=""
        )


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


class RowField(forms.ModelChoiceField[Any]):
    """One row out of those the form was given.

    Set ``queryset`` in the form's ``__init__`` to the rows that belong here: a row
    of another location or bill is then refused like any unknown one.
    """

    def __init__(self, *, label: str, missing: str = "", **kwargs: Any) -> None:
        kwargs.setdefault("required", bool(missing))
        super().__init__(queryset=None, label=label, **kwargs)
        if missing:
            self.error_messages["required"] = missing
        self.error_messages["invalid_choice"] = "Choose one of those listed."

    def to_python(self, value: Any) -> Any:
        """Return the row; text no key can be is an unknown choice, not a failure."""
        text = str(value or "")
        if text and not _WHOLE.fullmatch(text):
            raise ValidationError(self.error_messages["invalid_choice"])
        return super().to_python(value)


class MoneyField(forms.Field):
    """An amount typed as 1,250.00; gives whole cents.

    Set ``currency`` in the form's ``__init__`` where the location's own matters.
    """

    def __init__(
        self, *, label: str, missing: str = "", currency: str = "USD", **kwargs: Any
    ) -> None:
        self.currency = currency
        attrs = {"inputmode": "decimal", "autocomplete": "off", "class": "short"}
        kwargs.setdefault("widget", forms.TextInput(attrs=attrs))
        kwargs.setdefault("required", bool(missing))
        super().__init__(label=label, **kwargs)
        if missing:
            self.error_messages["required"] = missing

    def prepare_value(self, value: Any) -> Any:
        """Show cents as an amount."""
        if isinstance(value, int):
            return f"{value // 100:,}.{value % 100:02d}"
        return value

    def to_python(self, value: Any) -> int | None:
        """Return the cents, or None for an empty line."""
        text = str("" if value is None else value).strip()
        if not text:
            return None
        found = _AMOUNT.fullmatch(text)
        if not found:
            raise ValidationError(
                "Write the amount to the cent at most, such as 1,250.00."
            )
        cents = int(found[1].replace(",", "")) * 100
        cents += int((found[2] or "0").ljust(2, "0"))
        if cents > MOST_CENTS:
            raise ValidationError("Write an amount up to 100,000,000.00.")
        return cents


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
