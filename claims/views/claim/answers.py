"""What the carrier and we answer each other: one page for each act."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.functional import cached_property

from claims.actions.claim import answers
from claims.forms.claim.answers import (
    AcceptForm,
    AskInspectionForm,
    AskPapersForm,
    CounterForm,
    DisallowanceForm,
    InspectionForm,
    OfferForm,
    PermissionForm,
    SalvageForm,
    SupplyPapersForm,
)
from claims.queries.claim.overlap import overlap_of
from claims.queries.claim.worksheet import counted_lines
from claims.rules.letters.overlap import ASK, against_release
from claims.views.claim.offers import THEN_AGREE
from claims.views.claim.steps import DatedStep, MoneyStep
from inventory.actions.core.once import Answer


class RecordOffer(MoneyStep[OfferForm]):
    """Record an offer."""

    form_class = OfferForm
    life_act = "offer"
    title = "Record an offer"
    lead = (
        "An offer of compromise does not decline the claim, so it does not start the "
        "time to sue (49 U.S.C. 14706(e)(2))."
    )

    def act(self, form: OfferForm) -> Answer:
        answers.record_offer(
            claim=self.row,
            cents=form.cleaned_data["amount"],
            step=self.step(form),
            by_day=form.cleaned_data["by_day"],
        )
        return self.done("Offer recorded.")


class RecordCounter(MoneyStep[CounterForm]):
    """Record our counter-offer."""

    form_class = CounterForm
    permission = "settle-claim"
    life_act = "counter"
    title = "Counter the offer"
    lead = "A counter-offer is a compromise. The amount you filed stays as it is."

    def act(self, form: CounterForm) -> Answer:
        answers.record_counter(
            claim=self.row, cents=form.cleaned_data["amount"], step=self.step(form)
        )
        return self.done("Counter-offer recorded.")


class AcceptOffer(MoneyStep[AcceptForm]):
    """Record that we took the carrier's offer, or that it took ours."""

    form_class = AcceptForm
    permission = "settle-claim"
    life_act = "accept"
    title = "Record the agreement"
    lead = "The claim stays open until the payment is recorded."

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | {"amount": self.row.offered_cents}

    def get(
        self, request: HttpRequest, *args: object, **kwargs: object
    ) -> HttpResponse:
        """Show the form once it is known who else may have paid."""
        if not super().get_refusal() and self.against == (ASK,):
            ask = reverse("ask_overlap", args=[self.row.pk])
            return redirect(f"{ask}?{THEN_AGREE}")
        return super().get(request, *args, **kwargs)

    def get_refusal(self) -> str:
        return super().get_refusal() or " ".join(self.against)

    @cached_property
    def against(self) -> tuple[str, ...]:
        """Return every reason why nothing may be released now."""
        return against_release(overlap_of(self.row, counted_lines(self.row)))

    def act(self, form: AcceptForm) -> Answer:
        answers.accept_offer(
            claim=self.row, cents=form.cleaned_data["amount"], step=self.step(form)
        )
        return self.done("Agreed. Record the payment when it arrives.")


class RecordDisallowance(MoneyStep[DisallowanceForm]):
    """Record a written denial."""

    form_class = DisallowanceForm
    life_act = "disallow"
    title = "Record the written denial"
    lead = (
        "The time to sue starts only when the carrier declines the claim, or any part "
        "of it, in writing (a disallowance). The first letter counts for the whole "
        "claim; a later one changes nothing."
    )

    def act(self, form: DisallowanceForm) -> Answer:
        data = form.cleaned_data
        is_part = data["part"] == "part"
        answers.record_disallowance(
            claim=self.row,
            step=self.step(form),
            denial=answers.Denial(
                reason_key=data["why"],
                cents=data["amount"] if is_part else None,
                with_offer=data["with_offer"],
            ),
        )
        return self.done("Written denial recorded. The time to sue is running.")


class AskInspection(DatedStep[AskInspectionForm]):
    """Record that the carrier was asked to inspect."""

    form_class = AskInspectionForm
    life_act = "ask-inspection"
    title = "Record a request for inspection"
    lead = "Keep the machine and its packaging as they are until the carrier answers."

    def act(self, form: AskInspectionForm) -> Answer:
        how = form.cleaned_data["how"]
        answers.ask_inspection(claim=self.row, how=how, step=self.step(form))
        return self.done("Request for inspection recorded.")


class RecordInspection(DatedStep[InspectionForm]):
    """Record what came of a request for inspection."""

    form_class = InspectionForm
    life_act = "inspection"
    title = "Record what came of the inspection"
    lead = (
        "If the carrier did not come in time, make your own report with photos and add "
        "it here."
    )

    def act(self, form: InspectionForm) -> Answer:
        answers.record_inspection(
            claim=self.row,
            outcome=form.cleaned_data["outcome"],
            step=self.step(form),
        )
        return self.done("Inspection recorded.")


class RecordPermission(DatedStep[PermissionForm]):
    """Record the carrier's written answer on one question."""

    form_class = PermissionForm
    life_act = "permission"
    title = "Record a written answer"
    lead = (
        "Repair, packaging and salvage are three questions. An answer on one says "
        "nothing about the others."
    )

    def act(self, form: PermissionForm) -> Answer:
        answers.record_permission(
            claim=self.row,
            about=form.cleaned_data["about"],
            allowed=form.cleaned_data["answer"] == "yes",
            step=self.step(form),
        )
        return self.done("Answer recorded.")


class AskPapers(DatedStep[AskPapersForm]):
    """Record which documents the carrier asks for."""

    form_class = AskPapersForm
    life_act = "ask-papers"
    title = "Record what the carrier asks for"

    def act(self, form: AskPapersForm) -> Answer:
        answers.ask_papers(
            claim=self.row, by_day=form.cleaned_data["by_day"], step=self.step(form)
        )
        return self.done("Recorded what the carrier asks for.")


class SupplyPapers(DatedStep[SupplyPapersForm]):
    """Record which documents went to the carrier."""

    form_class = SupplyPapersForm
    life_act = "supply-papers"
    title = "Record documents as supplied"

    def act(self, form: SupplyPapersForm) -> Answer:
        how = form.cleaned_data["how"]
        answers.supply_papers(claim=self.row, how=how, step=self.step(form))
        return self.done("Documents recorded as supplied.")


class RecordSalvage(MoneyStep[SalvageForm]):
    """Record a sale of salvage."""

    form_class = SalvageForm
    life_act = "salvage-sold"
    title = "Record a sale of salvage"
    lead = (
        "Sell only with the carrier's written answer. Then adjust the line: the claim "
        "asks for the loss less its salvage."
    )

    def act(self, form: SalvageForm) -> Answer:
        answers.record_salvage(
            claim=self.row, cents=form.cleaned_data["amount"], step=self.step(form)
        )
        return self.done("Sale of salvage recorded.")
