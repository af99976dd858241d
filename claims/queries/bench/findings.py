"""One finding with everything on its page: routes, filings, dates, price, reasons."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch, Q, QuerySet

from claims.models import ClaimLine, Deadline, Finding, FindingPart
from claims.queries.bench.looks import condition_known
from claims.queries.core.facts import (
    Labor,
    estimate_of,
    labor_of,
    rate_of,
    shop_rate_for,
)
from claims.queries.core.unclaimed import route_of
from claims.rules.bench.estimates import Estimate
from claims.rules.bench.seen import Seen, could_be_seen
from claims.rules.claim.claimable import Claimable, may_be_claimed
from claims.rules.claim.claimant import ClaimantVerdict, decide_claimant
from claims.rules.claim.risk import ClaimantFacts
from claims.rules.claim.routes import RoutingFacts
from claims.rules.claim.routing import Routing, route_finding
from claims.rules.deadlines.supplier_duties import supplier_kind
from inventory.models import Evidence, Hold


@dataclass(frozen=True)
class FindingPage:
    """A finding with the result of the rules; amounts in cents.

    ``labor`` is the time in the estimate, None without any; ``rate_cents`` the hourly
    rate: the finding's own, or the location's.
    """

    finding: Finding
    seen: Seen
    routing: Routing
    claimant: ClaimantVerdict
    claimable: Claimable
    estimate: Estimate
    parts: tuple[FindingPart, ...]
    photos: tuple[Evidence, ...]
    holds: tuple[Hold, ...]
    claim_line: ClaimLine | None

    labor: Labor | None
    rate_cents: int | None


def findings_joined() -> QuerySet[Finding]:
    """Return findings with every row joined that a page about one of them reads."""
    return Finding.objects.select_related(
        "inspection__crate",
        "shipment__carrier",
        "shipment__supplier",
        "shipment__location",
        "delivery",
        "crate",
        "unit",
        "recorded_by",
    ).prefetch_related(
        Prefetch("parts", FindingPart.objects.order_by("pk")),
        "booked",
        Prefetch(
            "photos",
            Evidence.objects.select_related(
                "original", "recorded_by", "crate", "location"
            )
            .prefetch_related("markups", "readings")
            .order_by("received_at", "pk"),
        ),
    )


def finding_page(finding: Finding) -> FindingPage:
    """Return the page of a finding read by ``findings_joined``."""
    condition = condition_known(finding.inspection)
    claimant = _claimant(finding)
    rate = shop_rate_for(finding)
    estimate = estimate_of(finding, rate)
    line = _live_line(finding)
    photos = tuple(finding.photos.all())
    return FindingPage(
        finding=finding,
        seen=could_be_seen(
            stage=finding.inspection.stage,
            crate_condition=condition,
            damage_kind=finding.damage_kind,
        ),
        routing=_routing(finding, condition, claimant),
        claimant=claimant,
        claimable=may_be_claimed(
            cause=finding.cause,
            handling_answer=finding.handling_answer,
            damage_kind=finding.damage_kind,
            route=route_of(finding),
            claim_number=line.claim.number if line else "",
            photo_count=len(photos),
            is_priced=estimate.is_complete,
            is_safety_part=finding.is_safety_part,
            safety_basis=finding.safety_basis,
        ),
        estimate=estimate,
        parts=tuple(finding.parts.all()),
        photos=photos,
        holds=_holds(finding),
        claim_line=line,
        labor=labor_of(finding, rate),
        rate_cents=rate_of(finding, rate),
    )


def _live_line(finding: Finding) -> ClaimLine | None:
    return (
        ClaimLine.objects.filter(finding=finding, holds=True)
        .select_related("claim")
        .order_by("pk")
        .first()
    )


def _holds(finding: Finding) -> tuple[Hold, ...]:
    rows = Hold.objects.select_related("unit", "placed_by").filter(released_at=None)
    if finding.unit_id is not None:
        return tuple(rows.filter(unit_id=finding.unit_id).order_by("pk"))
    if finding.crate_id is not None:
        return tuple(rows.filter(unit__crate_id=finding.crate_id).order_by("pk"))
    return ()


def _claimant(finding: Finding) -> ClaimantVerdict:
    shipment, supplier = finding.shipment, finding.shipment.supplier
    refused = finding.crate is not None and finding.crate.look == "refused"
    facts = ClaimantFacts(
        delivery_terms=shipment.delivery_terms,
        answer="rejected" if refused else "accepted-with-exceptions",
        freight_payer=shipment.freight_payer,
        supplier_files_when_prepaid=bool(supplier and supplier.files_when_prepaid),
        needs_return_authorization=bool(
            supplier and supplier.needs_return_authorization
        ),
        regime=shipment.regime,
        supplier=supplier.name if supplier else "the supplier",
    )
    return decide_claimant(facts)


def _routing(finding: Finding, condition: str, claimant: ClaimantVerdict) -> Routing:
    shipment, supplier = finding.shipment, finding.shipment.supplier
    stage = finding.inspection.stage
    dates = _safe_days(finding)
    notice = "apparent-notice" if finding.could_be_seen else "concealed-notice"
    return route_finding(
        RoutingFacts(
            damage_kind=finding.damage_kind,
            cause=finding.cause,
            stage=stage,
            crate_condition=condition or "sound",
            could_be_seen=finding.could_be_seen,
            pieces_short=stage in {"tailgate", "count"},
            handling_cleared=finding.handling_answer == "not-ours",
            carrier=(shipment.carrier_of_record or shipment.carrier).name,
            supplier=supplier.name if supplier else "the supplier",
            carrier_is_broker=shipment.carrier_of_record is None,
            supplier_truck=shipment.regime == "private",
            supplier_files=claimant.claimant == "supplier",
            carrier_notice_by=dates.get(notice),
            carrier_claim_by=dates.get("claim"),
            supplier_notice_by=dates.get(
                f"supplier-{supplier_kind(finding.damage_kind)}"
            ),
        )
    )


def _safe_days(finding: Finding) -> dict[str, date]:
    """Return the earliest safe day of each duty of this finding."""
    rows = Deadline.objects.filter(shipment=finding.shipment_id, superseded_at=None)
    if finding.delivery_id is not None:
        rows = rows.filter(Q(delivery=finding.delivery_id) | Q(delivery=None))
    found: dict[str, date] = {}
    for row in rows.order_by("safe", "pk"):
        found[row.duty] = min(row.safe, found.get(row.duty, row.safe))
    return found
