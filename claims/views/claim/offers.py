"""Around an offer: what going on costs, who else may have paid, and the refusal."""

from typing import Any

from django.db.models import QuerySet
from django.urls import reverse

from claims.actions.claim.answers import record_refusal
from claims.actions.claim.costs import enter_costs
from claims.actions.claim.overlap import answer_overlap
from claims.actions.claim.steps import Step
from claims.forms.claim.offers import CostsForm, OverlapForm, RefuseForm
from claims.models import GoingOnCost
from claims.queries.claim.offers import costs_for, costs_here
from claims.queries.claim.overlap import last_answer, overlap_of
from claims.queries.claim.worksheet import counted_lines
from claims.rules.claim.life import COUNTERED, LIFE, OFFERED
from claims.rules.letters.overlap import came_before
from claims.views.claim.steps import DatedStep
from claims.views.core.claim_act import OneClaimAct
from inventory.actions.core.once import Answer
from inventory.models import Location
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at

THEN_AGREE = "then=agree"
"""Added to the address of the question by the page that records the agreement."""

NO_MORE_THAN_COSTS = (
    "These figures only show what going on would cost. They are asked of no carrier."
)


def _initial(row: GoingOnCost | None) -> dict[str, Any]:
    if row is None:
        return {}
    return {
        "limit": row.limit_cents,
        "limit_source": row.limit_source,
        "filing": row.filing_cents,
        "serving": row.serving_cents,
        "lawyer": row.lawyer_cents,
        "percent": row.yearly_percent,
        "months": row.months,
    }


class CostsHere(ActView[Location, CostsForm]):
    """Enter what going on costs at a location."""

    form_class = CostsForm
    permission = "settle-claim"
    title = "Cost of going on"
    lead = f"{NO_MORE_THAN_COSTS} A claim can have figures of its own."
    back_words = "Back to the claims desk without saving"

    def get_queryset(self) -> QuerySet[Location]:
        return Location.objects.all()

    def get_kicker(self) -> str:
        return self.row.name

    def get_back(self) -> str:
        return reverse("claims")

    def get_crumbs(self) -> Crumbs:
        return [("Claims", reverse("claims"))]

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | _initial(costs_here(self.row))

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"currency": self.row.currency}

    def act(self, form: CostsForm) -> Answer:
        row = enter_costs(
            location=self.row,
            claim=None,
            costs=form.costs(),
            person=self.person,
            at=now(),
        )
        return self.done(f"Cost of going on saved for {self.row.name}.", row=row)


class CostsOfClaim(OneClaimAct[CostsForm]):
    """Enter figures for one claim."""

    form_class = CostsForm
    permission = "settle-claim"
    title = "Cost of going on"
    lead = f"{NO_MORE_THAN_COSTS} These count for this claim alone."

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | _initial(costs_for(self.row))

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"currency": self.row.currency}

    def act(self, form: CostsForm) -> Answer:
        row = enter_costs(
            location=self.row.location,
            claim=self.row,
            costs=form.costs(),
            person=self.person,
            at=now(),
        )
        return self.done("Cost of going on saved for this claim.", row=row)


class AskOverlap(OneClaimAct[OverlapForm]):
    """Ask whether an insurer or the supplier has paid for the same loss."""

    form_class = OverlapForm
    permission = "settle-claim"
    template_name = "claims/claim/overlap.html"
    title = "Who else may have paid?"
    lead = (
        "One loss is paid for once. The answers are saved with your name, and the release "
        "repeats them."
    )

    def get_refusal(self) -> str:
        return "The claim is closed." if self.row.state in LIFE.final else ""

    def get_initial(self) -> dict[str, Any]:
        last = last_answer(self.row)
        if last is None:
            return super().get_initial()
        return super().get_initial() | {
            "insurer": last.insurer,
            "insurer_name": last.insurer_name,
            "insurer_paid": last.insurer_cents or None,
            "holds_right": last.holds_right,
            "supplier": "yes" if last.supplier_cents else "no",
            "supplier_credited": last.supplier_cents or None,
        }

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"currency": self.row.currency}

    def get_context_data(self, **more: object) -> dict[str, Any]:
        known = overlap_of(self.row, counted_lines(self.row))
        return super().get_context_data(
            known=known.known, came_before=came_before(known), **more
        )

    def act(self, form: OverlapForm) -> Answer:
        row = answer_overlap(
            claim=self.row,
            said=form.said(),
            step=Step(
                person=self.person,
                at=now(),
                today=today_at(self.row.location),
                version=self.row.version,
                reason=form.cleaned_data["note"],
            ),
        )
        return self.done(
            "Answers saved. Nothing is accepted yet.", row=row, page=self.next_page()
        )

    def next_page(self) -> str:
        """Return the page that asked: the letter, the agreement, or the claim."""
        if self.row.state not in {OFFERED, COUNTERED}:
            return reverse("claim", args=[self.row.pk])
        if self.request.GET.urlencode() == THEN_AGREE:
            return reverse("accept_offer", args=[self.row.pk])
        return reverse("write_claim_letter", args=[self.row.pk, "acceptance"])


class RefuseOffer(DatedStep[RefuseForm]):
    """Record that our refusal of the offer went out."""

    form_class = RefuseForm
    permission = "settle-claim"
    life_act = "refuse"
    title = "Record our refusal"
    lead = (
        "Write and send the refusal under Letters first. The claim stays as filed, and "
        "the time to sue does not start."
    )

    def act(self, form: RefuseForm) -> Answer:
        record_refusal(claim=self.row, step=self.step(form))
        return self.done("Refusal recorded. The claim stands as filed.")
