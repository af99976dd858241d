"""Who claims and what a claim still lacks, read from the rows on file."""

from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass

from django.db.models import F, Q

from claims.models import Claim, ClaimLine, Finding
from claims.queries.claim.worksheet import worksheet_of
from claims.rules.claim.claimant import ClaimantVerdict, decide_claimant
from claims.rules.claim.proof import Proof, ProofFacts, list_proof
from claims.rules.claim.risk import ClaimantFacts
from claims.rules.claim.way_home import decide_home_claimant
from claims.rules.damages.facts import DamagesError
from inventory.models import Crate, Delivery, Evidence, Handover, Shipment
from inventory.models.evidence import OF_STANDING_ROWS


def claimant_of(shipment: Shipment) -> ClaimantVerdict:
    """Return who bears the loss on this freight bill and who claims.

    ``shipment`` comes with its supplier joined.
    """
    supplier = shipment.supplier
    if shipment.crate_return_id is not None:
        name = supplier.name if supplier else "the supplier"
        return decide_home_claimant(shipment.delivery_terms, name)
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
    """Return every file of the freight bill and of its trucks, or of its return."""
    own = Q(shipment=shipment)
    if shipment.crate_return_id is None:
        trucks = Delivery.bringing(shipment).order_by().values_list("pk", flat=True)
        own |= Q(bill=None, delivery__in=list(trucks))  # a join reads every file
    else:
        own |= Q(crate_return=shipment.crate_return_id)
    return list(
        # By the truck: most photos of trucks are of no bill.
        Evidence.objects.alias(bill=F("shipment_id") + 0)
        .filter(own)
        .filter(OF_STANDING_ROWS)
        .select_related("original", "recorded_by")
        .prefetch_related("markups", "readings")
        .order_by("received_at", "id")
    )


@dataclass(frozen=True)
class Covered:
    """The machines and crates that a claim is about.

    A loss of the freight bill itself, such as a shortage, is about everything on it.
    """

    units: frozenset[int]
    crates: frozenset[int]
    is_whole_bill: bool

    @classmethod
    def by(cls, lines: Iterable[ClaimLine]) -> "Covered":
        """Read what these lines cover; they come with machines and findings joined."""
        units: set[int] = set()
        crates: set[int] = set()
        is_whole_bill = False
        for line in lines:
            found = line.finding
            unit = line.unit_id or (found and found.unit_id)
            crate = (line.unit and line.unit.crate_id) or (found and found.crate_id)
            units |= {unit} if unit else set()
            crates |= {crate} if crate else set()
            is_whole_bill |= not (unit or crate)
        return cls(frozenset(units), frozenset(crates), is_whole_bill)

    def holds(self, unit: int | None, crate: int | None) -> bool:
        """Return whether a file of this machine or crate is about the claim.

        A file of neither is of the whole load, or a document of the bill.
        """
        if self.is_whole_bill or (unit is None and crate is None):
            return True
        return unit in self.units if unit else crate in self.crates


def proof_of(claim: Claim, lines: list[ClaimLine], files: list[Evidence]) -> Proof:
    """Return the documents and elements of a claim.

    ``lines`` are those that count, with their findings joined.
    """
    covered = Covered.by(lines)
    waived = {row.paper: row.reason for row in claim.paper_decisions.order_by("pk")}
    words = (
        Handover.objects.filter(shipment=claim.shipment)
        .exclude(words_full="")
        .exclude(how_signed__in=["handheld", "bare"])
    )
    return list_proof(
        proof_facts(
            claim,
            lines,
            {row.kind for row in files if covered.holds(row.unit_id, row.crate_id)},
            waived,
            has_exception_on_receipt=words.exists(),
        )
    )


def proof_facts(
    claim: Claim,
    lines: Sequence[ClaimLine],
    kinds: Set[str],
    waived: Mapping[str, str],
    *,
    has_exception_on_receipt: bool,
) -> ProofFacts:
    """Return the facts that decide which documents a claim needs.

    ``lines`` are those that count, ``kinds`` the kinds of files on its bill.
    """
    findings = [line.finding for line in lines if line.finding]
    return ProofFacts(
        on_file=kinds,
        outcomes=[line.outcome for line in lines] or ["repair"],
        has_concealed=any(not row.could_be_seen for row in findings),
        has_exception_on_receipt=has_exception_on_receipt,
        amount_stated=any(_states_amount(line) for line in lines),
        freight_claimed=_freight_claimed(claim, lines),
        claimant=claim.claimant,
        is_way_home=claim.shipment.crate_return_id is not None,
        waived=waived,
        is_elsewhere=claim.opened_elsewhere,
    )


def _states_amount(line: ClaimLine) -> bool:
    amount = line.worked_cents if line.adjusted_cents is None else line.adjusted_cents
    return amount > 0


def _freight_claimed(claim: Claim, lines: Sequence[ClaimLine]) -> bool:
    try:
        sheet = worksheet_of(claim, lines)
    except DamagesError:
        return False
    return bool(sheet and sheet.freight_cents)
