"""A carrier's bankruptcy: recorded, corrected by a new record, and our proof of claim."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from claims.actions.claim.steps import Step, Write, take
from claims.actions.core.deadlines import count_deadlines
from claims.models import Claim
from claims.queries.core.bankruptcies import bankruptcies_of, open_claims_against
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError
from inventory.models import Carrier, CarrierBankruptcy, Evidence, User


@dataclass(frozen=True)
class Petition:
    """What the papers of the court say. ``reason`` says why an earlier record was wrong."""

    petition_on: date
    court: str
    case_number: str
    bar_on: date | None = None
    paper: Evidence | None = None
    reason: str = ""


def record_bankruptcy(
    *, carrier: Carrier, petition: Petition, person: User, at: datetime
) -> CarrierBankruptcy:
    """Record that the carrier filed; every open claim against it gets its duty.

    An earlier record stays and does not count any more: it takes a reason. Raise
    RefusedError where one is lacking.
    """
    with transaction.atomic():
        Carrier.objects.select_for_update(of=("self",)).get(pk=carrier.pk)
        before = bankruptcies_of([carrier]).get(carrier.pk)
        if before is not None and not petition.reason.strip():
            raise RefusedError(
                "A bankruptcy of this carrier is recorded already. Nothing was saved. "
                "Enter what changed, or what was wrong in it."
            )
        if petition.bar_on is not None and petition.bar_on <= petition.petition_on:
            raise RefusedError(
                "The last day for claims comes after the petition. Nothing was saved. "
                "Check both days."
            )
        row = CarrierBankruptcy.objects.create(
            carrier=carrier,
            petition_on=petition.petition_on,
            court=petition.court,
            case_number=petition.case_number,
            bar_on=petition.bar_on,
            paper=petition.paper,
            reason=petition.reason,
            recorded_at=at,
            recorded_by=person,
        )
        for shipment in {one.shipment for one in open_claims_against(carrier)}:
            count_deadlines(shipment=shipment, at=at, person=person)
        record_event(
            kind="carrier.bankrupt",
            at=at,
            actor=person,
            location=None,
            subjects=[carrier],
            data={
                "name": carrier.name,
                "on": petition.petition_on.isoformat(),
                "court": petition.court,
                "case": petition.case_number,
                "due": petition.bar_on.isoformat() if petition.bar_on else "not set",
                "reason": petition.reason,
            },
        )
    return row


def record_proof_of_claim(*, claim: Claim, step: Step) -> Claim:
    """Record the day on which the court received our proof of claim, and what shows it.

    Raise RefusedError with every reason against it, and StaleRowError.
    """
    return take(claim, "prove", step, Write("claim.proven", data={"proof": step.proof}))
