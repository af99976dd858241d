"""Deciding on a line that is not right: adjustment, damage, or ask."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from claims.actions.bench.findings import record_finding
from claims.actions.bench.inspections import Subject
from claims.actions.bench.setups import line_of, locked_page, record_setup
from claims.actions.bench.words import FindingWords
from claims.models import Finding, LineDecision, SetupReading
from claims.queries.bench.setup_lines import LineRead
from claims.rules.bench.decisions import DECISIONS, why_not_decide
from claims.rules.bench.entries import readings_from, readings_words
from inventory.actions.core.versions import RefusedError
from inventory.models import Evidence, Unit, User
from inventory.rules.reckoning.calendars import in_words


def decide_line(
    *,
    person: User,
    at: datetime,
    unit: Unit,
    line: str,
    decision: str,
    reason: str = "",
    words: FindingWords | None = None,
    photos: Sequence[Evidence] = (),
) -> LineDecision:
    """Decide on a line that is not right: adjustment, damage, or ask.

    Damage becomes a finding with ``words``, the photos of this line and ``photos``. Both readings
    stay, and an adjustment may prove to be damage later. Raise RefusedError where it
    cannot be decided so.
    """
    with transaction.atomic():
        page = locked_page(unit, even_on_hold=decision != "adjustment")
        read = line_of(page, line)
        last, first = read.last, read.first
        if last is None or first is None:
            raise RefusedError("This line was not inspected yet. Nothing was saved.")
        _refuse_decision(read, last, decision)
        finding = None
        if decision == "damage":
            finding = _find(read, unit, words, photos, person=person, at=at)
        row = LineDecision.objects.create(
            reading=last,
            decision=decision,
            finding=finding,
            reason=reason,
            decided_at=at,
            decided_by=person,
        )
        data = {
            "line": read.line.label,
            "decision": DECISIONS[decision].lower(),
            "reason": reason,
        }
        more = [finding] if finding else []
        record_setup(
            "setup.line-decided", page.setup, *more, person=person, at=at, data=data
        )
        return row


def facts_of(read: LineRead) -> str:
    """Return the facts of a finding from this line: its first and its last reading."""
    rows = [row for row in (read.first, read.last) if row is not None]
    found = []
    for row, when in zip(
        dict.fromkeys(rows), ("As found", "Measured again"), strict=False
    ):
        said = [readings_words(readings_from(row.readings)), row.note or row.sentence]
        told = ". ".join(part.strip().rstrip(".") for part in said if part.strip())
        found.append(f"{when}, {in_words(row.taken_on)}: {told or 'not right'}.")
    return f"{read.line.label}. {' '.join(found)}"


def _refuse_decision(read: LineRead, last: SetupReading, decision: str) -> None:
    before = read.decision
    refusal = why_not_decide(
        decision=decision,
        is_right=last.result != "wrong",
        has_reading=any(row.readings or row.note for row in read.readings),
        photos=sum(len(row.photos.all()) for row in read.readings),
        last=before.decision if before else "",
    )
    if refusal:
        raise RefusedError(refusal)


def _find(
    read: LineRead,
    unit: Unit,
    words: FindingWords | None,
    photos: Sequence[Evidence],
    *,
    person: User,
    at: datetime,
) -> Finding:
    if words is None:
        raise RefusedError("Enter the damage first. Nothing was saved.")
    own = [photo for row in read.readings for photo in row.photos.all()]
    return record_finding(
        person=person,
        at=at,
        subject=Subject(unit.shipment, unit=unit),
        stage="set-up",
        words=words,
        photos=list(dict.fromkeys([*own, *photos])),
    )
