"""Claiming crates lost or damaged on the way home, and what was credited after all."""

from typing import Any
from uuid import UUID, uuid5

from django.core.files.uploadedfile import SimpleUploadedFile
from django.db.models import QuerySet
from django.urls import reverse
from django.utils.functional import cached_property

from claims.actions.claim import way_home
from claims.actions.claim.way_home import HomeBill
from claims.forms.claim.way_home import ClaimReturnForm, TakeOffCreditsForm
from claims.models import Claim
from claims.queries.core.way_home import LineHome, credit_words, ways_home
from claims.rules.claim.way_home import LOST
from claims.views.core.claim_act import OneClaimAct
from inventory.actions.core.once import Answer
from inventory.actions.evidence.keeping import BadUploadError, keep_evidence
from inventory.evidence.seal.sent_documents import LostDocumentError, last_sent_bytes
from inventory.models import CrateReturn, Shipment
from inventory.rules.core.sent_documents import BILL_OF_LADING, PACKING_LIST
from inventory.rules.reckoning.counts import pieces_in_words
from inventory.rules.reckoning.money import format_cents
from inventory.views.core.act_view import ActView, Crumbs
from inventory.views.core.clock import now

_PAPERS = UUID("0c3a9f0e-6a0e-4f57-9d0a-6a4d4a0f7b52")
"""The space of the ids under which a return's own papers are kept, each once."""

_OURS = (
    (BILL_OF_LADING, "other", "Our bill of lading {number}, as printed for the driver"),
    (PACKING_LIST, "packing-list", "Our packing list of return {number}"),
)
"""The papers that went with the driver: their kind as exhibits, and their captions."""


class ClaimReturn(ActView[CrateReturn, ClaimReturnForm]):
    """Claim crates of a return from the carrier that had them."""

    permission = "make-claim"
    form_class = ClaimReturnForm
    title = "Claim it from the carrier"
    back_words = "Back to the return without saving"

    def get_queryset(self) -> QuerySet[CrateReturn]:
        return CrateReturn.objects.select_related("location", "supplier", "carrier")

    @cached_property
    def homes(self) -> list[LineHome]:
        """Return the crates of this return that can be claimed now."""
        return [one for one in ways_home(self.row) if not one.against]

    @cached_property
    def has_bill(self) -> bool:
        """Return whether an earlier claim has the bill of this return already."""
        return Shipment.everything.filter(crate_return=self.row).exists()

    def get_back(self) -> str:
        return reverse("crate_return", args=[self.row.pk])

    def get_kicker(self) -> str:
        return f"{self.row} to {self.row.supplier}"

    def get_lead(self) -> str:
        return (
            f"{self.row.carrier} had the crates under our bill of lading "
            f"{self.row.number}, so we claim as the shipper. The amount is the credit "
            "that the supplier's terms would have given, and no more."
        )

    def get_crumbs(self) -> Crumbs:
        return [("Returns", reverse("returns")), (str(self.row), self.get_back())]

    def get_refusal(self) -> str:
        row = self.row
        if row.carrier is None or row.carrier.mode == "supplier-truck":
            return "No carrier had these crates, so there is nobody to claim from."
        if self.homes:
            return ""
        against = [f"{one.line.crate}: {one.against}" for one in ways_home(row)]
        return " ".join(against) or (
            "No crate of this return is recorded as lost, and no loss for damage was "
            "accepted. Accounting records it on the return first."
        )

    def get_initial(self) -> dict[str, Any]:
        is_canadian = self.row.location.country == "CA"
        return super().get_initial() | {
            "regime": "canada-road" if is_canadian else "us-motor",
        }

    def get_form_kwargs(self) -> dict[str, Any]:
        row = self.row
        return super().get_form_kwargs() | {
            "offered": [_offered(one, row.currency) for one in self.homes],
            "currency": row.currency,
            "has_bill": self.has_bill,
            "is_broker": bool(row.carrier and row.carrier.is_broker),
        }

    def act(self, form: ClaimReturnForm) -> Answer:
        got = form.cleaned_data
        picked = form.picked()
        claim = way_home.claim_return(
            crate_return=self.row,
            lines=picked,
            bill=HomeBill(
                pro_number=got.get("pro_number", ""),
                regime=got.get("regime", "us-motor"),
                risk=got.get("risk", "unknown"),
                released_cents_per_lb=got.get("released"),
                record_carrier=got.get("record_carrier"),
            ),
            person=self.person,
            at=now(),
        )
        return self.done(
            f"Claim {claim.number} made for {pieces_in_words(len(picked), 'crate')}. "
            "Check each line and the documents.",
            row=claim,
            page=reverse("claim", args=[claim.pk]),
        )

    def follow_up(self, form: ClaimReturnForm, answer: Answer) -> None:
        """Keep the papers that went with the driver as documents of the claim."""
        bill = Shipment.everything.filter(crate_return=self.row).first()
        for document, kind, caption in _OURS if bill else ():
            try:
                data = last_sent_bytes(self.row, document)
                if data is not None:
                    keep_evidence(
                        person=self.person,
                        at=now(),
                        upload=SimpleUploadedFile(
                            f"{document}-{self.row.number}.pdf", data, "application/pdf"
                        ),
                        client_id=uuid5(_PAPERS, f"{self.row.pk} {document}"),
                        kind=kind,
                        shipment=bill,
                        caption=caption.format(number=self.row.number),
                    )
            except (BadUploadError, LostDocumentError):
                continue  # it stays on the return's page, and can be added by hand


def _offered(home: LineHome, currency: str) -> tuple[int, str, str, bool]:
    amount = format_cents(home.crate.left_cents, currency, code=True)
    is_lost = home.crate.kind == LOST
    why = (
        f"Lost; the credit expected was {amount}."
        if is_lost
        else f"The supplier kept back {amount} for it, and we accepted that loss. Tick it "
        "only if the carrier did the damage."
    )
    words = f"{home.line.crate}, {home.line.crate.crate_type or 'type not known'}"
    return home.line.pk, words, why, is_lost


class TakeOffCredits(OneClaimAct[TakeOffCreditsForm]):
    """Take what the supplier credited after all off the claim."""

    form_class = TakeOffCreditsForm
    life_act = "take-off-credit"
    title = "Take the supplier's credit off the claim"
    lead = (
        "Nobody is paid twice: what the supplier credited is not asked of the carrier. "
        "Tell the carrier the new amount if it has the claim."
    )

    def get_queryset(self) -> QuerySet[Claim]:
        return super().get_queryset().select_related("shipment__supplier")

    def get_refusal(self) -> str:
        if credit_words(self.row):
            return super().get_refusal()
        return "The supplier has credited nothing that this claim still asks for."

    def get_lead(self) -> str:
        return f"{credit_words(self.row)} {self.lead}".strip()

    def act(self, form: TakeOffCreditsForm) -> Answer:
        claim = way_home.take_off_credits(claim=self.row, step=self.step(form))
        return self.done(
            f"Taken off claim {claim.number}. Tell the carrier the new amount, if it has "
            "the claim."
        )
