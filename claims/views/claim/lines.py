"""Changing the lines of a claim, and removing them."""

from typing import Any, TypeVar

from django.db.models import QuerySet

from claims.actions.claim import lines
from claims.actions.claim.lines import LineChange
from claims.forms.claim.making import AdjustLineForm, StrikeLineForm
from claims.models import Claim, ClaimLine
from claims.views.core.claim_act import ClaimAct
from inventory.actions.core.once import Answer
from inventory.forms.core.base import HouseForm

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
    title = "Remove line"
    is_late = True

    def act(self, form: StrikeLineForm) -> Answer:
        lines.strike_line(line=self.row, step=self.step(form))
        return self.done(
            f"Line {self.row.number} removed. It stays on the page with its reason."
        )
