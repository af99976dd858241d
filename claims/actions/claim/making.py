"""Making a claim from findings, and adding later finds as a numbered supplement."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from claims.actions.claim.lines import work_lines
from claims.actions.claim.overlap import lay_answer
from claims.actions.claim.steps import Step, locked, post_step, require_act
from claims.actions.core.deadlines import count_deadlines
from claims.models import Claim, ClaimLine, Finding, Supplement
from claims.queries.claim.overlap import claimed_before
from claims.queries.core.facts import claim_cents, estimate_of, minutes_of
from claims.queries.core.test_trucks import is_test_bill
from claims.queries.core.unclaimed import why_not
from claims.rules.core.first_day import TEST_STAYS_HERE
from claims.rules.damages.outcomes import NOT_REPAIRED
from claims.rules.letters.overlap import CITE, OverlapAnswer
from inventory.actions.core.events import record_event
from inventory.actions.core.numbers import lock_numbers, next_number_of
from inventory.actions.core.versions import RefusedError, change_row
from inventory.models import Shipment, User
from inventory.rules.core import numbering
from inventory.rules.reckoning.money import format_cents

CLAIMED_BEFORE = (
    "A finding was in an earlier claim. Say whether an insurer was notified or has paid, and "
    "whether the supplier credited it. Nothing was saved."
)


_ONE_CLAIMANT = (
    " Two claimants for one loss make the carrier ask both for proof of their right "
    f"({CITE})."
)


@dataclass(frozen=True)
class Pick:
    """One finding chosen for a claim; salvage in cents."""

    finding: Finding
    outcome: str
    salvage_cents: int = 0


def make_claim(
    *,
    shipment: Shipment,
    picks: Sequence[Pick],
    claimant: str,
    basis: str,
    person: User,
    at: datetime,
    today: date,
    said: OverlapAnswer | None = None,
) -> Claim:
    """Make a claim from the chosen findings, numbered at its location.

    A machine of a freight bill may have a claim of its own. ``said`` is who else may
    have paid, asked where a finding was claimed before. Raise RefusedError with every
    reason: a finding that may not be claimed, or that another claim has.
    """
    with transaction.atomic():
        location = lock_numbers(shipment.location)
        _refuse_findings(shipment, picks, claimant)
        if said is None and claimed_before(one.finding.pk for one in picks).exists():
            raise RefusedError(CLAIMED_BEFORE)
        claim = Claim.objects.create(
            location=location,
            shipment=shipment,
            number=next_number_of(Claim, numbering.CLAIM, location, today.year),
            claimant=claimant,
            basis=basis,
            currency=shipment.currency,
            made_at=at,
            made_by=person,
        )
        _add_lines(claim, picks, supplement=0)
        work_lines(claim)
        count_deadlines(shipment=shipment, at=at, person=person)
        _tell(claim, "claim.made", picks, person=person, at=at)
        if said is not None:
            lay_answer(claim, said, Step(person, at, today, claim.version))
    return claim


def supplement_claim(*, claim: Claim, picks: Sequence[Pick], step: Step) -> Supplement:
    """Add later finds to a live claim under the next supplement's number.

    Raise RefusedError with every reason against it, and StaleRowError.
    """
    with transaction.atomic():
        lock_numbers(claim.location)  # as in making one: two never take one finding
        row = locked(claim)
        require_act(row, "supplement", step)
        _refuse_findings(row.shipment, picks, row.claimant)
        number = row.supplements + 1
        change_row(row, version=step.version, supplements=number)
        supplement = Supplement.objects.create(
            claim=row, number=number, made_at=step.at, made_by=step.person
        )
        _add_lines(row, picks, supplement=number)
        work_lines(row)
        count_deadlines(shipment=row.shipment, at=step.at, person=step.person)
        post_step(row, step)
        _tell(row, "claim.supplemented", picks, person=step.person, at=step.at)
    return supplement


def _refuse_findings(shipment: Shipment, picks: Sequence[Pick], claimant: str) -> None:
    if is_test_bill(shipment.pk):
        raise RefusedError(TEST_STAYS_HERE)
    if not picks:
        raise RefusedError("Choose at least one finding. Nothing was saved.")
    reasons = [
        f"Finding {pick.finding.number}: {reason}"
        for pick in picks
        if (
            reason := why_not(pick.finding)
            or _safety_reason(pick)
            or _rate_reason(pick, shipment)
        )
    ]
    if any(pick.finding.shipment_id != shipment.pk for pick in picks):
        reasons.append("A finding belongs to another freight bill.")
    taken = (
        ClaimLine.objects.filter(
            finding__in=[pick.finding.pk for pick in picks], holds=True
        )
        .select_related("claim", "finding")
        .order_by("pk")
    )
    reasons += [
        f"Finding {line.finding.number}: already in claim {line.claim.number}."
        f"{_ONE_CLAIMANT if line.claim.claimant != claimant else ''}"
        for line in taken
        if line.finding
    ]
    if reasons:
        raise RefusedError(" ".join(reasons) + " Nothing was saved.")


def _safety_reason(pick: Pick) -> str:
    finding = pick.finding
    if finding.is_safety_part and pick.outcome == "repair" and not finding.safety_basis:
        return (
            "It is a safety part, and price does not decide its repair. Record the "
            "maker's written instruction or its replacement first, or count it as a "
            "total loss."
        )
    return ""


def _rate_reason(pick: Pick, shipment: Shipment) -> str:
    """Return that hours are without a price, on a bill in another currency than ours."""
    finding, currency = pick.finding, shipment.currency
    is_priced = finding.rate_cents is not None or not minutes_of(finding)
    if is_priced or pick.outcome in NOT_REPAIRED:
        return ""
    if currency == shipment.location.currency:
        return ""
    return f"Its hours have no rate in {currency}. Price it first."


def _add_lines(claim: Claim, picks: Sequence[Pick], *, supplement: int) -> None:
    first = claim.lines.count() + 1
    rate = claim.location.shop_rate_in(claim.currency)
    ClaimLine.objects.bulk_create(
        ClaimLine(
            claim=claim,
            finding=pick.finding,
            unit=pick.finding.unit,
            supplement=supplement,
            number=first + place,
            label=_label(pick.finding, claim),
            outcome=pick.outcome,
            value_cents=_value(pick.finding),
            repair_cents=_repair(pick, rate),
            salvage_cents=pick.salvage_cents,
            holds=True,
        )
        for place, pick in enumerate(picks)
    )


def _repair(pick: Pick, rate: int) -> int:
    if pick.outcome in NOT_REPAIRED:
        return 0
    return estimate_of(pick.finding, rate).total_cents


def _value(finding: Finding) -> int:
    return (finding.unit.invoice_cents or 0) if finding.unit else 0


def _label(finding: Finding, claim: Claim) -> str:
    what = finding.on_what(claim.shipment.piece_unit)
    return f"{what}: {finding.get_damage_kind_display()}"[:160]


def _tell(
    claim: Claim, kind: str, picks: Sequence[Pick], *, person: User, at: datetime
) -> None:
    fresh = Claim.objects.prefetch_related("lines").get(pk=claim.pk)
    record_event(
        kind=kind,
        at=at,
        actor=person,
        location=claim.location,
        subjects=[claim.shipment, claim, *(pick.finding for pick in picks)],
        data={
            "number": claim.number,
            "supplement": claim.supplements,
            "count": len(picks),
            "findings": [pick.finding.number for pick in picks],
            "amount": format_cents(claim_cents(fresh), claim.currency, code=True),
        },
    )
