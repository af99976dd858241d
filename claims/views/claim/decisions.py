"""What the manager decides: documents that are not needed, and our own deadlines."""

from typing import Any, TypeVar

from django.db.models import QuerySet
from django.http import Http404
from django.urls import reverse
from django.utils.functional import cached_property

from claims.actions.claim import decisions
from claims.actions.claim.decisions import PAPER_LABELS
from claims.actions.claim.paper_tasks import Given, against_getting, give_paper
from claims.actions.claim.steps import Step
from claims.actions.core import deadlines
from claims.forms.claim.steps import GivePaperForm, OverrideForm, PaperForm
from claims.models import Claim, Deadline, PaperTask
from claims.queries.claim.gaps import missing_keys
from claims.queries.claim.paper_tasks import RULES
from claims.queries.core.labels import duty_label
from claims.rules.claim.paper_tasks import usual_role
from claims.views.core.claim_act import OneClaimAct
from inventory.actions.core.once import Answer
from inventory.forms.core.base import HouseForm
from inventory.models import Assignment, User
from inventory.rules.reckoning.calendars import in_words
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now, today_at

Form = TypeVar("Form", bound=HouseForm)


class _PaperAct(OneClaimAct[Form]):
    """An act on one document of the claim of the address."""

    def get_row(self) -> Claim:
        row = super().get_row()
        self.paper: str = self.kwargs["paper"]
        if self.paper not in PAPER_LABELS:
            raise Http404
        return row

    def paper_step(self, reason: str) -> Step:
        """Return who acts and when, with what was said of the document."""
        return Step(
            person=self.person,
            at=now(),
            today=today_at(self.row.location),
            version=self.row.version,
            reason=reason,
        )


class GivePaper(_PaperAct[GivePaperForm]):
    """Give a missing document to a person, or take it over."""

    permission = "give-paper"
    form_class = GivePaperForm
    life_act = "give-paper"

    @cached_property
    def before(self) -> PaperTask | None:
        """Return who has it now."""
        rows = self.row.paper_tasks.filter(paper=self.paper).select_related("owner")
        return rows.order_by("pk").last()

    @cached_property
    def people(self) -> QuerySet[User]:
        """Return who can see this location, by name."""
        here = Assignment.objects.filter(location=self.row.location_id)
        rows = User.objects.filter(is_active=True, pk__in=here.values("person_id"))
        return rows.order_by("full_name", "pk")

    def get_title(self) -> str:
        return PAPER_LABELS[self.paper]

    def get_refusal(self) -> str:
        if self.paper not in missing_keys([self.row])[self.row.pk]:
            return against_getting(self.paper)
        return super().get_refusal()

    def get_lead(self) -> str:
        usual = RULES[self.paper].to_do
        if self.before:
            day = in_words(self.before.by_day)
            return f"{self.before.owner} has it, by {day}. {usual}"
        return f"Nobody has it yet. {usual}"

    def get_initial(self) -> dict[str, Any]:
        role = usual_role(RULES[self.paper].who)
        fits = self.people.filter(
            assignments__role=role, assignments__location=self.row.location_id
        )
        owner = self.before.owner if self.before else fits.first()
        day = self.before.by_day if self.before else None
        name = owner.username if owner else ""
        return super().get_initial() | {"owner": name, "by_day": day}

    def get_form_kwargs(self) -> dict[str, Any]:
        people = {one.username: str(one) for one in self.people}
        mine = {"people": people, "today": today_at(self.row.location)}
        return super().get_form_kwargs() | mine

    def act(self, form: GivePaperForm) -> Answer:
        data = form.cleaned_data
        owner = self.people.get(username=data["owner"])
        given = Given(self.paper, owner, data["by_day"])
        made = give_paper(
            claim=self.row, given=given, step=self.paper_step(data["note"])
        )
        day = in_words(made.by_day)
        words = f"{PAPER_LABELS[self.paper]}: {made.owner} gets it by {day}."
        return self.done(words, row=made)


class DecidePaper(_PaperAct[PaperForm]):
    """Mark a document as not needed for this claim."""

    permission = "decide"
    form_class = PaperForm
    title = "Document not needed"

    def get_lead(self) -> str:
        return f"{PAPER_LABELS[self.paper]}. The claim file prints the reason."

    def act(self, form: PaperForm) -> Answer:
        step = self.paper_step(form.cleaned_data["reason"])
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
            ("PRO", self.row.shipment.paper_number),
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
