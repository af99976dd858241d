"""The lines of a claim: calculated by the measure of damages, adjusted, removed."""

from dataclasses import dataclass

from django.db import transaction

from claims.actions.claim.steps import Step, locked, post_step, require_act
from claims.actions.core.deadlines import count_deadlines
from claims.models import Claim, ClaimLine
from claims.queries.claim.worksheet import counted_lines, worksheet_of
from claims.queries.core.facts import estimate_of, line_cents, was_sent
from claims.rules.damages.facts import DamagesError
from claims.rules.damages.outcomes import NOT_REPAIRED
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row
from inventory.rules.reckoning.money import format_cents


@dataclass(frozen=True)
class LineChange:
    """What a manager changes on a line; amounts in cents.

    ``adjusted_cents`` None claims the calculated amount. ``value_cents`` is the worth
    of the whole machine, and goes to every line of the same machine.
    """

    outcome: str
    value_cents: int
    salvage_cents: int
    mitigation_cents: int
    recovered_cents: int
    adjusted_cents: int | None


def work_lines(claim: Claim) -> None:
    """Calculate the amount of every line that counts again and save it on the line.

    Raise RefusedError where the lines contradict each other.
    """
    lines = counted_lines(claim)
    try:
        worked = worksheet_of(claim, lines)
    except DamagesError as error:
        raise RefusedError(f"{error} Nothing was saved.") from error
    if worked is None:
        return
    for line, own in zip(lines, worked.lines, strict=True):
        line.worked_cents = own.loss_cents
    ClaimLine.objects.bulk_update(lines, ["worked_cents"])


def adjust_line(*, line: ClaimLine, change: LineChange, step: Step) -> ClaimLine:
    """Change a line, with a reason, and calculate the claim again.

    Raise RefusedError with every reason against it, and StaleRowError.
    """
    with transaction.atomic():
        claim = locked(line.claim)
        row = _fresh(line)
        require_act(claim, "adjust-line", step, line_sent=was_sent(row))
        _refuse_safety(row, change.outcome)
        changes: dict[str, object] = {
            "outcome": change.outcome,
            "value_cents": change.value_cents,
            "salvage_cents": change.salvage_cents,
            "mitigation_cents": change.mitigation_cents,
            "recovered_cents": change.recovered_cents,
            "adjusted_cents": change.adjusted_cents,
            "adjusted_reason": step.reason,
        }
        change_row(row, version=step.version, **changes)
        if row.unit_id:
            claim.lines.filter(unit=row.unit_id).exclude(outcome="short").update(
                value_cents=change.value_cents
            )
        work_lines(claim)
        row.refresh_from_db()
        amount = row.worked_cents if row.adjusted_cents is None else row.adjusted_cents
        _tell(claim, row, step, amount=amount)
    return row


def strike_line(*, line: ClaimLine, step: Step) -> ClaimLine:
    """Remove a line from the claim, with a reason; it stays readable."""
    with transaction.atomic():
        claim = locked(line.claim)
        row = _fresh(line)
        require_act(claim, "strike-line", step, line_sent=was_sent(row))
        if row.struck_reason:
            raise RefusedError("This line is already removed. Nothing was changed.")
        change_row(row, version=step.version, struck_reason=step.reason, holds=False)
        work_lines(claim)
        _tell(claim, row, step, amount=0)
    return row


def take_estimate(*, line: ClaimLine, step: Step) -> ClaimLine:
    """Take over the repair estimate as it is now, with the time booked since.

    Raise RefusedError where the line asks for no repair or is with the carrier, and
    StaleRowError.
    """
    with transaction.atomic():
        claim = locked(line.claim)
        row = _fresh(line)
        require_act(claim, "adjust-line", step, line_sent=was_sent(row))
        if row.finding is None or row.outcome in NOT_REPAIRED or row.struck_reason:
            raise RefusedError("This line asks for no repair. Nothing was changed.")
        rate = claim.location.shop_rate_in(claim.currency)
        now = estimate_of(row.finding, rate).total_cents
        change_row(row, version=step.version, repair_cents=now)
        work_lines(claim)
        row.refresh_from_db()
        _tell(claim, row, step, amount=line_cents(row))
    return row


def _fresh(line: ClaimLine) -> ClaimLine:
    return (
        ClaimLine.objects.select_for_update(of=("self",))
        .select_related("claim", "finding", "unit")
        .prefetch_related("claim__supplement_rows")
        .get(pk=line.pk)
    )


def _refuse_safety(line: ClaimLine, outcome: str) -> None:
    finding = line.finding
    if (
        finding
        and finding.is_safety_part
        and not finding.safety_basis
        and outcome == "repair"
    ):
        raise RefusedError(
            "This is a safety part, and price does not decide its repair. Record "
            "the maker's written instruction or its replacement on the finding "
            "first."
        )


def _tell(
    claim: Claim,
    line: ClaimLine,
    step: Step,
    *,
    amount: int,
) -> None:
    count_deadlines(shipment=claim.shipment, at=step.at, person=step.person)
    post_step(claim, step)
    about = [claim.shipment, claim]
    record_event(
        kind="claim.line-adjusted",
        at=step.at,
        actor=step.person,
        location=claim.location,
        subjects=[*about, line.finding] if line.finding else about,
        data={
            "number": claim.number,
            "line": line.number,
            "amount": format_cents(amount, claim.currency, code=True),
            "reason": step.reason,
        },
    )
