"""The content of a claim's page, read in a fixed number of queries."""

from dataclasses import dataclass
from datetime import date

from django.db.models import BooleanField, ExpressionWrapper, Q, QuerySet

from claims.models import (
    Claim,
    ClaimLetter,
    ClaimLine,
    ClaimPayment,
    ClaimStep,
    Deadline,
    Notice,
    Packet,
    Supplement,
)
from claims.queries.claim.progress import Station, next_clock, stations
from claims.queries.claim.proof import claimant_of, evidence_of, proof_of
from claims.queries.claim.worksheet import counted_lines, sheet_of
from claims.queries.core.claim_facts import claim_facts
from claims.queries.core.facts import (
    Labor,
    estimate_of,
    labor_of,
    was_sent,
)
from claims.queries.core.payments import claim_money, payment_facts
from claims.queries.core.waiting import due_words, last_claim_day
from claims.queries.deadlines.clocks import Clock, clocks_of
from claims.rules.claim.claimant import ClaimantVerdict
from claims.rules.claim.closing import ClaimSheet, SheetLine
from claims.rules.claim.life import LIFE
from claims.rules.claim.life_facts import close_as_agreed, close_paid
from claims.rules.claim.payments import STATE_WORDS, Money, Payment
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
class PaymentRow:
    """One payment with what the rules say of it."""

    row: ClaimPayment
    facts: Payment

    @property
    def words(self) -> str:
        """Return the words of its state."""
        return STATE_WORDS[self.facts.state]


@dataclass(frozen=True)
class ClaimPage:
    """A claim with everything on its page. Money in cents of the claim's currency.

    ``is_paid`` means that all that was claimed, or all that was agreed, is paid.
    ``letter_due`` says which letter is due, or nothing.
    """

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
    letters: tuple[ClaimLetter, ...]
    deliveries: tuple[Delivery, ...]
    packets: tuple[Packet, ...]
    story: tuple[StoryItem, ...]
    money: Money
    payments: tuple[PaymentRow, ...]
    steps: tuple[ClaimStep, ...]
    stations: tuple[Station, ...]
    lead: str
    letter_due: str
    is_paid: bool
    acts: tuple[str, ...]
    against_sending: tuple[str, ...]

    @property
    def is_over(self) -> bool:
        """Return whether nothing has to follow."""
        return self.claim.state in LIFE.final

    @property
    def first(self) -> Clock | None:
        """Return the clock of the first screen."""
        return next_clock(self.clocks)

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

    ``claim`` comes with its shipment, and that with carrier, supplier and location;
    its letters are loaded, its payments as by ``payments_prefetch``.
    """
    counted = counted_lines(claim)
    sheet, trouble = _sheet(claim, counted)
    files = evidence_of(claim.shipment)
    proof = proof_of(claim, counted, files)
    deliveries = tuple(Delivery.bringing(claim.shipment).order_by("arrived_at", "pk"))
    clocks = tuple(clocks_of(_deadlines(claim), today))
    claim_by = last_claim_day((row.duty, row.safe) for row in clocks if row.is_running)
    facts = claim_facts(
        claim,
        today=today,
        on=today,
        missing=len(proof.missing),
        letter_due=due_words(claim, claim_by=claim_by, today=today),
    )
    payments = tuple(
        PaymentRow(row, payment_facts(row)) for row in claim.payments.all()
    )
    money = claim_money(claim)
    notices = tuple(
        Notice.objects.filter(shipment=claim.shipment).order_by("written_at", "pk")
    )
    steps = tuple(
        claim.steps.select_related("recorded_by", "payment")
        .prefetch_related("files")
        .order_by("pk")
    )
    return ClaimPage(
        claim=claim,
        lines=_page_lines(claim, sheet),
        sheet=sheet,
        trouble=trouble,
        clocks=clocks,
        verdict=claimant_of(claim.shipment),
        proof=proof,
        files=tuple(files),
        supplements=tuple(claim.supplement_rows.order_by("number")),
        notices=notices,
        letters=tuple(sorted(claim.letters.all(), key=lambda row: -row.number)),
        deliveries=deliveries,
        packets=tuple(
            claim.packets.select_related("made_by")
            .prefetch_related("lighter_files")
            .annotate(has_list=ExpressionWrapper(_HAS_LIST, BooleanField()))
            .defer("content")
            .order_by("-packet_version")
        ),
        story=tuple(story_of([claim], claim.location, leave_out=())),
        money=money,
        payments=payments,
        steps=steps,
        stations=stations(claim, notices, steps, money),
        lead=LIFE.lead(claim.state, facts),
        letter_due="" if claim.state in LIFE.final else facts.letter_due,
        is_paid=bool(close_paid(facts) or close_as_agreed(facts)),
        acts=LIFE.acts_from(claim.state, facts),
        against_sending=LIFE.decide(claim.state, "send", facts).reasons
        if claim.state == LIFE.first
        else (),
    )


def _deadlines(claim: Claim) -> QuerySet[Deadline]:
    """Return the claim's own deadlines and, while it is open, its bill's notices."""
    rows = Deadline.objects.filter(shipment=claim.shipment)
    if claim.state in LIFE.final:
        return rows.filter(claim=claim)
    return rows.filter(Q(claim=claim) | Q(claim=None) & ~Q(duty__in=("claim", "suit")))


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
