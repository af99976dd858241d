"""Claims as the desk lists them: the open ones by the next day that counts."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import F, Prefetch, Q, QuerySet, Sum
from django.db.models.functions import Coalesce

from claims.models import Claim, ClaimLetter, ClaimStep, Deadline
from claims.queries.claim.gaps import load_lines, missing_keys
from claims.queries.claim.open_claim import ASKS, open_claim
from claims.queries.core.labels import deadline_label
from claims.queries.core.parties import PARTIES_OF_CLAIM, against_filing
from claims.queries.core.payments import payment_facts, payments_prefetch
from claims.queries.core.waiting import due_letter, last_claim_day
from claims.queries.deadlines.lapses import day_that_counts
from claims.rules.claim import life as lifecycle
from claims.rules.claim.next_acts import NextAct, awaits, first_of, next_acts
from claims.rules.claim.payments import Money, money_of
from claims.rules.claim.term import Term
from inventory.queries.core.joined import joined, joined_number
from inventory.queries.core.shared import share
from inventory.queries.ledger.rates import Rates, about_of
from inventory.rules.reckoning.counts import pieces_in_words
from inventory.rules.reckoning.moments import day_words
from inventory.rules.reckoning.money import largest_first
from inventory.rules.reckoning.rates import About


@dataclass(frozen=True)
class ClaimRow:
    """One open claim: its money, what is ours to do, and the deadline it waits for."""

    claim: Claim
    money: Money
    acts: tuple[NextAct, ...]
    duty: Deadline | None
    today: date
    is_unfiled: bool = False

    @property
    def state_words(self) -> str:
        """Return its state, or that no carrier has it."""
        if self.is_unfiled:
            return "Not filed with a carrier"
        return self.claim.get_state_display()

    @property
    def days(self) -> list[date]:
        """Return the day of each act and of the deadline."""
        acts = [one.day for one in self.acts]
        return [*acts, day_that_counts(self.duty)] if self.duty else acts

    @property
    def next_on(self) -> date | None:
        """Return the next day that counts."""
        return min(self.days, default=None)

    @property
    def next_step(self) -> str:
        """Return what must happen next, with its day."""
        if self.acts:
            return first_of(self.acts).by(self.today)
        if self.duty is None:
            return lifecycle.LIFE.states[self.claim.state].next_step
        day = day_words(day_that_counts(self.duty), self.today)
        which = "safe day"
        if self.duty.owed_by != "claimant":
            which = "was due" if self.duty.due < self.today else "due"
        return f"{deadline_label(self.duty)}, {which} {day}"

    @property
    def clock(self) -> str:
        """Return late, running or calm, by what is ours to do."""
        days = [one.day for one in self.acts]
        if self.duty and self.duty.owed_by == "claimant":
            days.append(day_that_counts(self.duty))
        left = min(((day - self.today).days for day in days), default=1)
        if left < 0:
            return "late"
        return "calm" if left else "running"

    @property
    def term(self) -> Term | None:
        """Return the days of what is next: the carrier's own term, or the deadline."""
        first = first_of(self.acts) if self.acts else None
        if first and first.since:
            return Term(first.since, None, first.day, self.today)
        if self.duty is None or self.duty.starts_on is None:
            return None
        return Term(self.duty.starts_on, self.duty.safe, self.duty.due, self.today)


def claim_rows(
    claims: QuerySet[Claim], duties: Iterable[Deadline], today: date
) -> list[ClaimRow]:
    """Return the open claims in the order of what must happen next.

    ``duties`` are the open ones of these claims, with their overrides.
    """
    live = _counted(claims.filter(state__in=lifecycle.LIFE.live))
    rows = share(live, *_SHOWN)
    running: dict[int | None, list[Deadline]] = defaultdict(list)
    for row in duties:
        running[row.claim_id].append(row)
    drafts = [claim for claim in rows if claim.state == lifecycle.DRAFTED]
    missing = missing_keys(drafts)
    listed = [_claim_row(claim, running[claim.pk], missing, today) for claim in rows]
    return sorted(
        listed,
        key=lambda one: (
            one.next_on or date.max,
            largest_first(
                one.money.balance_cents,
                one.claim.currency,
                one.claim.location.currency,
            ),
            one.claim.pk,
        ),
    )


def closed_claims(claims: QuerySet[Claim]) -> QuerySet[Claim]:
    """Return the claims that are closed, the newest first."""
    rows = _counted(claims.filter(state__in=lifecycle.LIFE.final))
    return rows.select_related(*_SHOWN).order_by("-pk")


def closed_row(claim: Claim) -> ClaimRow:
    """Return a claim of ``closed_claims`` as the table shows it."""
    return ClaimRow(claim, money_on(claim), (), None, claim.ended_on or date.max)


@dataclass(frozen=True)
class ListedClaim:
    """A row of the table: its machines, and how many documents are missing."""

    row: ClaimRow
    machines: str
    missing: int | None


def listed(rows: Sequence[ClaimRow]) -> list[ListedClaim]:
    """Return the rows of one page with what only a page of them needs."""
    open_ones = [row.claim for row in rows if row.claim.ended_on is None]
    missing = missing_keys(open_ones)
    load_lines([row.claim for row in rows])
    return [
        ListedClaim(row, _machines(row.claim), _count(missing, row.claim))
        for row in rows
    ]


def _count(missing: Mapping[int, Collection[str]], claim: Claim) -> int | None:
    return len(missing[claim.pk]) if claim.pk in missing else None


def _machines(claim: Claim) -> str:
    crates = sum(line.return_line_id is not None for line in claim.lines.all())
    if crates:
        return f"{pieces_in_words(crates, 'crate')}, on the way home"
    units = {line.unit_id: line.unit for line in claim.lines.all() if line.unit}
    models = list(dict.fromkeys(unit.model for unit in units.values()))
    if not models:
        return ""
    rest = len(units) - 1
    return f"{models[0]} and {rest} more" if rest else models[0]


@dataclass
class Total:
    """The money of the open claims of one currency, in cents."""

    currency: str
    count: int = 0
    claimed_cents: int = 0
    paid_cents: int = 0
    balance_cents: int = 0
    about: About | None = None


def totals_of(rows: Sequence[ClaimRow], rates: Rates) -> list[Total]:
    """Return the sums of these claims by currency; ``rates`` tell the balance at home."""
    about = about_of(
        (
            (row.claim.location_id, row.claim.currency, row.money.balance_cents)
            for row in rows
        ),
        rates,
    )
    sums: dict[str, Total] = {}
    for row in rows:
        key = row.claim.currency
        total = sums.setdefault(key, Total(key, about=about.get(key)))
        total.count += 1
        total.claimed_cents += row.money.claimed_cents
        total.paid_cents += row.money.paid_cents
        total.balance_cents += row.money.balance_cents
    return [sums[key] for key in sorted(sums)]


def money_on(claim: Claim) -> Money:
    """Return the money of a claim that ``claim_rows`` or ``closed_claims`` read."""
    payments = [payment_facts(row) for row in claim.payments.all()]
    full = joined_number(claim, "full_cents")
    return money_of(max(full, 0), payments, claim.received_on)


_SHOWN = ("shipment__supplier", "location", *PARTIES_OF_CLAIM)


def _counted(claims: QuerySet[Claim]) -> QuerySet[Claim]:
    stated = Coalesce("lines__adjusted_cents", "lines__worked_cents")
    full = Sum(stated - F("lines__recovered_cents"), filter=Q(lines__struck_reason=""))
    return (
        claims.annotate(full_cents=Coalesce(full, 0))
        .prefetch_related(
            payments_prefetch(),
            Prefetch(
                "letters", ClaimLetter.objects.defer("text", "content", "choices")
            ),
            Prefetch(
                "steps",
                ClaimStep.objects.filter(act__in=ASKS).defer("note").order_by("pk"),
                to_attr="answers",
            ),
        )
        .order_by("pk")
    )


def _claim_row(
    claim: Claim,
    running: list[Deadline],
    missing: Mapping[int, Collection[str]],
    today: date,
) -> ClaimRow:
    is_unfiled = bool(against_filing(claim))
    state = lifecycle.SENT if is_unfiled else claim.state
    duties = [row for row in running if awaits(state, row.duty)]
    money = money_on(claim)
    claim_by = last_claim_day((one.duty, one.safe) for one in running)
    facts = open_claim(
        claim,
        money,
        joined(claim, "answers"),
        letter=due_letter(claim, claim_by=claim_by, today=today),
        missing=len(missing.get(claim.pk, ())),
        today=today,
    )
    return ClaimRow(
        claim=claim,
        money=money,
        acts=tuple(next_acts(facts)),
        duty=min(duties, key=lambda row: (day_that_counts(row), row.pk), default=None),
        today=today,
        is_unfiled=is_unfiled,
    )
