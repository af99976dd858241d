"""A supplement that is sent on its own: sent, and proof of delivery."""

from typing import TypeVar

from django.db.models import QuerySet

from claims.actions.claim import supplements
from claims.forms.claim.steps import ReceiptForm, SendForm
from claims.models import Claim, Supplement
from claims.views.core.claim_act import ClaimAct, DatedAct, ProofAct
from inventory.actions.core.once import Answer
from inventory.forms.core.base import HouseForm
from inventory.models import Shipment

Form = TypeVar("Form", bound=HouseForm)


class _SupplementStep(ClaimAct[Supplement, Form], DatedAct[Supplement, Form]):
    """An act on the supplement of the address, on a day."""

    def get_queryset(self) -> QuerySet[Supplement]:
        return Supplement.objects.select_related(
            "claim__location", "claim__shipment__carrier", "claim__shipment__location"
        ).prefetch_related("claim__lines")

    def get_claim(self) -> Claim:
        return self.row.claim

    def get_title(self) -> str:
        return f"{self.title} {self.row.number}"


class SendSupplement(_SupplementStep[SendForm]):
    """Record that a supplement was sent to the carrier."""

    form_class = SendForm
    title = "Send supplement"
    lead = (
        "The deadline for a claim applies to a supplement too. It is met when the "
        "carrier receives it."
    )

    def act(self, form: SendForm) -> Answer:
        supplements.send_supplement(
            supplement=self.row,
            how=form.cleaned_data["how"],
            step=self.step(form),
            tracking=form.cleaned_data["tracking"],
        )
        return self.done(
            f"Supplement {self.row.number} sent. Next: record proof of delivery."
        )


class ReceiveSupplement(
    _SupplementStep[ReceiptForm], ProofAct[Supplement, ReceiptForm]
):
    """Record the day on which the carrier received a supplement."""

    form_class = ReceiptForm
    title = "Record proof of delivery of supplement"
    lead = "A deadline is met when the carrier receives the supplement."

    def get_shipment(self) -> Shipment:
        return self.row.claim.shipment

    def act(self, form: ReceiptForm) -> Answer:
        supplements.receive_supplement(
            supplement=self.row, step=self.step(form), proof=self.proof(form)
        )
        return self.done(f"Proof of delivery recorded: supplement {self.row.number}.")
