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
from claims.queries.claim.open_claim import open_claim
from claims.queries.claim.page_lines import PageLine, page_lines
from claims.queries.claim.progress import (
    Sent,
    Station,
    next_clock,
    sent_and_received,
    stations,
)
from claims.queries.claim.proof import claimant_of, evidence_of, proof_of
from claims.queries.claim.way_home import crate_words, paid_twice_words
from claims.queries.claim.worksheet import counted_lines, sheet_of
from claims.queries.core.claim_facts import claim_facts
from claims.queries.core.parties import against_filing
from claims.queries.core.payments import claim_money, payment_facts
from claims.queries.core.waiting import due_letter, last_claim_day
from claims.queries.deadlines.clocks import Clock, clocks_of
from claims.rules.claim.claimant import ClaimantVerdict
from claims.rules.claim.closing import ClaimSheet
from claims.rules.claim.ladder import Ladder
from claims.rules.claim.life import ACCEPTED, COUNTERED, LIFE, OFFERED, SENT
from claims.rules.claim.life_facts import ClaimFacts, close_as_agreed, close_paid
from claims.rules.claim.next_acts import NextAct, awaits, first_of, next_acts
from claims.rules.claim.payments import COUNTED, STATE_WORDS, Money, Payment
from claims.rules.claim.proof import PRESENT, Proof
from claims.rules.claim.term import Term
from claims.rules.damages.facts import DamagesError
from inventory.models import Delivery, Evidence
from inventory.queries.core.history import StoryItem, story_of
from inventory.queries.mail.outbox import mark_come_back

ON_THE_TABLE = frozenset({OFFERED, COUNTERED, ACCEPTED})
_HAS_LIST = Q(content__contains='"manifest":{')


@dataclass(frozen=True)
class PaymentRow:
    """One payment with what the rules say of it, and the balance after it."""

    row: ClaimPayment
    facts: Payment
    balance_cents: int

    @property
    def words(self) -> str:
        """Return the words of its state."""
        return STATE_WORDS[self.facts.state]


@dataclass(frozen=True)
class ClaimPage:
    """A claim with everything on its page. Money in cents of the claim's currency.

    ``is_paid`` means that all that was claimed, or all that was agreed, is paid.
    ``credited`` says what the supplier credited of crates lost on the way home.
    ``letter_due`` says which letter is due, or nothing.
    """

    claim: Claim
    today: date
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
    sent: tuple[Sent, ...]
    stations: tuple[Station, ...]
    ladder: Ladder
    next: NextAct | None
    lead: str
    letter_due: str
    is_paid: bool
    acts: tuple[str, ...]
    against_sending: tuple[str, ...]
    credited: str = ""

    @property
    def is_over(self) -> bool:
        """Return whether nothing has to follow."""
        return self.claim.state in LIFE.final

    @property
    def first(self) -> Clock | None:
        """Return the clock of the first screen: what its state waits for, else the next."""
        state = SENT if against_filing(self.claim) else self.claim.state
        own = [one for one in self.running if awaits(state, one.duty)]
        return next_clock(own or self.running)

    @property
    def tone(self) -> str:
        """Return late, running or calm, by what is ours to do."""
        if self.next:
            left = (self.next.day - self.today).days
            return "late" if left < 0 else "calm" if left else "running"
        is_ours = self.first is not None and self.first.owed_by == "us"
        return self.first.state if self.first and is_ours else "calm"

    @property
    def ruler(self) -> Term | None:
        """Return the days of the first screen: an answer's own term, or its clock."""
        act, clock = self.next, self.first
        if act and act.since:
            return Term(act.since, None, act.day, self.today)
        if clock and clock.starts_on:
            safe = clock.safe if clock.owed_by == "us" else None
            return Term(clock.starts_on, safe, clock.due, self.today)
        return None

    @property
    def machines(self) -> str:
        """Return the machines or crates of its lines: the first, and how many more."""
        if crates := crate_words(row.line for row in self.lines):
            return crates
        units = {row.line.unit_id: row.line.unit for row in self.lines if row.line.unit}
        models = [unit.model for unit in units.values()]
        more = f", {len(models)} machines" if len(models) > 1 else ""
        return f"{models[0]}{more}" if models else ""

    @property
    def on_file(self) -> list[str]:
        """Return the documents that are there."""
        return [one.label for one in self.proof.papers if one.state == PRESENT]

    @property
    def needed(self) -> int:
        """Return how many documents the claim needs."""
        return len(self.on_file) + len(self.proof.missing)

    @property
    def latest(self) -> tuple[StoryItem, ...]:
        """Return the last few events, the latest first."""
        return self.story[:-5:-1]

    @property
    def others(self) -> list[Clock]:
        """Return the running deadlines that the first screen does not draw."""
        return [one for one in self.running if one != self.first]

    @property
    def running(self) -> list[Clock]:
        """Return the deadlines that still run; none of a claim that is over."""
        if self.is_over:
            return []
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
    letter = due_letter(claim, claim_by=claim_by, today=today)
    facts = claim_facts(
        claim,
        today=today,
        on=today,
        missing=len(proof.missing),
        letter_due=letter.words if letter else "",
    )
    money = claim_money(claim)
    letters = tuple(sorted(claim.letters.all(), key=lambda row: -row.number))
    supplements = tuple(claim.supplement_rows.order_by("number"))
    notices = tuple(
        Notice.objects.filter(shipment=claim.shipment).order_by("written_at", "pk")
    )
    steps = tuple(
        claim.steps.select_related("recorded_by", "payment")
        .prefetch_related("files")
        .order_by("pk")
    )
    mark_come_back([*notices, *letters])
    acts: list[NextAct] = []
    if claim.state in LIFE.live:
        missing = len(proof.missing)
        acts = next_acts(
            open_claim(claim, money, steps, letter=letter, missing=missing, today=today)
        )
    first = first_of(acts) if acts else None
    return ClaimPage(
        claim=claim,
        today=today,
        lines=page_lines(claim, sheet),
        sheet=sheet,
        trouble=trouble,
        clocks=clocks,
        verdict=claimant_of(claim.shipment),
        proof=proof,
        files=tuple(files),
        supplements=supplements,
        notices=notices,
        letters=letters,
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
        payments=_payments(claim, money),
        steps=steps,
        stations=stations(claim, notices, steps, money),
        sent=tuple(
            sent_and_received(
                claim,
                notices=notices,
                letters=letters,
                supplements=supplements,
                steps=steps,
            )
        ),
        ladder=Ladder(money.claimed_cents, money.paid_cents, _on_the_table(claim)),
        next=first,
        lead=first.by(today) if first else _lead(claim, facts),
        letter_due="" if claim.state in LIFE.final else facts.letter_due,
        is_paid=bool(close_paid(facts) or close_as_agreed(facts)),
        acts=LIFE.acts_from(claim.state, facts),
        against_sending=LIFE.decide(claim.state, "send", facts).reasons
        if claim.state == LIFE.first
        else (),
        credited=paid_twice_words(claim),
    )


def _lead(claim: Claim, facts: ClaimFacts) -> str:
    """Return what the page says where nothing is ours to do now."""
    if claim.state in LIFE.final:
        return LIFE.lead(claim.state, facts)
    return LIFE.next_step(claim.state, facts)


def _on_the_table(claim: Claim) -> int:
    """Return the carrier's offer while it is neither answered nor paid."""
    return claim.offered_cents or 0 if claim.state in ON_THE_TABLE else 0


def _payments(claim: Claim, money: Money) -> tuple[PaymentRow, ...]:
    found: list[PaymentRow] = []
    left = money.claimed_cents
    for row in claim.payments.all():
        facts = payment_facts(row)
        left -= facts.cents if facts.state == COUNTED else 0
        found.append(PaymentRow(row, facts, max(left, 0)))
    return tuple(found)


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
