"""Forms for the manager's decisions on a finding: price, answer, recover from."""

from collections.abc import Sequence
from typing import Any

from claims.actions.bench.decisions import Prices
from claims.forms.bench.fields import call_not_optional
from claims.models import FindingPart
from claims.rules.bench.causes import HANDLING_ANSWERS
from claims.rules.bench.safety_parts import SAFETY_BASES
from claims.rules.core.vocabulary import ROUTES
from inventory.forms.core.base import StaleForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.number_fields import MoneyField
from inventory.forms.core.text_fields import LineField, TextField


class PriceForm(StaleForm):
    """Price the parts of a repair. The rate is the location's own."""

    act = "Save the prices"

    def __init__(
        self,
        *args: Any,
        parts: Sequence[FindingPart],
        currency: str,
        is_safety_part: bool,
        asks_rate: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.parts = tuple(parts)
        if asks_rate:
            self.fields["rate"] = MoneyField(
                label=f"Labor rate per hour, in {currency}",
                currency=currency,
                names_currency=False,
            )
        for part in self.parts:
            number = f" ({part.part_number})" if part.part_number else ""
            self.fields[f"price_{part.pk}"] = MoneyField(
                label=f"{part.quantity} x {part.description}{number}: unit price",
                currency=currency,
            )
        if is_safety_part:
            self.fields["safety_basis"] = PickField(
                label="How is this safety part repaired?",
                words=SAFETY_BASES,
                missing="Choose one.",
                as_rows=True,
            )
            self.fields["safety_reference"] = LineField(
                label="Maker's instruction, date and number", most=200
            )
            call_not_optional(self, "safety_reference")

    def clean(self) -> dict[str, Any]:
        """Ask for the maker's instruction where the repair follows it."""
        cleaned = super().clean() or {}
        instructed = cleaned.get("safety_basis") == "instruction"
        if instructed and not cleaned.get("safety_reference"):
            self.add_error("safety_reference", "Enter its date and number.")
        return cleaned

    def prices(self) -> Prices:
        """Return the prices as entered; an empty line is no price yet."""
        cleaned = self.cleaned_data
        return Prices(
            parts={part.pk: cleaned[f"price_{part.pk}"] for part in self.parts},
            rate_cents=cleaned.get("rate"),
            safety_basis=cleaned.get("safety_basis", ""),
            safety_reference=cleaned.get("safety_reference", ""),
        )


class HandlingForm(StaleForm):
    """Answer "our handling"."""

    act = "Save the answer"

    answer = PickField(
        label="Your answer",
        words=HANDLING_ANSWERS,
        missing="Choose one.",
        as_rows=True,
    )
    reason = TextField(label="Reason", most=1000, missing="Enter the reason.")


class RouteForm(StaleForm):
    """Recover a finding from somebody else than the rules say."""

    act = "Save"

    route = PickField(
        label="Recover from",
        words=ROUTES,
        missing="Choose one.",
        as_rows=True,
    )
    reason = TextField(label="Reason", most=1000, missing="Enter the reason.")
