"""What the manager decides: documents that are not needed, and our own deadlines."""

from typing import Any

from django.db.models import QuerySet
from django.http import Http404
from django.urls import reverse

from claims.actions.claim import decisions
from claims.actions.claim.decisions import PAPER_LABELS
from claims.actions.claim.steps import Step
from claims.actions.core import deadlines
from claims.forms.claim.steps import OverrideForm, PaperForm
from claims.models import Claim, Deadline
from claims.queries.core.labels import duty_label
from claims.views.core.claim_act import OneClaimAct
from inventory.actions.core.once import Answer
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at


class DecidePaper(OneClaimAct[PaperForm]):
    """Mark a document as not needed for this claim."""

    permission = "decide"
    form_class = PaperForm
    title = "Document not needed"

    def get_row(self) -> Claim:
        row = super().get_row()
        self.paper: str = self.kwargs["paper"]
        if self.paper not in PAPER_LABELS:
            raise Http404
        return row

    def get_lead(self) -> str:
        return f"{PAPER_LABELS[self.paper]}. The claim file prints the reason."

    def act(self, form: PaperForm) -> Answer:
        step = Step(
            person=self.person,
            at=now(),
            today=today_at(self.row.location),
            version=self.row.version,
            reason=form.cleaned_data["reason"],
        )
        made = decisions.decide_paper(claim=self.row, paper=self.paper, step=step)
        return self.done(f"{PAPER_LABELS[self.paper]}: marked as not needed.", row=made)


class OverrideDeadline(ActView[Deadline, OverrideForm]):
    """Set our own date for a deadline. The date by rule stays on the page."""

    permission = "decide"
    form_class = OverrideForm
    template_name = "claims/core/act.html"
    title = "Set our own date"
    lead = (
        "The date by rule stays on the page. Our own date counts only where it is "
        "earlier: nobody can make a deadline longer."
    )

    def get_queryset(self) -> QuerySet[Deadline]:
        return Deadline.objects.select_related(
            "location", "shipment__carrier", "claim", "delivery"
        )

    def get_back(self) -> str:
        if self.row.claim_id:
            return reverse("claim", args=[self.row.claim_id])
        return reverse("shipment", args=[self.row.shipment_id])

    def get_kicker(self) -> str:
        return duty_label(self.row.duty)

    def get_crumbs(self) -> Crumbs:
        return [("Claims", reverse("claims"))]

    def get_context_data(self, **more: object) -> dict[str, Any]:
        facts = (
            ("PRO", self.row.shipment.pro_number),
            ("Due", self.row.due),
            ("Safe day", self.row.safe),
            ("Authority", self.row.authority),
        )
        return super().get_context_data(facts=facts, **more)

    def act(self, form: OverrideForm) -> Answer:
        made = deadlines.override_deadline(
            deadline=self.row,
            due=form.cleaned_data["due"],
            reason=form.cleaned_data["reason"],
            person=self.person,
            at=now(),
        )
        return self.done(
            f"Our own date set: {duty_label(self.row.duty)}. The date by rule stays "
            "on the page.",
            row=made,
        )
