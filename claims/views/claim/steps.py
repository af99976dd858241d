"""What happens to a claim after it is made: one page for each act."""

from typing import Any, TypeVar

from claims.actions.claim import steps as claim_steps
from claims.forms.claim.steps import (
    AcknowledgementForm,
    DisallowanceForm,
    OfferForm,
    ReasonForm,
    ReceiptForm,
    SendForm,
    SettlementForm,
)
from claims.models import Claim
from claims.views.core.claim_act import DatedAct, OneClaimAct, ProofAct
from inventory.actions.core.once import Answer
from inventory.forms.core.base import HouseForm
from inventory.models import Shipment

Form = TypeVar("Form", bound=HouseForm)


class _DatedStep(OneClaimAct[Form], DatedAct[Claim, Form]):
    """An act that happened on a day."""


class SendClaim(_DatedStep[SendForm]):
    """Record that the claim was sent to the carrier."""

    form_class = SendForm
    title = "Send the claim"
    lead = (
        "A deadline is met when the carrier receives the claim, not when you send it. "
        "To email it from here, write its cover mail under Letters first."
    )

    def act(self, form: SendForm) -> Answer:
        claim_steps.send_claim(
            claim=self.row, how=form.cleaned_data["how"], step=self.step(form)
        )
        return self.done(
            f"Claim {self.row.number} sent. Next: record proof of delivery."
        )


class RecordReceipt(_DatedStep[ReceiptForm], ProofAct[Claim, ReceiptForm]):
    """Record the day on which the carrier received the claim."""

    form_class = ReceiptForm
    title = "Record proof of delivery"
    lead = (
        "A deadline is met when the carrier receives the claim, not when you send it."
    )

    def get_shipment(self) -> Shipment:
        return self.row.shipment

    def act(self, form: ReceiptForm) -> Answer:
        claim_steps.record_receipt(
            claim=self.row, step=self.step(form), proof=self.proof(form)
        )
        return self.done(
            f"Proof of delivery recorded: claim {self.row.number}. The carrier's deadlines run."
        )


class RecordAcknowledgement(_DatedStep[AcknowledgementForm]):
    """Record the carrier's acknowledgment."""

    form_class = AcknowledgementForm
    title = "Record the acknowledgment"
    lead = "It must say which documents the carrier still needs (49 CFR 370.5)."

    def act(self, form: AcknowledgementForm) -> Answer:
        claim_steps.record_acknowledgement(
            claim=self.row,
            carrier_number=form.cleaned_data["number"],
            step=self.step(form),
        )
        return self.done("Acknowledgment recorded.")


class RecordOffer(_DatedStep[OfferForm]):
    """Record an offer."""

    form_class = OfferForm
    title = "Record an offer"
    lead = (
        "An offer of compromise does not decline the claim, so it does not start the "
        "time to sue (49 U.S.C. 14706(e)(2))."
    )

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"currency": self.row.currency}

    def act(self, form: OfferForm) -> Answer:
        claim_steps.record_offer(
            claim=self.row, cents=form.cleaned_data["amount"], step=self.step(form)
        )
        return self.done("Offer recorded.")


class RecordDisallowance(_DatedStep[DisallowanceForm]):
    """Record a written denial."""

    form_class = DisallowanceForm
    title = "Record the written denial"
    lead = (
        "The time to sue starts only when the carrier declines the claim in writing "
        "(a disallowance). The first letter counts; a repeat changes nothing."
    )

    def act(self, form: DisallowanceForm) -> Answer:
        claim_steps.record_disallowance(
            claim=self.row,
            with_offer=form.cleaned_data["with_offer"],
            step=self.step(form),
        )
        return self.done("Written denial recorded. The time to sue is running.")


class RecordSettlement(_DatedStep[SettlementForm]):
    """Record the money that was received."""

    form_class = SettlementForm
    title = "Record the settlement"
    lead = "This closes the claim. The page shows how much was not recovered."

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"currency": self.row.currency}

    def act(self, form: SettlementForm) -> Answer:
        claim_steps.record_settlement(
            claim=self.row, cents=form.cleaned_data["amount"], step=self.step(form)
        )
        return self.done(f"Claim {self.row.number} settled and closed.")


class WithdrawClaim(OneClaimAct[ReasonForm]):
    """Withdraw the claim, with a reason."""

    form_class = ReasonForm
    title = "Withdraw the claim"
    lead = "Nothing is deleted. The claim and its history stay readable."
    is_late = True

    def act(self, form: ReasonForm) -> Answer:
        claim_steps.withdraw_claim(claim=self.row, step=self.step(form))
        return self.done(
            f"Claim {self.row.number} withdrawn. Its findings can be claimed again."
        )
