"""What happens to a claim after it is made: each act on the lifecycle's table.

Every act locks the claim, asks the table, writes, counts the deadlines again, lays down
its step with the files that came with it, and records the event.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.db.models import QuerySet

from claims.actions.books.posting import lock_claim_book, post_claim
from claims.actions.core.deadlines import count_deadlines
from claims.models import Claim, ClaimPayment, ClaimStep, ClaimStepFile
from claims.queries.books.booking import is_filed
from claims.queries.core.claim_facts import claim_facts
from claims.queries.core.parties import addressee_of, parties_of
from claims.rules.claim import life as lifecycle
from claims.rules.core.sending import sent_words
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row, granted
from inventory.models import Carrier, Evidence, User


@dataclass(frozen=True)
class Step:
    """One act on one claim: who does it, when, and its data.

    ``today`` is the location's own day, ``on`` the day the act happened. ``proof`` says
    who signed or wrote, ``whom`` for whom. ``files`` came with the act.
    """

    person: User
    at: datetime
    today: date
    version: int
    on: date | None = None
    reason: str = ""
    proof: str = ""
    whom: str = ""
    files: tuple[Evidence, ...] = ()


@dataclass(frozen=True)
class Write:
    """What an act writes: its kind of event, the columns it changes, the event's data.

    ``to`` chooses among several ends. The rest goes onto the act's step.
    """

    kind: str
    changes: dict[str, object] = field(default_factory=dict)
    data: dict[str, object] = field(default_factory=dict)
    to: str | None = None
    choice: str = ""
    cents: int | None = None
    by_day: date | None = None
    payment: ClaimPayment | None = None
    to_company: Carrier | None = None
    tracking: str = ""


FILING = ("send", "refile", "hand-over")
"""The acts by which a claim first reaches whoever is to pay, and so the books."""


def locked(claim: Claim) -> Claim:
    """Return the current claim, locked with its book until the transaction ends."""
    lock_claim_book(claim)
    return _joined().select_for_update(of=("self",)).get(pk=claim.pk)


def read_again(claim: Claim) -> Claim:
    """Return the claim as it is now, for whoever has waited since it was locked."""
    return _joined().get(pk=claim.pk)


def _joined() -> QuerySet[Claim]:
    return Claim.objects.select_related(
        "location", "shipment__carrier", "shipment__location"
    )


def require_act(
    claim: Claim,
    act: str,
    step: Step,
    *,
    line_sent: bool = False,
    to: str | None = None,
) -> str:
    """Return the state the act leads to. Raise RefusedError with every reason."""
    facts = claim_facts(
        claim,
        today=step.today,
        on=step.on,
        reason=step.reason,
        proof=step.proof,
        line_was_sent=line_sent,
    )
    return granted(lifecycle.LIFE.decide(claim.state, act, facts, to=to))


def take(
    claim: Claim,
    act: str,
    step: Step,
    write: Write,
    *,
    also: Callable[[Claim], object] | None = None,
) -> Claim:
    """Do one act on a claim in one transaction, and return the claim.

    ``also`` writes what else belongs to it; a payment that it returns is the step's.
    Raise RefusedError with every reason against the act, and StaleRowError.
    """
    with transaction.atomic():
        row = locked(claim)
        state = require_act(row, act, step, to=write.to)
        before, is_filing = row.state, act in FILING and not is_filed(row)
        made = also(row) if also else None
        change_row(row, version=step.version, state=state, **write.changes)
        if isinstance(made, ClaimPayment):
            write = replace(write, payment=made)
        _lay_step(row, act, step, write, before=before)
        count_deadlines(shipment=row.shipment, at=step.at, person=step.person)
        post_step(row, step, is_filing=is_filing)
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


def post_step(claim: Claim, step: Step, *, is_filing: bool = False) -> None:
    """Post what the act changed in the books, on its own day."""
    on = step.on or step.today
    post_claim(claim, on=on, person=step.person, at=step.at, is_filing=is_filing)


def _lay_step(
    row: Claim, act: str, step: Step, write: Write, *, before: str
) -> ClaimStep:
    laid = ClaimStep.objects.create(
        claim=row,
        act=act,
        before=before,
        after=row.state,
        on=step.on or step.today,
        choice=write.choice,
        who=step.proof[:120],
        whom=step.whom,
        cents=write.cents,
        by_day=write.by_day,
        note=step.reason,
        payment=write.payment,
        addressed_to=write.to_company,
        tracking=write.tracking,
        recorded_at=step.at,
        recorded_by=step.person,
    )
    ClaimStepFile.objects.bulk_create(
        ClaimStepFile(step=laid, evidence=one) for one in step.files
    )
    return laid


@dataclass(frozen=True)
class Sending:
    """How the claim went out: the way, to which company, under which number.

    Without a company it goes to the carrier of record.
    """

    how: str
    to: Carrier | None = None
    tracking: str = ""


def send_claim(
    *, claim: Claim, step: Step, how: str = "", sending: Sending | None = None
) -> Claim:
    """Record that the claim, with all its unsent lines, was sent, and to whom.

    Sending again, because nothing was received back, moves the day of sending.
    Supplements made before the claim first went out go with it.
    Raise RefusedError with every reason against it, and StaleRowError.
    """
    sent = sending or Sending(how)
    columns = _going_out(claim, sent, step)

    def take_supplements(row: Claim) -> None:
        row.supplement_rows.filter(sent_on=row.sent_on, received_on=None).update(
            **columns
        )

    write = _sent(sent, columns)
    return take(claim, "send", step, write, also=take_supplements)


def refile_claim(*, claim: Claim, sending: Sending, step: Step) -> Claim:
    """Record that a claim which no carrier has was sent to one, with its supplements.

    What was received before proves nothing: it stays in the claim's steps alone. Raise
    RefusedError with every reason against it, and StaleRowError.
    """
    anew = {
        **_going_out(claim, sending, step),
        "received_on": None,
        "receipt_words": "",
        "receipt_proof": None,
    }

    def take_supplements(row: Claim) -> None:
        row.supplement_rows.all().update(**anew)

    write = _sent(sending, {**anew, "acknowledged_on": None})
    return take(claim, "refile", step, write, also=take_supplements)


def _going_out(claim: Claim, sent: Sending, step: Step) -> dict[str, Any]:
    return {
        "sent_on": step.on,
        "sent_how": sent.how,
        "addressed_to": _company(claim, sent),
        "tracking": sent.tracking,
    }


def _sent(sent: Sending, columns: dict[str, Any]) -> Write:
    to: Carrier | None = columns["addressed_to"]
    name = to.printed_name if to else ""
    return Write(
        "claim.sent",
        columns,
        {"how": sent_words(sent.how, to=name, tracking=sent.tracking)},
        choice=sent.how,
        to_company=to,
        tracking=sent.tracking,
    )


def _company(claim: Claim, sent: Sending) -> Carrier | None:
    """Return whom the claim goes to. Raise RefusedError for a company not on its bill."""
    if claim.claimant != "us":
        return None
    to = sent.to or addressee_of(claim)
    if to.pk not in {one.carrier.pk for one in parties_of(claim.shipment)}:
        raise RefusedError(
            f"{to} is not named on this freight bill. Nothing was saved. Correct the "
            "paperwork first."
        )
    return to


def record_receipt(*, claim: Claim, step: Step, proof: Evidence | None = None) -> Claim:
    """Record the day on which the carrier received the claim, and the proof of it.

    The supplements that went out with the claim were received with it.
    """

    def take_supplements(row: Claim) -> None:
        row.supplement_rows.filter(sent_on=row.sent_on, received_on=None).update(
            received_on=step.on, receipt_words=step.proof, receipt_proof=proof
        )

    return take(
        claim,
        "receive",
        step,
        Write(
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
    return take(
        claim,
        "acknowledge",
        step,
        Write(
            "claim.acknowledged",
            {"acknowledged_on": step.on, "carrier_claim_number": carrier_number},
            {"theirs": carrier_number or "not given"},
        ),
    )
