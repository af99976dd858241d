"""Forms to decide a short-paid credit, and to enter a supplier's statement."""

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any

from crispy_forms.layout import Row

from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.number_fields import MoneyField
from inventory.forms.core.text_fields import LineField, TextField


class DecideShortForm(StaleForm):
    """Decide a short-paid credit: the effective date and the reason."""

    creates = True

    decided_on = DayField(label="Effective date", required=True)
    reason = TextField(label="Reason", most=500, rows=3)

    def __init__(
        self,
        *args: Any,
        act: str,
        today: date,
        needs_reason: bool = True,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.act = act
        day: Any = self.fields["decided_on"]
        day.latest = today
        reason = self.fields["reason"]
        reason.required = needs_reason
        reason.error_messages["required"] = "Enter a reason."

    def rows(self) -> Iterable[Any]:
        """Return the date, then the reason."""
        return ["version", "decided_on", "reason"]


class WinShortForm(DecideShortForm):
    """Record that the supplier paid a short-paid credit, or a part of it."""

    amount = MoneyField(label="Amount paid", required=True)

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, needs_reason=False, **kwargs)
        amount: Any = self.fields["amount"]
        amount.currency = currency

    def rows(self) -> Iterable[Any]:
        """Return date and amount, then the reason."""
        return ["version", Row("decided_on", "amount"), "reason"]


class StateBalanceForm(HouseForm):
    """Enter what the supplier's statement says is open at the end of a day."""

    act = "Save the statement"
    creates = True

    as_of = DayField(label="Statement date", required=True)
    stated = MoneyField(
        label="Open deposits",
        required=True,
        help_text="The total that the supplier's statement shows as open on crates.",
    )
    note = LineField(label="Page or line of the statement", most=200)

    def __init__(self, *args: Any, today: date, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        day: Any = self.fields["as_of"]
        day.latest = today
        day.earliest = today - timedelta(days=366 * 5)
        stated: Any = self.fields["stated"]
        stated.currency = currency

    def rows(self) -> Iterable[Any]:
        """Return date and total, then where they are."""
        return [Row("as_of", "stated"), "note"]
