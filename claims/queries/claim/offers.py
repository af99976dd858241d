"""What the carrier's offer on a claim is judged by."""

from dataclasses import dataclass
from datetime import date

from django.db.models import F, Q

from claims.models import Claim, GoingOnCost
from claims.queries.claim.overlap import overlap_of
from claims.queries.claim.page import ClaimPage
from claims.queries.core.facts import claim_cents
from claims.queries.core.payments import claim_money, payments_prefetch
from claims.queries.core.waiting import carrier_periods
from claims.rules.claim.life import COUNTERED, NOT_PURSUED, OFFERED, SETTLED
from claims.rules.claim.offer_facts import MONTHS_BACK, Costs, OfferFacts, PastClaim
from claims.rules.claim.offers import JudgedOffer, judge_offer
from claims.rules.letters.overlap import OverlapFacts, against_release
from inventory.models import Location
from inventory.rules.reckoning.periods import add_months


@dataclass(frozen=True)
class Judged:
    """The open offer of a claim with all it is judged by.

    ``costs`` is the row that counts, of the claim itself or of its location; ``against``
    is why nothing can be released yet.
    """

    offered_cents: int
    offer: JudgedOffer
    costs: GoingOnCost | None
    overlap: OverlapFacts
    against: tuple[str, ...]


def judged_of(page: ClaimPage, today: date) -> Judged | None:
    """Return what the claim's open offer is judged by; None without an open offer."""
    claim, sheet = page.claim, page.sheet
    is_open = claim.state in {OFFERED, COUNTERED} and claim.claimant == "us"
    if not is_open or sheet is None or not claim.offered_cents:
        return None
    lines = [row.line for row in page.lines if row.sheet]
    overlap = overlap_of(claim, lines)
    costs = costs_for(claim)
    facts = OfferFacts(
        currency=claim.currency,
        regime=claim.shipment.regime,
        today=today,
        offered_cents=claim.offered_cents,
        claimed_cents=sheet.demanded_cents,
        expected_cents=sheet.expected_cents,
        paid_cents=page.money.paid_cents,
        gone_cents=overlap.credited_cents,
        offered_on=claim.offered_on,
        received_on=claim.received_on,
        limit_cents=sheet.limit_cents,
        limit_authority=sheet.limit_authority,
        answer=carrier_periods(claim.shipment.regime).decide,
        past=past_claims(claim, today),
        costs=costs_facts(costs),
    )
    return Judged(
        offered_cents=claim.offered_cents,
        offer=judge_offer(facts),
        costs=costs,
        overlap=overlap,
        against=against_release(overlap),
    )


def past_claims(claim: Claim, today: date) -> tuple[PastClaim, ...]:
    """Return the claims on this carrier that ended lately with or without money."""
    first = add_months(today, -MONTHS_BACK)
    rows = (
        Claim.objects.filter(
            Q(closed_on__gte=first) | Q(closed_on=None, settled_on__gte=first),
            shipment__carrier=claim.shipment.carrier_id,
            claimant="us",
            state__in=(SETTLED, NOT_PURSUED),
        )
        .exclude(pk=claim.pk)
        .prefetch_related("lines", payments_prefetch())
    )
    return tuple(
        PastClaim(row.ended_on, claim_cents(row), claim_money(row).paid_cents)
        for row in rows
        if row.ended_on
    )


def costs_for(claim: Claim) -> GoingOnCost | None:
    """Return the costs that count for a claim: its own, or its location's."""
    rows = GoingOnCost.objects.filter(location=claim.location_id).select_related(
        "entered_by"
    )
    return (
        rows.filter(Q(claim=claim) | Q(claim=None), currency=claim.currency)
        .order_by(F("claim_id").desc(nulls_last=True), "-pk")
        .first()
    )


def costs_here(location: Location) -> GoingOnCost | None:
    """Return the costs of a location that count."""
    return (
        GoingOnCost.objects.filter(location=location, claim=None).order_by("pk").last()
    )


def costs_facts(row: GoingOnCost | None) -> Costs:
    """Return a row of costs as the rules need it."""
    if row is None:
        return Costs()
    return Costs(
        limit_cents=row.limit_cents,
        limit_source=row.limit_source,
        filing_cents=row.filing_cents,
        serving_cents=row.serving_cents,
        lawyer_cents=row.lawyer_cents,
        yearly_percent=row.yearly_percent,
        months=row.months,
    )
