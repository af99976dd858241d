"""Supplements made after the claim was sent, which reach the carrier separately."""

from django.db import transaction

from claims.actions.books.posting import lock_claim_book
from claims.actions.claim.steps import Step, locked, post_step
from claims.actions.core.deadlines import count_deadlines
from claims.models import Supplement
from claims.queries.core.facts import line_cents
from claims.queries.core.parties import addressee_of, against_filing
from claims.rules.claim import life as lifecycle
from claims.rules.core.days import against_day
from claims.rules.core.sending import sent_words
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError, change_row
from inventory.models import Evidence
from inventory.rules.reckoning.calendars import in_words


def send_supplement(
    *, supplement: Supplement, how: str, step: Step, tracking: str = ""
) -> Supplement:
    """Record that the supplement was sent where its claim went. Again moves the day.

    Raise RefusedError with every reason against it, and StaleRowError.
    """
    with transaction.atomic():
        row = _locked(supplement)
        reasons = _against_sending(row, step)
        if reasons:
            raise RefusedError(" ".join(reasons))
        to = addressee_of(row.claim) if row.claim.claimant == "us" else None
        change_row(
            row,
            version=step.version,
            sent_on=step.on,
            sent_how=how,
            addressed_to=to,
            tracking=tracking,
        )
        name = to.printed_name if to else ""
        said = {"how": sent_words(how, to=name, tracking=tracking)}
        _tell(row, step, "supplement.sent", {**said})
    return row


def receive_supplement(
    *, supplement: Supplement, step: Step, proof: Evidence | None = None
) -> Supplement:
    """Record the day on which the carrier received the supplement, and the proof."""
    with transaction.atomic():
        row = _locked(supplement)
        reasons = _against_receipt(row, step)
        if reasons:
            raise RefusedError(" ".join(reasons))
        change_row(
            row,
            version=step.version,
            received_on=step.on,
            receipt_words=step.proof,
            receipt_proof=proof,
        )
        _tell(row, step, "supplement.received", {"proof": step.proof})
    return row


def _locked(supplement: Supplement) -> Supplement:
    lock_claim_book(supplement.claim)
    row = (
        Supplement.objects.select_for_update(of=("self",))
        .select_related("claim")
        .get(pk=supplement.pk)
    )
    row.claim = locked(row.claim)
    return row


def _day_reasons(step: Step) -> list[str]:
    reason = against_day(step.on, step.today)
    return [reason] if reason else []


def _against_sending(row: Supplement, step: Step) -> list[str]:
    claim = row.claim
    reasons = _day_reasons(step)
    if claim.state in lifecycle.LIFE.final:
        reasons.append("The claim is closed.")
    if claim.sent_on is None:
        reasons.append(
            "The claim has not been sent, so the supplement goes out with it."
        )
    if row.received_on:
        reasons.append("The carrier has already received this supplement.")
    lines = claim.lines.filter(supplement=row.number)
    if sum(line_cents(line) for line in lines) <= 0:
        reasons.append(
            "The supplement has no amount. A claim must ask for a specified or "
            "determinable amount of money (49 CFR 370.3(b))."
        )
    return reasons


def _against_receipt(row: Supplement, step: Step) -> list[str]:
    reasons = _day_reasons(step)
    if row.sent_on is None:
        reasons.append("Record first how and on which day it was sent.")
    elif step.on and step.on < row.sent_on:
        reasons.append(f"That is before it was sent, on {in_words(row.sent_on)}.")
    if against_filing(row.claim):
        reasons.append(against_filing(row.claim))
    if row.received_on:
        reasons.append("Its delivery is already proven.")
    if not step.proof:
        reasons.append("Enter the proof: who signed, or what reply was received.")
    return reasons


def _tell(row: Supplement, step: Step, kind: str, data: dict[str, object]) -> None:
    claim = row.claim
    count_deadlines(shipment=claim.shipment, at=step.at, person=step.person)
    post_step(claim, step)
    record_event(
        kind=kind,
        at=step.at,
        actor=step.person,
        location=claim.location,
        subjects=[claim.shipment, claim],
        data={
            "number": claim.number,
            "supplement": row.number,
            "on": step.on.isoformat() if step.on else "",
            **data,
        },
    )
