"""A claim's rows gathered into the frozen content of a claim file."""

from collections.abc import Sequence
from datetime import date

from django.db.models import Model

from claims.models import Claim, Deadline
from claims.queries.claim.proof import claimant_of, evidence_of, proof_of
from claims.queries.claim.worksheet import counted_lines, sheet_of
from claims.queries.deadlines.clocks import Clock, clocks_of
from claims.queries.packet.manifest import manifest_of
from claims.queries.packet.photos import (
    evidence_entries,
    finding_entries,
    findings_of,
    receipt_entries,
)
from claims.queries.packet.schedule import schedule_of
from claims.queries.packet.statement import statement_of
from claims.queries.packet.text import day_text
from claims.rules.claim.claimant import ClaimantVerdict
from claims.rules.claim.proof import Proof
from claims.rules.packet.content import (
    DeadlineEntry,
    EventTree,
    PacketContent,
    ProofPaper,
    Reasoning,
    Ruler,
    StoryEvent,
)
from inventory.evidence.seal.register import TreeState
from inventory.models import Delivery, Location, User
from inventory.queries.core.history import story_of
from inventory.queries.evidence.photos import events_of_withheld
from inventory.rules.core.event_kinds import MONEY_KINDS
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.moments import dock_time


def packet_content(
    claim: Claim,
    *,
    version: int,
    as_of: date,
    tree: TreeState,
    person: User,
    checker: str,
) -> PacketContent | None:
    """Return the claim file's current content; None for a claim without lines.

    ``claim`` comes with its shipment, and that with carrier, supplier and location;
    ``checker`` is the program that goes out with the list of originals. Raise
    DamagesError where the lines contradict each other.
    """
    lines = counted_lines(claim)
    sheet = sheet_of(claim, lines)
    if sheet is None:
        return None
    shipment, location = claim.shipment, claim.location
    files = evidence_of(shipment)
    deliveries = list(Delivery.bringing(shipment).order_by("arrived_at", "pk"))
    about: list[Model] = [claim, shipment, *deliveries]
    # What we owe the supplier does not concern the carrier.
    duties = Deadline.objects.filter(shipment=shipment)
    clocks = clocks_of(duties.exclude(duty__startswith="supplier-"), as_of)
    return PacketContent(
        title=f"Claim {claim.number}",
        version=str(version),
        as_of=in_words(as_of),
        paper="a4" if location.paper == "a4" else "letter",
        statement=statement_of(
            claim, lines, sheet, deliveries=deliveries, as_of=as_of, person=person
        ),
        schedule=schedule_of(claim, lines, sheet),
        findings=finding_entries(findings_of(lines), location, claim.currency),
        exceptions=receipt_entries(shipment, files),
        deadlines=tuple(_deadline(clock) for clock in clocks),
        reasoning=_reasoning(claimant_of(shipment)),
        papers=_papers(proof_of(claim, lines, files)),
        chronology=_chronology(about, location),
        evidence=evidence_entries(files, location),
        tree=EventTree(size=f"{tree.size:,}", root=tree.root),
        manifest=manifest_of(files, tree) if files else None,
        checker=checker if files else "",
    )


def _deadline(clock: Clock) -> DeadlineEntry:
    own = [
        f"Our own date, set by {row.decided_by}: {in_words(row.due)}. {row.reason}"
        for row in clock.overrides
    ]
    where = f" ({clock.where})" if clock.where else ""
    return DeadlineEntry(
        duty=f"{clock.label}{where}",
        owed_by=clock.owed_by,
        due=in_words(clock.due),
        safe=in_words(clock.safe),
        status=_status(clock),
        steps=(*clock.steps, *clock.notes, *own),
        authority=clock.authority,
        confidence=clock.confidence,
        effect=clock.effect,
        ruler=_ruler(clock),
    )


def _status(clock: Clock) -> str:
    if clock.met_on:
        return f"met {day_text(clock.met_on)}"
    if clock.today > clock.due:
        return f"passed {in_words(clock.due)}"
    return "running"


def _ruler(clock: Clock) -> Ruler | None:
    start = clock.starts_on
    if start is None or clock.due <= start:
        return None
    whole = max((clock.due - start).days, (clock.today - start).days)

    def place(day: date) -> int:
        return min(max((day - start).days * 1000 // whole, 0), 1000)

    return Ruler(
        start=in_words(start),
        safe_at=place(clock.safe),
        due_at=place(clock.due),
        as_of_at=None if clock.met_on else place(clock.today),
    )


def _reasoning(verdict: ClaimantVerdict) -> Reasoning:
    return Reasoning(
        answer=verdict.summary,
        reasons=(*(reason.text for reason in verdict.reasons), *verdict.doubts),
        authorities=tuple(
            f"{reason.authority} ({reason.confidence})"
            if reason.confidence
            else reason.authority
            for reason in verdict.reasons
            if reason.authority
        ),
    )


def _papers(proof: Proof) -> tuple[ProofPaper, ...]:
    return tuple(
        ProofPaper(
            name=paper.label,
            state=paper.state,  # type: ignore[arg-type]
            who_gets_it="" if paper.state == "present" else paper.who,
            note=paper.to_do or ("" if paper.state == "present" else paper.why),
        )
        for paper in proof.papers
    )


_OUR_OWN = (
    "packet.made",
    "evidence.withheld",
    "evidence.shown-again",
    "return.",
    "crate.staged",
    "crate.taken-off",
    "crate.lost",
    "crate.scrapped",
    "packaging.stopped",
    *MONEY_KINDS,
)
"""Prefixes of the kinds that do not concern the carrier."""


def _chronology(about: Sequence[Model], location: Location) -> tuple[StoryEvent, ...]:
    hidden = events_of_withheld(location)
    items = story_of(about, location, leave_out=_OUR_OWN)
    return tuple(
        StoryEvent(
            when=dock_time(item.at, item.zone, None),
            what=" ".join(part for part in (item.sentence, item.detail) if part),
            by=item.who,
        )
        for item in items
        if item.sequence not in hidden
    )
