"""Giving a missing document to a person, or taking it over. Each is a new row."""

from dataclasses import dataclass
from datetime import date

from django.db import transaction

from claims.actions.claim.decisions import PAPER_LABELS
from claims.actions.claim.steps import Step, locked, require_act
from claims.models import Claim, PaperTask
from claims.queries.claim.gaps import missing_keys
from claims.rules.claim.paper_tasks import against_day_to_come
from inventory.access import roles_at
from inventory.actions.core.events import record_event
from inventory.actions.core.versions import RefusedError
from inventory.models import User
from inventory.rules.core.text import mid_sentence


@dataclass(frozen=True)
class Given:
    """A document given to a person, with the day to have it by."""

    paper: str
    owner: User
    by_day: date


def give_paper(*, claim: Claim, given: Given, step: Step) -> PaperTask:
    """Give a missing document to a person who works at the claim's location.

    It counts from then; what was said before stays. ``step.reason`` is the note.
    Raise RefusedError with every reason against it, and for an unknown document.
    """
    if given.paper not in PAPER_LABELS:
        raise RefusedError("There is no such document. Nothing was saved.")
    with transaction.atomic():
        row = locked(claim)
        require_act(row, "give-paper", step)
        _require_missing(row, given.paper)
        _require_colleague(row, given.owner)
        against = against_day_to_come(given.by_day, step.today)
        if against:
            raise RefusedError(against)
        before = row.paper_tasks.filter(paper=given.paper).order_by("pk").last()
        task = PaperTask.objects.create(
            claim=row,
            paper=given.paper,
            owner=given.owner,
            by_day=given.by_day,
            note=step.reason,
            given_at=step.at,
            given_by=step.person,
        )
        is_taken = before is not None and given.owner.pk == step.person.pk
        record_event(
            kind="claim.paper-taken" if is_taken else "claim.paper-given",
            at=step.at,
            actor=step.person,
            location=row.location,
            subjects=[row.shipment, row],
            data={
                "number": row.number,
                "paper": mid_sentence(PAPER_LABELS[given.paper]),
                "name": str(given.owner),
                "due": given.by_day.isoformat(),
                "reason": step.reason,
            },
        )
    return task


def _require_missing(claim: Claim, paper: str) -> None:
    if paper in missing_keys([claim])[claim.pk]:
        return
    raise RefusedError(f"{against_getting(paper)} Nothing was saved.")


def against_getting(paper: str) -> str:
    """Return that nobody has to get this document."""
    return f"{PAPER_LABELS[paper]}: on file, or not needed. There is nothing to get."


def _require_colleague(claim: Claim, owner: User) -> None:
    if owner.is_active and roles_at(owner, claim.location_id):
        return
    raise RefusedError(
        f"{owner} does not work at {claim.location} any more. Nothing was saved. Choose "
        "somebody else."
    )
