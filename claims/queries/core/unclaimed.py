"""Findings that are in no claim yet, grouped by freight bill."""

from collections import defaultdict
from dataclasses import dataclass

from django.db.models import QuerySet

from claims.models import Claim, Finding
from claims.queries.core.facts import finding_cents
from claims.rules.bench.causes import ADJUSTMENT
from claims.rules.claim import life as lifecycle
from claims.rules.claim.claimable import may_be_claimed
from claims.rules.claim.routes import CARRIER, NO_PAYER, RoutingFacts
from claims.rules.claim.routing import route_finding
from inventory.models import OpenWork
from inventory.queries.core.shared import share
from inventory.rules.reckoning.money import largest_first


@dataclass(frozen=True)
class Unclaimed:
    """The findings of one freight bill that are in no live claim yet.

    ``live_claim`` is the claim they would be a supplement to. ``blocked`` holds
    each finding that may not be claimed, with the first reason.
    """

    shipment_id: int
    pro_number: str
    carrier_name: str
    supplier_name: str
    location_name: str
    findings: tuple[Finding, ...]
    blocked: tuple[tuple[Finding, str], ...]
    amount_cents: int
    currency: str
    home_currency: str
    live_claim: Claim | None


_LISTED = (
    *("inspection__stage", "inspection__crate_condition", "shipment_id"),
    *("crate__number", "crate__mark"),
    *("unit__model", "unit__serial", "unit__invoice_cents"),
    *("number", "part", "pieces", "damage_kind", "could_be_seen", "cause", "route"),
    *("repair_minutes", "rate_cents", "handling_answer"),
)
"""The columns that name a finding, route it and price it."""


def listed_columns(findings: QuerySet[Finding]) -> QuerySet[Finding]:
    """Read of the findings only what a list of ``unclaimed`` shows and adds up."""
    return findings.select_related("inspection", "crate", "unit").only(*_LISTED)


def unclaimed(findings: QuerySet[Finding], claims: QuerySet[Claim]) -> list[Unclaimed]:
    """Return the findings not yet in a live claim, grouped by freight bill.

    The freight bill with the largest amount comes first, the home currency before others.
    """
    rows = (
        findings.filter(pk__in=OpenWork.keys("free-finding"))
        .select_related("inspection", "crate", "unit")
        .prefetch_related("parts", "booked")
        .order_by("shipment_id", "number")
    )
    by_bill: dict[int, list[Finding]] = defaultdict(list)
    for row in share(
        rows, "shipment__carrier", "shipment__supplier", "shipment__location"
    ):
        by_bill[row.shipment_id].append(row)
    live = {
        claim.shipment_id: claim
        for claim in claims.filter(shipment_id__in=list(by_bill), claimant="us")
        .filter(state__in=lifecycle.LIFE.starts("supplement"))
        .only("shipment_id", "number")
        .order_by("pk")
    }
    groups = [_group(group, live.get(key)) for key, group in by_bill.items()]
    kept = [group for group in groups if group.findings or group.blocked]
    return sorted(kept, key=_place_of)


def _place_of(group: Unclaimed) -> tuple[tuple[bool, str, int], int]:
    key = largest_first(group.amount_cents, group.currency, group.home_currency)
    return key, group.shipment_id


def payable(findings: QuerySet[Finding]) -> QuerySet[Finding]:
    """Keep the findings that somebody else may have to pay for.

    Out go those that the manager decided otherwise, and adjustments at setup.
    """
    return findings.exclude(route__in=NO_PAYER).exclude(route="", cause=ADJUSTMENT)


def is_payable(finding: Finding) -> bool:
    """Return whether ``payable`` keeps this finding."""
    if finding.route:
        return finding.route not in NO_PAYER
    return finding.cause != ADJUSTMENT


def route_of(finding: Finding) -> str:
    """Return what a finding is recovered from: the manager's decision, or the rules'.

    The carrier, wherever it is one of several possible payers. ``finding`` comes
    with its inspection and its freight bill's carrier.
    """
    if finding.route:
        return finding.route
    shipment = finding.shipment
    routing = route_finding(
        RoutingFacts(
            damage_kind=finding.damage_kind,
            cause=finding.cause,
            stage=finding.inspection.stage,
            crate_condition=finding.inspection.crate_condition or "sound",
            could_be_seen=finding.could_be_seen,
            pieces_short=finding.inspection.stage in {"tailgate", "count"},
            handling_cleared=finding.handling_answer == "not-ours",
            supplier_truck=shipment.regime == "private",
        )
    )
    possible = {route.route for route in routing.routes}
    return CARRIER if CARRIER in possible else routing.first


def why_not(finding: Finding) -> str:
    """Return the first reason against claiming this finding, or ""."""
    verdict = may_be_claimed(
        cause=finding.cause,
        handling_answer=finding.handling_answer,
        damage_kind=finding.damage_kind,
        route=route_of(finding),
    )
    return verdict.reasons[0] if verdict.reasons else ""


def _group(findings: list[Finding], live: Claim | None) -> Unclaimed:
    shipment = findings[0].shipment
    free = tuple(row for row in findings if not why_not(row))
    waiting = tuple(
        (row, why_not(row))
        for row in findings
        if row.cause == "our-handling" and not row.handling_answer
    )
    return Unclaimed(
        shipment_id=shipment.pk,
        pro_number=shipment.pro_number,
        carrier_name=shipment.carrier.name,
        supplier_name=shipment.supplier.name if shipment.supplier else "",
        location_name=shipment.location.name,
        findings=free,
        blocked=waiting,
        amount_cents=sum(finding_cents(row) for row in free),
        currency=shipment.currency,
        home_currency=shipment.location.currency,
        live_claim=live,
    )
