"""Forms that make a claim of findings and change its lines."""

from collections.abc import Iterable, Sequence
from copy import deepcopy
from dataclasses import dataclass
from typing import Any

from crispy_forms.layout import Fieldset, Row
from django import forms
from django.core.exceptions import ValidationError

from claims.forms.claim.offers import (
    OverlapForm,
    ask_for_the_rest,
    overlap_rows,
    said_in,
)
from claims.forms.claim.steps import ReasonField
from claims.rules.core.vocabulary import CLAIMANTS, OUTCOMES, VALUE_BASES
from claims.rules.letters.overlap import OverlapAnswer
from inventory.forms.core.base import HouseForm, StaleForm
from inventory.forms.core.choice_fields import PickField
from inventory.forms.core.number_fields import MoneyField, read_money_in


@dataclass(frozen=True)
class Offered:
    """One finding to choose from. ``key`` is the finding's own number."""

    key: int
    title: str
    hint: str
    outcome: str


@dataclass(frozen=True)
class Picked:
    """One finding chosen for the claim, with how it is to be counted."""

    key: int
    outcome: str
    salvage_cents: int


class PickFindings(HouseForm):
    """Each finding with a checkbox, its outcome and its salvage value."""

    def __init__(
        self, *args: Any, offered: Sequence[Offered], currency: str, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.offered = tuple(offered)
        for one in self.offered:
            self.fields[f"take_{one.key}"] = forms.BooleanField(
                label=one.title, required=False, initial=True, help_text=one.hint
            )
            self.fields[f"outcome_{one.key}"] = PickField(
                label="Counted as",
                words=OUTCOMES,
                initial=one.outcome,
                missing="Choose one.",
            )
            self.fields[f"salvage_{one.key}"] = MoneyField(
                label="Salvage value, or sold for",
                currency=currency,
            )

    def finding_rows(self) -> Iterable[Any]:
        """Return one fieldset for each finding."""
        for one in self.offered:
            yield Fieldset(
                f"Finding {one.key}",
                f"take_{one.key}",
                Row(f"outcome_{one.key}", f"salvage_{one.key}"),
            )

    def clean(self) -> dict[str, Any]:
        """Ask for at least one finding."""
        cleaned: dict[str, Any] = super().clean() or {}
        if not any(cleaned.get(f"take_{one.key}") for one in self.offered):
            raise ValidationError("Choose at least one finding. Nothing was saved.")
        return cleaned

    def picked(self) -> tuple[Picked, ...]:
        """Return the findings that were chosen."""
        data = self.cleaned_data
        return tuple(
            Picked(
                one.key,
                data[f"outcome_{one.key}"],
                data.get(f"salvage_{one.key}") or 0,
            )
            for one in self.offered
            if data.get(f"take_{one.key}")
        )


class MakeClaimForm(PickFindings):
    """Make a claim of the chosen findings.

    ``is_again`` means that one of them was claimed before: then it asks who else may
    have paid for it.
    """

    creates = True
    act = "Make the claim"
    claimant = PickField(
        label="Who claims?", words=CLAIMANTS, missing="Choose one.", as_rows=True
    )
    basis = PickField(
        label="Measure of value",
        words=VALUE_BASES,
        missing="Choose one.",
        as_rows=True,
        help_text="With invoice value, the freight we paid is added to total losses "
        "and shortages. Market value here already includes it.",
    )

    def __init__(self, *args: Any, is_again: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.is_again = is_again
        if is_again:
            self.fields |= {
                name: field
                for name, field in deepcopy(OverlapForm.base_fields).items()
                if name != "note"
            }
            read_money_in(self, kwargs["currency"])

    def rows(self) -> Iterable[Any]:
        """Return the findings first, then who claims and the measure of value."""
        asked = overlap_rows() if self.is_again else []
        return [*self.finding_rows(), *asked, "claimant", "basis"]

    def clean(self) -> dict[str, Any]:
        """Ask for what the answers on insurer and supplier need."""
        data = super().clean()
        if self.is_again:
            ask_for_the_rest(self, data)
        return data

    def said(self) -> OverlapAnswer | None:
        """Return who else may have paid, None where it was not asked."""
        return said_in(self.cleaned_data) if self.is_again else None


class SupplementForm(PickFindings, StaleForm):
    """Add later findings to a claim as a numbered supplement."""

    creates = True
    act = "Add the supplement"

    def rows(self) -> Iterable[Any]:
        """Return the findings."""
        return ["version", *self.finding_rows()]


class AdjustLineForm(StaleForm):
    """Change what a line counts, or set its amount, with a reason."""

    act = "Adjust the line"
    outcome = PickField(label="Counted as", words=OUTCOMES, missing="Choose one.")
    value = MoneyField(
        label="Value of the whole machine, undamaged",
        help_text="Invoice value net of discounts, or market value here: the claim's "
        "measure of value. It applies to every line of the same machine.",
    )
    salvage = MoneyField(label="Salvage value, or sold for")
    mitigation = MoneyField(
        label="Spent to limit the loss",
        help_text="What was paid for storage, covers or a second opinion.",
    )
    recovered = MoneyField(
        label="Already recovered",
        help_text="From the supplier too: free parts and free labor count.",
    )
    adjusted = MoneyField(
        label="Claim this amount instead",
        help_text="Leave it empty to claim the calculated amount.",
    )
    reason = ReasonField()

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        read_money_in(self, currency)


class StrikeLineForm(StaleForm):
    """Remove a line from the claim, with a reason. It stays readable."""

    act = "Remove the line"
    reason = ReasonField(help_text="The line stays on the page with its reason.")


class TakeEstimateForm(StaleForm):
    """Take the repair estimate as it is now over into a line."""

    act = "Use the estimate as it is now"
