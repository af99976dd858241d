"""What happens to a claim after it is made, each act on its own page."""

from typing import TypeVar

from django.db.models import QuerySet

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
from claims.views.core.claim_act import ClaimAct, DatedAct, ProofAct
from inventory.actions.core.once import Answer
from inventory.forms.core.base import HouseForm
from inventory.models import Shipment

Form = TypeVar("Form", bound=HouseForm)


class _ClaimStep(ClaimAct[Claim, Form]):
    """An act on the claim of the address."""

    def get_queryset(self) -> QuerySet[Claim]:
        return Claim.objects.select_related(
            "location", "shipment__carrier", "shipment__location"
        ).prefetch_related("lines")

    def get_claim(self) -> Claim:
        return self.row


class _DatedStep(_ClaimStep[Form], DatedAct[Claim, Form]):
    """An act that happened on a day."""


class SendClaim(_DatedStep[SendForm]):
    """Record that the claim went to the carrier."""

    form_class = SendForm
    title = "Send the claim"
    lead = "Sending stops no clock. The day on which the carrier received it does."

    def act(self, form: SendForm) -> Answer:
        claim_steps.send_claim(
            claim=self.row, how=form.cleaned_data["how"], step=self.step(form)
        )
        return self.done(
            f"Claim {self.row.number} is recorded as sent. Its receipt must be proven."
        )


class RecordReceipt(_DatedStep[ReceiptForm], ProofAct[Claim, ReceiptForm]):
    """Record the day on which the carrier received the claim."""

    form_class = ReceiptForm
    title = "Prove the receipt"
    lead = "Received counts, not sent."

    def get_shipment(self) -> Shipment:
        return self.row.shipment

    def act(self, form: ReceiptForm) -> Answer:
        claim_steps.record_receipt(
            claim=self.row, step=self.step(form), proof=self.proof(form)
        )
        return self.done(
            f"Receipt of claim {self.row.number} is proven. The carrier's clocks run."
        )


class RecordAcknowledgement(_DatedStep[AcknowledgementForm]):
    """Record the carrier's acknowledgement."""

    form_class = AcknowledgementForm
    title = "Record the acknowledgement"
    lead = "It must say which documents the carrier still wants (49 CFR 370.5)."

    def act(self, form: AcknowledgementForm) -> Answer:
        claim_steps.record_acknowledgement(
            claim=self.row,
            carrier_number=form.cleaned_data["number"],
            step=self.step(form),
        )
        return self.done("The acknowledgement is recorded.")


class RecordOffer(_DatedStep[OfferForm]):
    """Record an offer."""

    form_class = OfferForm
    title = "Record an offer"
    lead = (
        "An offer of compromise is no disallowance: it starts no time for a suit "
        "(49 U.S.C. 14706(e)(2))."
    )

    def act(self, form: OfferForm) -> Answer:
        claim_steps.record_offer(
            claim=self.row, cents=form.cleaned_data["amount"], step=self.step(form)
        )
        return self.done("The offer is recorded.")


class RecordDisallowance(_DatedStep[DisallowanceForm]):
    """Record a written disallowance."""

    form_class = DisallowanceForm
    title = "Record a disallowance"
    lead = (
        "Only a disallowance in writing starts the time for a suit. The first one "
        "counts; a repeat restarts nothing. Silence starts none."
    )

    def act(self, form: DisallowanceForm) -> Answer:
        claim_steps.record_disallowance(
            claim=self.row,
            with_offer=form.cleaned_data["with_offer"],
            step=self.step(form),
        )
        return self.done("The disallowance is recorded. The time for a suit runs.")


class RecordSettlement(_DatedStep[SettlementForm]):
    """Record the money that came in."""

    form_class = SettlementForm
    title = "Record the settlement"
    lead = "This closes the claim. What was written off shows beside it."

    def act(self, form: SettlementForm) -> Answer:
        claim_steps.record_settlement(
            claim=self.row, cents=form.cleaned_data["amount"], step=self.step(form)
        )
        return self.done(f"Claim {self.row.number} is settled and closed.")


class WithdrawClaim(_ClaimStep[ReasonForm]):
    """Withdraw the claim, with a reason."""

    form_class = ReasonForm
    title = "Withdraw the claim"
    lead = "Nothing is deleted: the claim and its story stay readable."
    is_late = True

    def act(self, form: ReasonForm) -> Answer:
        claim_steps.withdraw_claim(claim=self.row, step=self.step(form))
        return self.done(
            f"Claim {self.row.number} is withdrawn. Its findings can be claimed anew."
        )
