"""The form for a rate of exchange."""

import datetime as dt
from collections.abc import Sequence
from typing import Any

from crispy_forms.layout import Field, Row
from django.core.exceptions import ValidationError
from django.db.models import QuerySet

from inventory.actions.ledger.rates import RateTold
from inventory.forms.core.base import HouseForm
from inventory.forms.core.choice_fields import RowField
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.number_fields import RateField
from inventory.forms.core.text_fields import LineField
from inventory.models import Location
from inventory.rules.reckoning.money import MoneyError, check_currency


class RateForm(HouseForm):
    """Enter what one unit of another currency is in the location's own."""

    act = "Save the rate"
    creates = True

    location = RowField(label="Location", required=True)
    currency = LineField(
        label="Other currency",
        most=3,
        is_identifier=True,
        help_text="Three letters, such as CAD.",
        missing="Enter the code of the currency.",
    )
    rate = RateField(
        label="Rate",
        help_text="With 1 CAD = 0.7315 USD, enter 0.7315.",
        required=True,
    )
    rated_on = DayField(label="Day of the rate", required=True)
    source = LineField(
        label="Source",
        most=200,
        help_text="Such as the central bank's daily list.",
        missing="Enter where the rate is from.",
    )

    def __init__(
        self, *args: Any, places: QuerySet[Location], today: dt.date, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["location"].queryset = places
        fields["rated_on"].latest = today
        if len(places) == 1:
            self.initial.setdefault("location", places[0].pk)

    def rows(self) -> Sequence[Any]:
        """Return the pair of currencies, then where the rate is from."""
        return [
            "location",
            Row(Field("currency", css_class="short"), "rate"),
            "rated_on",
            "source",
        ]

    def clean_currency(self) -> str:
        """Return the code of the currency."""
        try:
            return check_currency(str(self.cleaned_data["currency"]))
        except MoneyError as error:
            raise ValidationError(str(error)) from error

    def told(self) -> RateTold:
        """Return the rate as it was typed."""
        got = self.cleaned_data
        return RateTold(got["currency"], got["rate"], got["rated_on"], got["source"])
