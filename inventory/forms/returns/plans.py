"""Forms of the return planner, and of what a return truck costs."""

from collections.abc import Sequence
from typing import Any

from inventory.forms.core.asking import AskForm
from inventory.forms.core.base import StaleForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.number_fields import CountField, MoneyField


class PlanForm(AskForm):
    """Whose crates, how many weeks ahead, and how long a full crate still needs."""

    act = "Show the plan"

    pair = PickField(label="Supplier", words={}, missing="Choose one.")
    weeks = CountField(
        label="Weeks ahead", least=1, most=52, missing="Enter a number, such as 12."
    )
    ready_days = CountField(
        label="Days to empty and check a crate",
        least=0,
        most=60,
        missing="Enter a number, such as 3.",
    )

    def __init__(
        self, *args: Any, pairs: Sequence[tuple[str, str]], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["pair"].choices = list(pairs)  # type: ignore[attr-defined]


class ReturnCostsForm(StaleForm):
    """What one truck to one supplier costs us."""

    act = "Save the costs"
    creates = True

    pickup_cents = MoneyField(
        label="Cost per pick-up",
        missing="Enter an amount, or 0.",
        help_text="What one truck costs, full or not.",
    )
    per_crate_cents = MoneyField(
        label="Freight per crate", missing="Enter an amount, or 0."
    )
    yard_cents_per_day = MoneyField(
        label="Yard cost per crate per day",
        missing="Enter an amount, or 0.",
        help_text="What a crate's space in the yard is worth to you.",
    )
    trailer_crates = CountField(
        label="Crates per trailer",
        least=1,
        most=999,
        help_text="Leave it empty if one truck takes them all.",
    )

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("pickup_cents", "per_crate_cents", "yard_cents_per_day"):
            self.fields[name].currency = currency  # type: ignore[attr-defined]

    def costs(self) -> dict[str, Any]:
        """Return the row's values."""
        return {
            name: value
            for name, value in self.cleaned_data.items()
            if name != "version"
        }
