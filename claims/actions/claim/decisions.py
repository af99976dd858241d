"""The manager's decisions on a claim's documents. Each decision is a new row."""

from django.db import transaction

from claims.actions.claim.steps import Step, locked, require_act
from claims.models import Claim, PaperDecision
from claims.rules.claim.papers import PAPERS
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError
from inventory.rules.core.text import mid_sentence

PAPER_LABELS = {paper.key: paper.label for paper in PAPERS}


def decide_paper(*, claim: Claim, paper: str, step: Step) -> PaperDecision:
    """Mark a document as not needed for this claim, with the reason.

    Raise RefusedError with every reason against it, and for an unknown document.
    """
    if paper not in PAPER_LABELS:
        raise RefusedError("There is no such document. Nothing was saved.")
    with transaction.atomic():
        row = locked(claim)
        require_act(row, "decide-paper", step)
        decision = PaperDecision.objects.create(
            claim=row,
            paper=paper,
            reason=step.reason,
            decided_at=step.at,
            decided_by=step.person,
        )
        record_event(
            kind="claim.paper-decided",
            at=step.at,
            actor=step.person,
            location=row.location,
            subjects=[row.shipment, row],
            data={
                "number": row.number,
                "paper": mid_sentence(PAPER_LABELS[paper]),
                "reason": step.reason,
            },
        )
    return decision
