"""Sending a claim, its proof of delivery and its acknowledgment."""

from typing import Any, TypeVar

from claims.actions.claim import steps as claim_steps
from claims.forms.claim.steps import (
    AcknowledgementForm,
    DatedForm,
    ReceiptForm,
    SendForm,
)
from claims.models import Claim
from claims.views.core.claim_act import DatedAct, OneClaimAct, ProofAct
from inventory.actions.core.once import Answer
from inventory.models import Shipment

Form = TypeVar("Form", bound=DatedForm)


class DatedStep(OneClaimAct[Form], DatedAct[Claim, Form]):
    """An act that happened on a day."""


class MoneyStep(DatedStep[Form]):
    """An act that happened on a day, with an amount."""

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"currency": self.row.currency}


class SendClaim(DatedStep[SendForm]):
    """Record that the claim was sent to the carrier."""

    form_class = SendForm
    life_act = "send"
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


class RecordReceipt(DatedStep[ReceiptForm], ProofAct[Claim, ReceiptForm]):
    """Record the day on which the carrier received the claim."""

    form_class = ReceiptForm
    life_act = "receive"
    photo_kind = ProofAct.photo_kind
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


class RecordAcknowledgement(DatedStep[AcknowledgementForm]):
    """Record the carrier's acknowledgment."""

    form_class = AcknowledgementForm
    life_act = "acknowledge"
    title = "Record the acknowledgment"
    lead = "It must say which documents the carrier still needs (49 CFR 370.5)."

    def act(self, form: AcknowledgementForm) -> Answer:
        claim_steps.record_acknowledgement(
            claim=self.row,
            carrier_number=form.cleaned_data["number"],
            step=self.step(form),
        )
        return self.done("Acknowledgment recorded.")
