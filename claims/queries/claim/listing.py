"""Claims in the order of their next date."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch, QuerySet

from claims.models import Claim, ClaimLine, Deadline
from claims.queries.core.labels import duty_label
from claims.queries.core.payments import claim_money, payments_prefetch
from claims.queries.core.waiting import due_words, last_claim_day
from claims.queries.deadlines.lapses import THIS_WEEK, day_that_counts, open_duties
from claims.rules.claim import life as lifecycle
from claims.rules.claim.life_facts import ClaimFacts
from claims.rules.claim.payments import Money


@dataclass(frozen=True)
class ClaimRow:
    """One claim of the desk. ``next_on`` is the next date that counts."""

    claim: Claim
    money: Money
    next_step: str
    next_label: str
    next_on: date | None
    owed_by: str
    days_left: int | None

    @property
    def amount_cents(self) -> int:
        """Return what the claim demands."""
        return self.money.claimed_cents

    @property
    def day_words(self) -> str:
        """Return which day ``next_on`` is."""
        return "safe day" if self.owed_by == "claimant" else "due from the carrier"

    @property
    def clock(self) -> str:
        """Return late, running, calm or plain, by the next date."""
        if self.days_left is None:
            return "plain"
        if self.days_left < 0:
            return "late"
        return "running" if self.days_left <= THIS_WEEK.days else "calm"


def claims_in_order(
    claims: QuerySet[Claim], deadlines: QuerySet[Deadline], today: date
) -> list[ClaimRow]:
    """Return the live claims in the order of what must happen next."""
    rows = _joined(claims.filter(state__in=lifecycle.LIFE.live))
    running: dict[int | None, list[Deadline]] = defaultdict(list)
    for row in open_duties(deadlines):
        running[row.claim_id].append(row)
    listed = [_claim_row(claim, running[claim.pk], today) for claim in rows]
    return sorted(
        listed,
        key=lambda one: (one.next_on or date.max, -one.amount_cents, one.claim.pk),
    )


def closed_claims(claims: QuerySet[Claim]) -> QuerySet[Claim]:
    """Return the claims that are closed, the newest first."""
    return _joined(claims.filter(state__in=lifecycle.LIFE.final)).order_by("-pk")


def _joined(claims: QuerySet[Claim]) -> QuerySet[Claim]:
    return (
        claims.select_related("shipment__carrier", "shipment__supplier", "location")
        .prefetch_related(
            Prefetch("lines", ClaimLine.objects.order_by("number")),
            payments_prefetch(),
            "letters",
        )
        .order_by("pk")
    )


_AWAITED = {
    lifecycle.DRAFTED: ("claim",),
    lifecycle.SENT: ("claim",),
    lifecycle.RECEIVED: ("acknowledgement", "disposition"),
    lifecycle.ACKNOWLEDGED: ("disposition", "status"),
    lifecycle.OFFERED: ("suit", "status"),
    lifecycle.COUNTERED: ("suit", "status"),
    lifecycle.ACCEPTED: ("suit",),
    lifecycle.DISALLOWED: ("suit",),
}


def _claim_row(claim: Claim, running: list[Deadline], today: date) -> ClaimRow:
    awaited = _AWAITED.get(claim.state, ())
    duties = [row for row in running if row.duty.split("-")[0] in awaited]
    claim_by = last_claim_day((row.duty, row.safe) for row in running)
    first = min(duties, key=lambda row: (day_that_counts(row), row.pk), default=None)
    money = claim_money(claim)
    facts = ClaimFacts(
        today=today,
        amount_cents=money.claimed_cents,
        paid_cents=money.paid_cents,
        held_payments=money.held_count,
        letter_due=due_words(claim, claim_by=claim_by, today=today),
    )
    return ClaimRow(
        claim=claim,
        money=money,
        next_step=lifecycle.LIFE.next_step(claim.state, facts),
        next_label=duty_label(first.duty) if first else "",
        next_on=day_that_counts(first) if first else None,
        owed_by=first.owed_by if first else "",
        days_left=(day_that_counts(first) - today).days if first else None,
    )
