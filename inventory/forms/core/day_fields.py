"""Fields for days and moments, typed as text: 2026-03-31, 2026-03-31 14:05."""

import re
from datetime import date, datetime, timedelta
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError

YEARS_BACK = 5

_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_CLOCK = re.compile(r"(\d{4}-\d{2}-\d{2})[ T](\d{2}):(\d{2})", re.ASCII)


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
