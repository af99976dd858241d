"""The working file of a claim: clocks, gaps, confidence and history, for us alone."""

from collections.abc import Sequence
from datetime import date

from django.db.models import Model

from claims.models import Claim, Deadline
from claims.queries.claim.proof import claimant_of, proof_of
from claims.queries.deadlines.clocks import Clock, clocks_of
from claims.queries.packet.findings import damage_words, stood_crates
from claims.queries.packet.gathered import Gathered, gather
from claims.queries.packet.gathering import ready_facts
from claims.queries.packet.text import amount_text, day_text, joined, step_texts
from claims.rules.claim.claimant import ClaimantVerdict
from claims.rules.claim.closing import ClaimSheet
from claims.rules.claim.proof import Proof
from claims.rules.packet.arguments import ArgumentFacts, opposing_arguments
from claims.rules.packet.content import Paper, Row
from claims.rules.packet.readiness import what_blocks, what_warns
from claims.rules.packet.working import (
    ArgumentSheet,
    DeadlineEntry,
    ProofPaper,
    Reasoning,
    Ruler,
    StoryEvent,
    WorkingContent,
)
from inventory.models import Location
from inventory.queries.core.history import story_of
from inventory.queries.evidence.photos import events_of_withheld
from inventory.rules.core.event_kinds import MONEY_KINDS
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.moments import dock_time


def working_content(claim: Claim, *, as_of: date) -> WorkingContent:
    """Return everything about the claim that is ours alone, on this day.

    Raise DamagesError where the lines contradict each other.
    """
    row = _joined(claim)
    gathered = gather(row, person=row.made_by, as_of=as_of)
    if gathered is None:
        return _head(row, as_of)
    proof = proof_of(row, list(gathered.lines), list(gathered.files))
    facts = ready_facts(gathered)
    clocks = clocks_of(Deadline.objects.filter(shipment=row.shipment), as_of)
    about: list[Model] = [row, row.shipment, *gathered.deliveries]
    sheet = gathered.sheet
    return _head(
        row,
        as_of,
        amount=amount_text(sheet.demanded_cents, row.currency),
        blocks=what_blocks(facts),
        gaps=what_warns(facts),
        reasoning=_reasoning(claimant_of(row.shipment)),
        papers=_papers(proof),
        elements=tuple(
            Row(one.label, "Shown" if one.holds else " ".join(one.to_do))
            for one in proof.elements
        ),
        deadlines=tuple(_deadline(clock) for clock in clocks),
        limits=step_texts(sheet.limits, row.currency),
        limit_words=_limit_words(sheet),
        changes=_changes(gathered),
        opinions=_opinions(gathered),
        receipts=tuple(
            Row(
                day_text(one.delivery.arrived_on),
                joined(one.ending_words, one.get_carrier_image_display()),
            )
            for one in gathered.handovers
        ),
        chronology=_chronology(about, row.location),
    )


def _limit_words(sheet: ClaimSheet) -> str:
    """Return the limit with its authority; the words only where no step has them."""
    words = sheet.limit_words
    if any(words.rstrip(".") in step.text for step in sheet.limits):
        words = ""
    return " ".join(part for part in (words, sheet.limit_authority) if part)


def _head(claim: Claim, as_of: date, **more: object) -> WorkingContent:
    """Return the content with nothing but its head, and what is given."""
    values: dict[str, object] = {
        "amount": "No amount yet",
        "blocks": ("The claim has no lines. Add a finding first.",),
        "reasoning": _reasoning(claimant_of(claim.shipment)),
        "limit_words": "",
        **dict.fromkeys(
            (
                *("gaps", "papers", "elements", "deadlines", "limits"),
                *("changes", "opinions", "receipts", "chronology"),
            ),
            (),
        ),
    }
    return WorkingContent(
        claim_number=claim.number,
        location=claim.location.name,
        carrier=claim.shipment.carrier.name,
        pro=claim.shipment.paper_number,
        as_of=in_words(as_of),
        made_on=as_of.isoformat(),
        paper=_paper(claim),
        **{**values, **more},  # type: ignore[arg-type]
    )


def argument_sheet(claim: Claim, *, as_of: date) -> ArgumentSheet | None:
    """Return the opposing arguments; None where no counsel is on record."""
    row = _joined(claim)
    if not (row.counsel_name and row.counsel_asked_on):
        return None
    gathered = gather(row, person=row.made_by, as_of=as_of)
    found = opposing_arguments(_against(gathered)) if gathered else ()
    return ArgumentSheet(
        claim_number=row.number,
        location=row.location.name,
        carrier=row.shipment.carrier.name,
        pro=row.shipment.paper_number,
        counsel=row.counsel_name,
        asked_on=in_words(row.counsel_asked_on),
        as_of=in_words(as_of),
        made_on=as_of.isoformat(),
        paper=_paper(row),
        arguments=found,
    )


def _joined(claim: Claim) -> Claim:
    rows = Claim.objects.select_related(
        "location",
        "shipment__carrier",
        "shipment__supplier",
        "shipment__location",
        "made_by",
    )
    return rows.get(pk=claim.pk)


def _paper(claim: Claim) -> Paper:
    return "a4" if claim.location.paper == "a4" else "letter"


def _changes(gathered: Gathered) -> tuple[Row, ...]:
    return tuple(
        Row(
            f"Line {line.number}",
            f"Calculated {amount_text(own.worked_cents, gathered.claim.currency)}, "
            f"claimed {amount_text(own.claimed_cents, gathered.claim.currency)}. "
            f"{own.note}",
        )
        for line, own in zip(gathered.lines, gathered.sheet.lines, strict=True)
        if own.note
    )


def _opinions(gathered: Gathered) -> tuple[Row, ...]:
    return tuple(
        Row(
            damage_words(row)[:120], f"{row.get_cause_display()}. {row.opinion}".strip()
        )
        for row in gathered.findings
    )


def _against(gathered: Gathered) -> ArgumentFacts:
    claim, shipment = gathered.claim, gathered.claim.shipment
    proof = proof_of(claim, list(gathered.lines), list(gathered.files))
    delivered = min((row.arrived_on for row in gathered.deliveries), default=None)
    noticed = [row.sent_on for row in gathered.notices if row.sent_on]
    causes = {row.cause for row in gathered.findings}
    inspected = any(
        row.kind in {"inspection-report", "inspection-waiver"} for row in gathered.files
    )
    per_lb = shipment.released_value_cents_per_lb
    return ArgumentFacts(
        clear_receipt="No exceptions were written."
        if not any(row.words_full for row in gathered.handovers)
        else "",
        pod_differs="The POD compared by us lacks our exceptions."
        if any(row.carrier_image == "words-missing" for row in gathered.handovers)
        else "",
        late_notice=f"Delivered {in_words(delivered)}, first notice sent "
        f"{in_words(noticed[0])}."
        if delivered and noticed and (noticed[0] - delivered).days > 5
        else "",
        stood="; ".join(str(crate) for crate in stood_crates(gathered)),
        packing="A finding names the packing." if "packing" in causes else "",
        our_handling="A finding names our handling."
        if "our-handling" in causes
        else "",
        no_inspection="" if inspected else "No inspection and no waiver are on file.",
        limit=f"Released value {amount_text(per_lb, shipment.currency)} a pound."
        if per_lb
        else gathered.sheet.limit_words,
        own_unloading="Our people unloaded."
        if any(row.unloaded_by in {"us", "both"} for row in gathered.deliveries)
        else "",
        missing_papers=", ".join(paper.label for paper in proof.missing),
        shippers_count="Recorded on the truck."
        if any(row.shippers_count for row in gathered.deliveries)
        else "",
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
        reasons=tuple(reason.text for reason in verdict.reasons),
        authorities=tuple(
            f"{reason.authority} ({reason.confidence})"
            if reason.confidence
            else reason.authority
            for reason in verdict.reasons
            if reason.authority
        ),
        doubts=verdict.doubts,
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


def _chronology(about: Sequence[Model], location: Location) -> tuple[StoryEvent, ...]:
    """Return what happened, in the order of time; what was recorded late in its place."""
    hidden = events_of_withheld(location)
    items = story_of(about, location, leave_out=MONEY_KINDS)
    return tuple(
        StoryEvent(
            when=dock_time(item.at, item.zone, None),
            what=" ".join(part for part in (item.sentence, item.detail) if part),
            by=item.who,
        )
        for item in sorted(items, key=lambda item: (item.at, item.sequence))
        if item.sequence not in hidden
    )
