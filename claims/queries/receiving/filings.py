"""Who files, to whom and by when, at the time the receipt is signed."""

from dataclasses import dataclass
from datetime import date

from claims.queries.core.labels import duty_label
from claims.queries.deadlines.duties import duties_of
from claims.queries.receiving.receipts import BillAtTailgate
from claims.rules.claim.claimant import ClaimantVerdict, decide_claimant
from claims.rules.claim.risk import ClaimantFacts
from inventory.models import Shipment

_TO_SUPPLIER = "supplier-"


@dataclass(frozen=True)
class FilingLine:
    """One thing to file: who, what, to whom, the safe day and the last one."""

    who: str
    what: str
    to: str
    safe: date
    due: date


@dataclass(frozen=True)
class Filings:
    """What one freight bill requires after this signature."""

    shipment: Shipment
    verdict: ClaimantVerdict
    lines: tuple[FilingLine, ...]


def filings_at_signature(
    bill: BillAtTailgate, *, delivery_id: int, today: date
) -> Filings:
    """Return who files, to whom, by when, counting this truck as signed for."""
    shipment = bill.handover.shipment
    verdict = decide_claimant(_facts(bill))
    placed = duties_of(shipment, today, delivery_id)
    lines = tuple(
        _line(one.counted.duty, shipment, verdict, one.counted.safe, one.counted.due)
        for one in placed
        if one.counted.owed_by == "claimant"
        and one.counted.duty != "suit"
        and one.counted.met_on is None
        and one.delivery_id in {None, delivery_id}
    )
    return Filings(shipment, verdict, lines)


def _line(
    duty: str, shipment: Shipment, verdict: ClaimantVerdict, *days: date
) -> FilingLine:
    is_to_supplier = duty.startswith(_TO_SUPPLIER)
    supplier = shipment.supplier.name if shipment.supplier else "the supplier"
    carrier = shipment.carrier_of_record
    to = supplier if is_to_supplier or carrier is None else carrier.name
    if carrier is None and not is_to_supplier:
        to = "the motor carrier that delivered it (ask the broker for its name)"
    files = duty == "claim" and verdict.claimant == "supplier"
    safe, due = days
    return FilingLine(
        who=supplier if files else "We",
        what=duty_label(duty),
        to=to,
        safe=safe,
        due=due,
    )


def _facts(bill: BillAtTailgate) -> ClaimantFacts:
    shipment = bill.handover.shipment
    supplier = shipment.supplier
    looks = {crate.look for crate in bill.crates}
    answer = "accepted"
    if looks and looks == {"refused"}:
        answer = "rejected"
    elif bill.words.has_exceptions:
        answer = "accepted-with-exceptions"
    return ClaimantFacts(
        delivery_terms=shipment.delivery_terms,
        answer=answer,
        freight_payer=shipment.freight_payer,
        supplier_files_when_prepaid=bool(supplier and supplier.files_when_prepaid),
        needs_return_authorization=bool(
            supplier and supplier.needs_return_authorization
        ),
        regime=shipment.regime,
        supplier=supplier.name if supplier else "the supplier",
    )
