"""The content of a claim's page, read in a fixed number of queries."""

from dataclasses import dataclass
from datetime import date

from django.db.models import BooleanField, ExpressionWrapper, Q

from claims.models import Claim, ClaimLine, Deadline, Notice, Packet, Supplement
from claims.queries.claim.proof import claimant_of, evidence_of, proof_of
from claims.queries.claim.worksheet import counted_lines, sheet_of
from claims.queries.core.claim_facts import claim_facts
from claims.queries.core.facts import (
    Labor,
    estimate_of,
    labor_of,
    was_sent,
)
from claims.queries.deadlines.clocks import Clock, clocks_of
from claims.rules.claim.claimant import ClaimantVerdict
from claims.rules.claim.closing import ClaimSheet, SheetLine
from claims.rules.claim.life import LIFE
from claims.rules.claim.proof import Proof
from claims.rules.damages.facts import DamagesError
from claims.rules.damages.outcomes import NOT_REPAIRED
from inventory.models import Delivery, Evidence
from inventory.queries.core.history import StoryItem, story_of

_HAS_LIST = Q(content__contains='"manifest":{')


@dataclass(frozen=True)
class PageLine:
    """One line with its steps; ``sheet`` is None for a removed one.

    ``labor`` is the time in its repair, ``estimate_cents`` the estimate as it is now
    where that is no longer what the line was made of.
    """

    line: ClaimLine
    sheet: SheetLine | None
    is_sent: bool
    labor: Labor | None
    estimate_cents: int | None


@dataclass(frozen=True)
class ClaimPage:
    """A claim with everything on its page. Money in cents of the claim's currency."""

    claim: Claim
    lines: tuple[PageLine, ...]
    sheet: ClaimSheet | None
    trouble: str
    clocks: tuple[Clock, ...]
    verdict: ClaimantVerdict
    proof: Proof
    files: tuple[Evidence, ...]
    supplements: tuple[Supplement, ...]
    notices: tuple[Notice, ...]
    deliveries: tuple[Delivery, ...]
    packets: tuple[Packet, ...]
    story: tuple[StoryItem, ...]
    lead: str
    acts: tuple[str, ...]
    against_sending: tuple[str, ...]

    @property
    def running(self) -> list[Clock]:
        """Return the deadlines that still run."""
        return [clock for clock in self.clocks if clock.is_running]

    @property
    def done(self) -> list[Clock]:
        """Return the deadlines that are met."""
        return [clock for clock in self.clocks if not clock.is_running]


def claim_page(claim: Claim, today: date) -> ClaimPage:
    """Read a claim's page.

    ``claim`` comes with its shipment, and that with carrier, supplier and location.
    """
    counted = counted_lines(claim)
    sheet, trouble = _sheet(claim, counted)
    files = evidence_of(claim.shipment)
    proof = proof_of(claim, counted, files)
    deliveries = tuple(Delivery.bringing(claim.shipment).order_by("arrived_at", "pk"))
    facts = claim_facts(claim, today=today, on=today, missing=len(proof.missing))
    return ClaimPage(
        claim=claim,
        lines=_page_lines(claim, sheet),
        sheet=sheet,
        trouble=trouble,
        clocks=tuple(
            clocks_of(Deadline.objects.filter(shipment=claim.shipment), today)
        ),
        verdict=claimant_of(claim.shipment),
        proof=proof,
        files=tuple(files),
        supplements=tuple(claim.supplement_rows.order_by("number")),
        notices=tuple(
            Notice.objects.filter(shipment=claim.shipment).order_by("written_at", "pk")
        ),
        deliveries=deliveries,
        packets=tuple(
            claim.packets.select_related("made_by")
            .annotate(has_list=ExpressionWrapper(_HAS_LIST, BooleanField()))
            .defer("content")
            .order_by("-packet_version")
        ),
        story=tuple(story_of([claim], claim.location, leave_out=())),
        lead=LIFE.lead(claim.state, facts),
        acts=LIFE.acts_from(claim.state),
        against_sending=LIFE.decide(claim.state, "send", facts).reasons
        if claim.state == LIFE.first
        else (),
    )


def _sheet(claim: Claim, lines: list[ClaimLine]) -> tuple[ClaimSheet | None, str]:
    try:
        return sheet_of(claim, lines), ""
    except DamagesError as error:
        return None, str(error)


def _page_lines(claim: Claim, sheet: ClaimSheet | None) -> tuple[PageLine, ...]:
    by_number = {row.number: row for row in sheet.lines} if sheet else {}
    rows = (
        claim.lines.select_related("finding", "unit", "claim")
        .prefetch_related("claim__supplement_rows", "finding__booked", "finding__parts")
        .order_by("supplement", "number")
    )
    rate = claim.location.shop_rate_cents
    return tuple(
        PageLine(
            line=row,
            sheet=None if row.struck_reason else by_number.get(row.number),
            is_sent=was_sent(row),
            labor=labor_of(row.finding, rate) if _is_repaired(row) else None,
            estimate_cents=_changed_estimate(row, rate),
        )
        for row in rows
    )


def _is_repaired(row: ClaimLine) -> bool:
    return row.outcome not in NOT_REPAIRED and not row.struck_reason


def _changed_estimate(row: ClaimLine, rate: int) -> int | None:
    is_over = row.claim.state in LIFE.final
    if row.finding is None or is_over or not _is_repaired(row):
        return None
    now = estimate_of(row.finding, rate).total_cents
    return None if now == row.repair_cents else now
