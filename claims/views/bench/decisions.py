"""The manager's decisions on a finding, each on its own page."""

from typing import Any, TypeVar

from django.db.models import QuerySet
from django.urls import reverse
from django.utils.functional import cached_property

from claims.actions.bench import decisions as acts
from claims.forms.bench.decisions import HandlingForm, PriceForm, RouteForm
from claims.models import Finding
from claims.queries.bench.findings import FindingPage, finding_page, findings_joined
from claims.rules.bench.causes import cause_of
from claims.rules.bench.safety_parts import RULE
from claims.rules.core.vocabulary import ROUTES
from inventory.actions.core.once import Answer
from inventory.forms.core.base import HouseForm
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now

Form = TypeVar("Form", bound=HouseForm)


class _FindingDecision(ActView[Finding, Form]):
    """A decision on the finding of the address."""

    permission = "decide"
    back_words = "Back to the finding without saving"

    def get_queryset(self) -> QuerySet[Finding]:
        return findings_joined()

    @cached_property
    def figures(self) -> FindingPage:
        """Return the finding with its routes and its estimate."""
        return finding_page(self.row)

    def get_kicker(self) -> str:
        return f"Finding {self.row.number}, PRO {self.row.shipment.pro_number}"

    def get_back(self) -> str:
        return reverse("finding", args=[self.row.pk])

    def get_crumbs(self) -> Crumbs:
        return [(f"Finding {self.row.number}", self.get_back())]


class PriceFinding(_FindingDecision[PriceForm]):
    """Price the parts; the hours take the location's own rate."""

    permission = "price"
    form_class = PriceForm
    template_name = "claims/bench/price_finding.html"

    def get_title(self) -> str:
        return "Price the repair"

    def get_initial(self) -> dict[str, Any]:
        prices = {f"price_{part.pk}": part.price_cents for part in self.figures.parts}
        return super().get_initial() | {
            **prices,
            "rate": self.row.rate_cents,
            "safety_basis": self.row.safety_basis,
            "safety_reference": self.row.safety_reference,
        }

    def get_form_kwargs(self) -> dict[str, Any]:
        bill = self.row.shipment
        return super().get_form_kwargs() | {
            "parts": self.figures.parts,
            "currency": bill.currency,
            "asks_rate": bill.currency != bill.location.currency,
            "is_safety_part": self.row.is_safety_part,
        }

    def get_context_data(self, **more: object) -> dict[str, Any]:
        return super().get_context_data(
            finding=self.row,
            figures=self.figures,
            location=self.row.shipment.location,
            safety_rule=RULE if self.row.is_safety_part else "",
            **more,
        )

    def act(self, form: PriceForm) -> Answer:
        acts.price_finding(
            person=self.person,
            at=now(),
            finding=self.row,
            version=form.cleaned_data["version"],
            prices=form.prices(),
        )
        return self.done(f"Finding {self.row.number} priced.")


class AnswerHandling(_FindingDecision[HandlingForm]):
    """Answer "our handling" with a reason; the technician's mark stays."""

    form_class = HandlingForm

    def get_title(self) -> str:
        return "Our handling?"

    def get_lead(self) -> str:
        if not cause_of(self.row.cause).stops_claim:
            return "Nobody marked this finding as our handling. No answer is needed."
        return (
            f"{self.row.recorded_by} marked this as our handling. That stays on "
            "record. Your answer decides whether it may be claimed."
        )

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {
            "answer": self.row.handling_answer,
            "reason": self.row.handling_reason,
        }

    def act(self, form: HandlingForm) -> Answer:
        acts.answer_handling(
            person=self.person, at=now(), finding=self.row, **form.cleaned_data
        )
        return self.done(f"Answer saved for finding {self.row.number}.")


class RouteFinding(_FindingDecision[RouteForm]):
    """Recover from somebody else than the rules say."""

    form_class = RouteForm

    def get_title(self) -> str:
        return "Recover from"

    def get_lead(self) -> str:
        by_rule = ROUTES.get(self.figures.routing.first, "Nobody")
        return (
            f"By the rules: {by_rule}. Where two may have to pay, send both notices "
            "in time whatever you choose here. Only one of them pays."
        )

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {
            "route": self.row.route or self.figures.routing.first,
            "reason": self.row.route_reason,
        }

    def act(self, form: RouteForm) -> Answer:
        acts.route_finding(
            person=self.person, at=now(), finding=self.row, **form.cleaned_data
        )
        chosen = ROUTES[form.cleaned_data["route"]]
        return self.done(f"Finding {self.row.number} saved. Recover from: {chosen}.")
