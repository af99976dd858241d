"""What a list is asked for: a span of days, a day, one location or supplier."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from crispy_forms.helper import FormHelper
from django.core.exceptions import ValidationError

from inventory.forms.core.base import HouseForm
from inventory.forms.core.choice_fields import RowField
from inventory.forms.core.day_fields import DayField
from inventory.models import Location, Supplier
from inventory.rules.reckoning.months import EARLIEST, LATEST

MOST_DAYS = 1_100
"""Three years of days: a span a page can still show."""

TOO_LATE = "That day is too far ahead. Enter a day up to {latest}."


class AskForm(HouseForm):
    """A form that only asks: sent by GET, so that the address can be kept."""

    act = "Show"

    @property
    def helper(self) -> FormHelper:
        """Return the helper of a filter: no token, no change."""
        helper = super().helper
        helper.form_method = "get"
        helper.form_class = "filter"
        helper.disable_csrf = True
        return helper


class SpanForm(AskForm):
    """From one day to another, at one location or all."""

    most_days: int | None = MOST_DAYS

    first = DayField(label="From", missing="Choose the first day.", too_late=TOO_LATE)
    last = DayField(label="To", missing="Choose the last day.", too_late=TOO_LATE)
    place = RowField(label="Location")

    def __init__(self, *args: Any, places: Sequence[Location], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("first", "last"):
            field: Any = self.fields[name]
            field.earliest, field.latest = EARLIEST, LATEST
        _only(self, "place", Location.objects.filter(pk__in=[one.pk for one in places]))

    def clean(self) -> dict[str, Any]:
        """Refuse a span that ends before it begins, or that no page can hold."""
        cleaned: dict[str, Any] = super().clean() or {}
        first, last = cleaned.get("first"), cleaned.get("last")
        if first and last and last < first:
            raise ValidationError("The last day is before the first. Swap them.")
        most = self.most_days
        if first and last and most is not None and (last - first).days > most:
            raise ValidationError("Ask for three years at most.")
        return cleaned


class DayForm(AskForm):
    """At the end of one day, with one supplier or all, at one location or all."""

    on = DayField(label="At the end of", missing="Choose the day.")
    place = RowField(label="Location")
    supplier = RowField(label="Supplier")

    def __init__(
        self,
        *args: Any,
        places: Sequence[Location],
        suppliers: Sequence[Supplier],
        latest: date,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["on"].latest = latest  # type: ignore[attr-defined]
        _only(self, "place", Location.objects.filter(pk__in=[one.pk for one in places]))
        keys = [one.pk for one in suppliers]
        _only(self, "supplier", Supplier.objects.filter(pk__in=keys))


def _only(form: HouseForm, name: str, rows: Any) -> None:
    field = form.fields[name]
    field.queryset = rows  # type: ignore[attr-defined]
    field.empty_label = "All"  # type: ignore[attr-defined]
