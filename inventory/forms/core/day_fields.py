"""Fields for days and moments, picked from the browser's own calendar.

A picker sends 2026-03-31 and 2026-03-31T14:05; both may be typed as well.
"""

import re
from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Any, ClassVar

from django.core.exceptions import ValidationError

from inventory.forms.core.fields import TypedField
from inventory.rules.reckoning.moments import clock_words, day_words

YEARS_BACK = 5

_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_CLOCK = re.compile(
    r"(\d{4}-\d{2}-\d{2})[ T](\d{2}):(\d{2})(?::\d{2}(?:\.\d{1,3})?)?", re.ASCII
)


class DayField(TypedField):
    """A date, picked or typed as 2026-03-31.

    Set ``latest`` (and ``earliest`` if it is not five years before it) on the
    form's own field in ``__init__``: the field does not read the clock.
    """

    default_error_messages: ClassVar[dict[str, Any]] = {"required": "Enter a date."}
    typing: ClassVar[Mapping[str, str]] = {**TypedField.typing, "type": "date"}

    def __init__(
        self,
        *,
        too_late: str = "That day is in the future. Enter a day up to {latest}.",
        **options: Any,
    ) -> None:
        self.earliest: date | None = None
        self.latest: date | None = None
        self.too_late = too_late
        super().__init__(**options)

    def prepare_value(self, value: Any) -> Any:
        """Show a date as it is to be typed."""
        return value.isoformat() if isinstance(value, date) else value

    def to_python(self, value: Any) -> date | None:
        """Return the day, or None for an empty line."""
        return value if isinstance(value, date) else super().to_python(value)

    def read(self, text: str) -> date:
        """Return the day that was typed."""
        return read_day(text)

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
    """Return the day written as 2026-03-31. Raise ValidationError otherwise."""
    if not _DAY.fullmatch(text):
        raise ValidationError("Enter the date as 2026-03-31.")
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
            f"That day is before {first.isoformat()}. Check the year."
        )


class MomentField(TypedField):
    """A local date and time, picked or typed as 2026-03-31 14:05; gives a naive datetime.

    Set ``latest`` (naive, local) in the form's ``__init__``.
    """

    default_error_messages: ClassVar[dict[str, Any]] = {
        "required": "Enter a date and time."
    }
    typing: ClassVar[Mapping[str, str]] = {
        "autocomplete": "off",
        "class": "medium",
        "type": "datetime-local",
    }

    def __init__(self, **options: Any) -> None:
        self.latest: datetime | None = None
        super().__init__(**options)

    def prepare_value(self, value: Any) -> Any:
        """Show a moment as it is to be typed."""
        return f"{value:%Y-%m-%dT%H:%M}" if isinstance(value, datetime) else value

    def to_python(self, value: Any) -> datetime | None:
        """Return the local moment, or None for an empty line."""
        return value if isinstance(value, datetime) else super().to_python(value)

    def read(self, text: str) -> datetime:
        """Return the moment that was typed."""
        found = _CLOCK.fullmatch(" ".join(text.split()))
        if not found:
            raise ValidationError("Enter date and time as 2026-03-31 14:05.")
        day = read_day(found[1])
        hour, minute = int(found[2]), int(found[3])
        if hour > 23 or minute > 59:
            raise ValidationError("Enter a time from 00:00 to 23:59.")
        return datetime.combine(day, datetime.min.time()).replace(
            hour=hour, minute=minute
        )

    def validate(self, value: datetime | None) -> None:
        """Refuse a moment in the future, or years ago."""
        super().validate(value)
        if value is None or self.latest is None:
            return
        if value > self.latest:
            raise ValidationError(
                "That time is in the future. Enter when it happened, up to "
                f"{day_words(self.latest.date(), self.latest.date())}, "
                f"{clock_words(self.latest)}."
            )
        check_window(
            value.date(), earliest=None, latest=self.latest.date(), too_late=""
        )
