"""What happens to a claim after it is made: each act on the lifecycle's table.

Every act locks the claim, asks the table, writes, counts the deadlines again and
records the event.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime

from django.db import transaction

from claims.actions.core.deadlines import count_deadlines
from claims.models import Claim
from claims.queries.core.facts import claim_facts
from claims.rules.claim import life as lifecycle
from claims.rules.core.vocabulary import SENT_HOW
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import change_row, granted
from inventory.models import Evidence, User
from inventory.rules.reckoning.money import format_cents


@dataclass(frozen=True)
class Step:
    """One act on one claim: who does it, when, and its data.

    ``today`` is the location's own day, ``on`` the day the act happened.
    """

    person: User
    at: datetime
    today: date
    version: int
    on: date | None = None
    reason: str = ""
    proof: str = ""


@dataclass(frozen=True)
class _Write:
    kind: str
    changes: dict[str, object]
    data: dict[str, object] = field(default_factory=dict)


def locked(claim: Claim) -> Claim:
    """Return the current claim, locked until the transaction ends."""
    return (
        Claim.objects.select_for_update(of=("self",))
        .select_related("location", "shipment__carrier", "shipment__location")
        .get(pk=claim.pk)
    )


def require_act(claim: Claim, act: str, step: Step, *, line_sent: bool = False) -> str:
    """Return the state the act leads to. Raise RefusedError with every reason."""
    facts = claim_facts(
        claim,
        today=step.today,
        on=step.on,
        reason=step.reason,
        proof=step.proof,
        line_was_sent=line_sent,
    )
    return granted(lifecycle.LIFE.decide(claim.state, act, facts))


def _take(
    claim: Claim,
    act: str,
    step: Step,
    write: _Write,
    *,
    also: Callable[[Claim], object] | None = None,
) -> Claim:
    with transaction.atomic():
        row = locked(claim)
        state = require_act(row, act, step)
        if also:
            also(row)
        change_row(row, version=step.version, state=state, **write.changes)
        count_deadlines(shipment=row.shipment, at=step.at, person=step.person)
        record_event(
            kind=write.kind,
            at=step.at,
            actor=step.person,
            location=row.location,
            subjects=[row.shipment, row],
            data={
                "number": row.number,
                "on": step.on.isoformat() if step.on else "",
                "reason": step.reason,
                **write.data,
            },
        )
    return row


def send_claim(*, claim: Claim, how: str, step: Step) -> Claim:
    """Record that the claim, with all its unsent lines, was sent to the carrier.

    Sending again, because nothing was received back, moves the day of sending.
    Supplements made before the claim first went out go with it.
    Raise RefusedError with every reason against it, and StaleRowError.
    """

    def take_supplements(row: Claim) -> None:
        row.supplement_rows.filter(sent_on=row.sent_on, received_on=None).update(
            sent_on=step.on, sent_how=how
        )

    return _take(
        claim,
        "send",
        step,
        _Write(
            "claim.sent",
            {"sent_on": step.on, "sent_how": how},
            {"how": SENT_HOW[how].lower()},
        ),
        also=take_supplements,
    )


def record_receipt(*, claim: Claim, step: Step, proof: Evidence | None = None) -> Claim:
    """Record the day on which the carrier received the claim, and the proof of it.

    The supplements that went out with the claim were received with it.
    """

    def take_supplements(row: Claim) -> None:
        row.supplement_rows.filter(sent_on=row.sent_on, received_on=None).update(
            received_on=step.on, receipt_words=step.proof, receipt_proof=proof
        )

    return _take(
        claim,
        "receive",
        step,
        _Write(
            "claim.received",
            {
                "received_on": step.on,
                "receipt_words": step.proof,
                "receipt_proof": proof,
            },
            {"proof": step.proof},
        ),
        also=take_supplements,
    )


def record_acknowledgement(*, claim: Claim, carrier_number: str, step: Step) -> Claim:
    """Record the carrier's acknowledgment and its own number for the claim."""
    return _take(
        claim,
        "acknowledge",
        step,
        _Write(
            "claim.acknowledged",
            {"acknowledged_on": step.on, "carrier_claim_number": carrier_number},
            {"theirs": carrier_number or "not given"},
        ),
    )


def record_offer(*, claim: Claim, cents: int, step: Step) -> Claim:
    """Record an offer. An offer of compromise is not a disallowance."""
    return _take(
        claim,
        "offer",
        step,
        _Write(
            "claim.offered",
            {"offered_on": step.on, "offered_cents": cents},
            {"amount": format_cents(cents, claim.currency)},
        ),
    )


def record_disallowance(*, claim: Claim, with_offer: bool, step: Step) -> Claim:
    """Record a written denial. The first one counts and keeps its day.

    ``with_offer`` means that the same letter offers something: the suit's clock
    then starts to be safe, and is marked as disputed.
    """
    first = claim.disallowed_on is None
    changes: dict[str, object] = (
        {
            "disallowed_on": step.on,
            "disallowed_reason": step.reason,
            "disallowance_disputed": with_offer,
        }
        if first
        else {}
    )
    return _take(claim, "disallow", step, _Write("claim.disallowed", changes))


def record_settlement(*, claim: Claim, cents: int, step: Step) -> Claim:
    """Record the money received in settlement, which closes the claim."""
    return _take(
        claim,
        "settle",
        step,
        _Write(
            "claim.settled",
            {"settled_on": step.on, "settled_cents": cents},
            {"amount": format_cents(cents, claim.currency)},
        ),
    )


def withdraw_claim(*, claim: Claim, step: Step) -> Claim:
    """Withdraw the claim, with a reason. Its findings may be claimed again."""
    return _take(
        claim,
        "withdraw",
        step,
        _Write(
            "claim.withdrawn",
            {"withdrawn_on": step.today, "withdrawn_reason": step.reason},
        ),
    )
