"""Forms for what accounting decides of claims in the books."""

from datetime import date
from typing import Any

from claims.forms.claim.steps import ReasonField, RequiredDayField
from claims.rules.books.basis import BASES
from claims.rules.books.figures import FIGURES
from inventory.forms.core.base import HouseForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.number_fields import MoneyField, read_money_in


class BasisForm(HouseForm):
    """Set when claims filed from now on are booked."""

    act = "Save"
    creates = True

    basis = PickField(
        label="When is a claim booked?",
        words=BASES,
        missing="Choose one.",
        as_rows=True,
    )
    labor_rate_cents = MoneyField(
        label="Our own cost of an hour of labor",
        missing="Enter an amount, such as 42.00.",
        help_text="A repair is our loss at cost, not at the shop's rate.",
    )

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        read_money_in(self, currency)


class OpenBooksForm(HouseForm):
    """Bring in the claims that were filed before."""

    act = "Bring them in"
    creates = True

    on = RequiredDayField(label="Posted on")

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["on"]
        field.latest = today
        field.initial = today


class FigureForm(HouseForm):
    """State a figure of one claim for the books."""

    act = "State the figure"
    creates = True

    what = PickField(
        label="Which figure?", words=FIGURES, missing="Choose one.", as_rows=True
    )
    cents = MoneyField(label="Amount", missing="Enter an amount, such as 185.00.")
    reason = ReasonField()

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        read_money_in(self, currency)
