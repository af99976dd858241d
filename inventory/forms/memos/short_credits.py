"""Forms that decide a difference, and that hold a statement against our books."""

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any

from crispy_forms.layout import Field, Row

from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.day_fields import DayField
from inventory.forms.core.number_fields import MoneyField
from inventory.forms.core.posting import PostingMixin
from inventory.forms.core.text_fields import LineField, TextField


class DecideShortForm(PostingMixin, StaleForm):
    """Decide a difference: the day it takes effect, and why."""

    decided_on = DayField(label="Takes effect on", missing="Write the day.")
    reason = TextField(label="Why", most=500, rows=3)

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
        reason.error_messages["required"] = "Say why in a few words."

    def rows(self) -> Iterable[Any]:
        """Return the hidden keys, then the words."""
        return [Field("version"), Field("posting_key"), "decided_on", "reason"]


class WinShortForm(DecideShortForm):
    """Record that the supplier paid a difference, or a part of it."""

    amount = MoneyField(label="Paid", missing="Write what was paid.")

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, needs_reason=False, **kwargs)
        amount: Any = self.fields["amount"]
        amount.currency = currency

    def rows(self) -> Iterable[Any]:
        """Return the amount between day and words."""
        return [
            Field("version"),
            Field("posting_key"),
            Row("decided_on", "amount"),
            "reason",
        ]


class StateBalanceForm(HouseForm):
    """Enter what the supplier's statement says is open at the end of a day."""

    act = "Compare it with our books"

    as_of = DayField(label="At the end of", missing="Write the statement's day.")
    stated = MoneyField(
        label="Deposits it still owes us",
        missing="Write the sum of the statement.",
        help_text="What stands open on crates, by its statement.",
    )
    note = LineField(label="Where it says so", most=200)

    def __init__(self, *args: Any, today: date, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        day: Any = self.fields["as_of"]
        day.latest = today
        day.earliest = today - timedelta(days=366 * 5)
        stated: Any = self.fields["stated"]
        stated.currency = currency

    def rows(self) -> Iterable[Any]:
        """Return the statement's line."""
        return [Row("as_of", "stated"), "note"]
