"""Sending a claim, its proof of delivery and its acknowledgment."""

from collections.abc import Callable
from typing import Any, ClassVar, TypeVar

from django.db.models import QuerySet
from django.utils.functional import cached_property

from claims.actions.claim import steps as claim_steps
from claims.actions.claim.addressees import address_claim
from claims.actions.claim.bringing_in import prove_delivery, why_not_prove
from claims.forms.claim.steps import (
    AcknowledgementForm,
    AddressedForm,
    AddressForm,
    DatedForm,
    DeliveryProofForm,
    ReceiptForm,
    SendClaimForm,
)
from claims.models import Claim
from claims.queries.claim.progress import told_of
from claims.queries.core.parties import PARTIES_OF_CLAIM, BillParty, parties_of
from claims.views.core.claim_act import DatedAct, OneClaimAct, ProofAct
from inventory.actions.core.once import Answer
from inventory.actions.core.versions import RefusedError
from inventory.forms.core.base import HouseForm
from inventory.models import Shipment

Form = TypeVar("Form", bound=DatedForm)
Asked = TypeVar("Asked", bound=HouseForm)


class DatedStep(OneClaimAct[Form], DatedAct[Claim, Form]):
    """An act that happened on a day."""


class MoneyStep(DatedStep[Form]):
    """An act that happened on a day, with an amount."""

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"currency": self.row.currency}


SUPPLIERS = "The supplier makes this claim and chooses whom it sends it to."


class _Addressed(OneClaimAct[Asked]):
    """An act that asks which company of the freight bill the claim goes to."""

    def get_queryset(self) -> QuerySet[Claim]:
        return super().get_queryset().select_related(*PARTIES_OF_CLAIM)

    @cached_property
    def parties(self) -> dict[str, BillParty]:
        """Return the companies of the bill by their keys; carriers come first."""
        if self.row.claimant != "us":
            return {}
        rows, usual = parties_of(self.row.shipment), self.row.addressed_to_id
        rows.sort(key=lambda one: (not one.part.takes_claims, one.carrier.pk != usual))
        return {str(one.carrier.pk): one for one in rows}

    def get_form_kwargs(self) -> dict[str, Any]:
        words = {key: one.words for key, one in self.parties.items()}
        asked = words if len(words) > 1 else {}
        return super().get_form_kwargs() | {"parties": asked}

    def party_of(self, form: AddressedForm) -> BillParty | None:
        """Return the company chosen, or the only one there is."""
        first = next(iter(self.parties), "")
        return self.parties.get(str(form.company or first))


class AddressClaim(_Addressed[AddressForm]):
    """Choose whom the claim goes to, before its file and letters are made."""

    form_class = AddressForm
    life_act = "address"
    title = "Choose whom it goes to"
    lead = (
        "The claim file and the letters are addressed to this company. A claim counts "
        "once a carrier of this freight bill received it: the receiving, the delivering "
        "or the issuing one (49 CFR 370.3). A broker is no carrier."
    )

    def get_refusal(self) -> str:
        if not self.parties:
            return SUPPLIERS
        return super().get_refusal()

    def act(self, form: AddressForm) -> Answer:
        party = self.party_of(form)
        if party is None:
            raise RefusedError(f"{SUPPLIERS} Nothing was saved.")
        address_claim(claim=self.row, to=party.carrier, step=self.step(form))
        return self.done(
            f"Claim {self.row.number} is addressed to {party.carrier.printed_name}."
        )


class SendClaim(_Addressed[SendClaimForm], DatedStep[SendClaimForm]):
    """Record that the claim was sent, and to which company of the freight bill."""

    send: ClassVar[Callable[..., Claim]] = staticmethod(claim_steps.send_claim)
    form_class = SendClaimForm
    life_act = "send"
    title = "Send the claim"
    lead = (
        "A deadline is met when the carrier receives the claim, not when you send it. "
        "To email it from here, write its cover mail under Letters first."
    )

    def act(self, form: SendClaimForm) -> Answer:
        data = form.cleaned_data
        party = self.party_of(form)
        to = party.carrier if party else None
        sending = claim_steps.Sending(data["how"], to, data["tracking"])
        self.send(claim=self.row, sending=sending, step=self.step(form))
        if party and not party.part.takes_claims:
            return self.done(
                f"Saved: claim {self.row.number} went to {party.carrier.printed_name}. "
                "That is no carrier, so the claim is not filed. Send it to the carrier "
                "of record."
            )
        return self.done(
            f"Claim {self.row.number} sent. Next: record proof of delivery."
        )


class RefileClaim(SendClaim):
    """Send a claim to the carrier, which only another company has received."""

    life_act = "refile"
    send = staticmethod(claim_steps.refile_claim)
    title = "Send it to the carrier"


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


class ProveDelivery(DatedStep[DeliveryProofForm]):
    """Record what proves the delivery day of a claim that was opened elsewhere."""

    form_class = DeliveryProofForm
    title = "Record proof of the delivery day"
    lead = "The deadlines then count from this day, not from the bill's date."

    def get_initial(self) -> dict[str, Any]:
        told = told_of(self.row)
        day = told.delivered_on if told else None
        return super().get_initial() | {"on": day}

    def get_refusal(self) -> str:
        return why_not_prove(self.row)

    def act(self, form: DeliveryProofForm) -> Answer:
        prove_delivery(
            claim=self.row,
            on=form.cleaned_data["on"],
            proof=form.cleaned_data["words"],
            step=self.step(form),
        )
        return self.done("Delivery day proven. The deadlines count from it.")


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
