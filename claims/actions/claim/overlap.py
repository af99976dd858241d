"""One loss, released once: who else was notified or has paid, and the guard that asks."""

from django.db import transaction

from claims.actions.claim.steps import Step, locked
from claims.models import Claim, OverlapAnswer
from claims.queries.claim.overlap import overlap_of
from claims.queries.claim.worksheet import counted_lines
from claims.rules.claim.life import LIFE
from claims.rules.letters import overlap as rules
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError
from inventory.rules.core.text import mid_sentence
from inventory.rules.reckoning.money import format_cents


def require_release(claim: Claim, cents: int) -> None:
    """Raise RefusedError where this much cannot be accepted on the claim.

    ``claim`` is locked.
    """
    facts = overlap_of(claim, counted_lines(claim))
    reasons = rules.against_release(facts) or (
        rules.against_agreement(facts, cents) or rules.against_amount(facts, cents),
    )
    if any(reasons):
        raise RefusedError(" ".join((*reasons, "Nothing was changed.")))


def require_free_right(claim: Claim) -> None:
    """Raise RefusedError where what is known already forbids to release the claim.

    Nobody is asked here: the money has come. ``claim`` is locked.
    """
    facts = overlap_of(claim, counted_lines(claim))
    reasons = [one for one in rules.against_release(facts) if one != rules.ASK]
    if reasons:
        raise RefusedError(" ".join((*reasons, "Nothing was changed.")))


def answer_overlap(
    *, claim: Claim, said: rules.OverlapAnswer, step: Step
) -> OverlapAnswer:
    """Record who else was notified of the loss, or has paid for it.

    Raise RefusedError on a claim that is closed.
    """
    with transaction.atomic():
        row = locked(claim)
        if row.state in LIFE.final:
            raise RefusedError("The claim is closed. Nothing was saved.")
        return lay_answer(row, said, step)


def lay_answer(claim: Claim, said: rules.OverlapAnswer, step: Step) -> OverlapAnswer:
    """Lay down the answer with its event, in the caller's transaction."""
    row = OverlapAnswer.objects.create(
        claim=claim,
        insurer=said.insurer,
        insurer_name=said.insurer_name,
        insurer_cents=said.insurer_cents,
        holds_right=said.holds_right,
        supplier_cents=said.supplier_cents,
        note=step.reason,
        answered_at=step.at,
        answered_by=step.person,
    )
    record_event(
        kind="claim.overlap",
        at=step.at,
        actor=step.person,
        location=claim.location,
        subjects=[claim.shipment, claim],
        data={
            "number": claim.number,
            "insurer": _insurer(said, claim.currency),
            "supplier": _supplier(said, claim.currency),
            "reason": step.reason,
        },
    )
    return row


def _insurer(said: rules.OverlapAnswer, currency: str) -> str:
    words = mid_sentence(rules.INSURER[said.insurer])
    if said.insurer == "no":
        return words
    named = f"{words}: {said.insurer_name}"
    if said.insurer == "told":
        return named
    right = "holds the right" if said.holds_right else "not named as holding the right"
    paid = format_cents(said.insurer_cents, currency, code=True)
    return f"{named}, {paid}, {right}"


def _supplier(said: rules.OverlapAnswer, currency: str) -> str:
    if not said.supplier_cents:
        return "nothing credited by the supplier"
    return f"{format_cents(said.supplier_cents, currency, code=True)} credited by the supplier"
