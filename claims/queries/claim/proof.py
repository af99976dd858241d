"""Who claims and what a claim still lacks, read from the rows on file."""

from django.db.models import Q

from claims.models import Claim, ClaimLine, Finding
from claims.queries.claim.worksheet import worksheet_of
from claims.rules.claim.claimant import ClaimantVerdict, decide_claimant
from claims.rules.claim.proof import Proof, ProofFacts, list_proof
from claims.rules.claim.risk import ClaimantFacts
from claims.rules.damages.facts import DamagesError
from inventory.models import Crate, Delivery, Evidence, Handover, Shipment
from inventory.models.evidence import OF_STANDING_ROWS


def claimant_of(shipment: Shipment) -> ClaimantVerdict:
    """Return who bears the loss on this freight bill and who claims.

    ``shipment`` comes with its supplier joined.
    """
    supplier = shipment.supplier
    return decide_claimant(
        ClaimantFacts(
            delivery_terms=shipment.delivery_terms,
            answer=_answer(shipment),
            freight_payer=shipment.freight_payer,
            supplier_files_when_prepaid=bool(supplier and supplier.files_when_prepaid),
            needs_return_authorization=bool(
                supplier and supplier.needs_return_authorization
            ),
            shipped_wrong=Finding.objects.filter(
                shipment=shipment, damage_kind="wrong"
            ).exists(),
            regime=shipment.regime,
            supplier=supplier.name if supplier else "the supplier",
        )
    )


def _answer(shipment: Shipment) -> str:
    looks = list(
        Crate.objects.filter(shipment=shipment, is_over=False)
        .order_by("pk")
        .values_list("look")
    )
    if looks and all(look == "refused" for (look,) in looks):
        return "rejected"
    words = Handover.objects.filter(shipment=shipment).exclude(words_full="").exists()
    return "accepted-with-exceptions" if words else "accepted"


def evidence_of(shipment: Shipment) -> list[Evidence]:
    """Return every file of the freight bill and of its trucks."""
    return list(
        Evidence.objects.filter(
            Q(shipment=shipment)
            | Q(shipment=None, delivery__in=Delivery.bringing(shipment))
        )
        .filter(OF_STANDING_ROWS)
        .select_related("original", "recorded_by")
        .prefetch_related("markups", "readings")
        .order_by("received_at", "id")
    )


def proof_of(claim: Claim, lines: list[ClaimLine], files: list[Evidence]) -> Proof:
    """Return the documents and elements of a claim.

    ``lines`` are those that count, with their findings joined.
    """
    findings = [line.finding for line in lines if line.finding]
    waived = {row.paper: row.reason for row in claim.paper_decisions.order_by("pk")}
    words = (
        Handover.objects.filter(shipment=claim.shipment)
        .exclude(words_full="")
        .exclude(how_signed__in=["handheld", "bare"])
    )
    return list_proof(
        ProofFacts(
            on_file={row.kind for row in files},
            outcomes=[line.outcome for line in lines] or ["repair"],
            has_concealed=any(not row.could_be_seen for row in findings),
            has_exception_on_receipt=words.exists(),
            amount_stated=any(_states_amount(line) for line in lines),
            freight_claimed=_freight_claimed(claim, lines),
            claimant=claim.claimant,
            waived=waived,
        )
    )


def _states_amount(line: ClaimLine) -> bool:
    amount = line.worked_cents if line.adjusted_cents is None else line.adjusted_cents
    return amount > 0


def _freight_claimed(claim: Claim, lines: list[ClaimLine]) -> bool:
    try:
        sheet = worksheet_of(claim, lines)
    except DamagesError:
        return False
    return bool(sheet and sheet.freight_cents)
