"""Changing the lines of a claim, and removing them."""

from dataclasses import replace
from typing import Any, TypeVar

from django.db.models import QuerySet

from claims.actions.claim import lines
from claims.actions.claim.lines import LineChange
from claims.forms.claim.making import (
    AdjustLineForm,
    StrikeLineForm,
    TakeEstimateForm,
)
from claims.models import Claim, ClaimLine
from claims.queries.core.facts import estimate_of
from claims.views.core.claim_act import ClaimAct
from inventory.actions.core.once import Answer
from inventory.forms.core.base import HouseForm
from inventory.rules.reckoning.money import format_cents

Form = TypeVar("Form", bound=HouseForm)


class _LineAct(ClaimAct[ClaimLine, Form]):
    """An act on the claim line of the address."""

    def get_queryset(self) -> QuerySet[ClaimLine]:
        return ClaimLine.objects.select_related(
            "claim__location",
            "claim__shipment__carrier",
            "claim__shipment__location",
            "finding",
            "unit",
        ).prefetch_related("claim__lines", "claim__supplement_rows")

    life_act = "adjust-line"

    def get_claim(self) -> Claim:
        return self.row.claim

    def get_title(self) -> str:
        return f"{self.title} {self.row.number}"

    def get_lead(self) -> str:
        return self.row.label


class AdjustLine(_LineAct[AdjustLineForm]):
    """Change what a line counts or asks for, with a reason."""

    form_class = AdjustLineForm
    title = "Adjust line"

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {
            "outcome": self.row.outcome,
            "value": self.row.value_cents,
            "salvage": self.row.salvage_cents,
            "mitigation": self.row.mitigation_cents,
            "recovered": self.row.recovered_cents,
            "adjusted": self.row.adjusted_cents,
            "reason": self.row.adjusted_reason,
        }

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"currency": self.row.claim.currency}

    def act(self, form: AdjustLineForm) -> Answer:
        data = form.cleaned_data
        change = LineChange(
            outcome=data["outcome"],
            value_cents=data["value"] or 0,
            salvage_cents=data["salvage"] or 0,
            mitigation_cents=data["mitigation"] or 0,
            recovered_cents=data["recovered"] or 0,
            adjusted_cents=data["adjusted"],
        )
        lines.adjust_line(line=self.row, change=change, step=self.step(form))
        return self.done(f"Line {self.row.number} adjusted and the claim recalculated.")


class StrikeLine(_LineAct[StrikeLineForm]):
    """Remove a line from the claim, with a reason."""

    form_class = StrikeLineForm
    life_act = "strike-line"
    title = "Remove line"
    is_late = True

    def act(self, form: StrikeLineForm) -> Answer:
        lines.strike_line(line=self.row, step=self.step(form))
        return self.done(
            f"Line {self.row.number} removed. It stays on the page with its reason."
        )


class TakeEstimate(_LineAct[TakeEstimateForm]):
    """Take over the repair estimate with the time and parts entered since."""

    form_class = TakeEstimateForm
    title = "Use the new estimate in line"

    def get_lead(self) -> str:
        finding = self.row.finding
        if finding is None:
            return self.row.label
        currency = self.row.claim.currency
        rate = self.row.claim.location.shop_rate_in(currency)
        was = format_cents(self.row.repair_cents, currency, code=True)
        now = format_cents(estimate_of(finding, rate).total_cents, currency, code=True)
        return f"{self.row.label}. The repair was {was}; the estimate is now {now}."

    def act(self, form: TakeEstimateForm) -> Answer:
        step = replace(self.step(form), reason="The repair estimate as it is now.")
        lines.take_estimate(line=self.row, step=step)
        return self.done(f"Line {self.row.number} takes the estimate as it is now.")
