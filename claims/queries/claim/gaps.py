"""Which documents each claim of a list still lacks, in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from django.db.models import F, Prefetch, Q, prefetch_related_objects

from claims.models import Claim, ClaimLine, PaperDecision
from claims.queries.claim.proof import Covered, proof_facts
from claims.rules.claim.proof import list_proof
from inventory.models import Evidence, Handover
from inventory.models.evidence import OF_STANDING_ROWS

_File = tuple[str, int | None, int | None]
"""The kind of a file, its machine and its crate."""


def missing_keys(claims: Sequence[Claim]) -> dict[int, frozenset[str]]:
    """Return the keys of the missing documents by claim.

    ``claims`` come with their shipments joined.
    """
    load_lines(claims)
    bills = {claim.shipment_id for claim in claims}
    trucks: dict[int, set[int]] = defaultdict(set)
    exceptions: set[int] = set()
    for row in Handover.objects.filter(shipment__in=bills).order_by("pk"):
        trucks[row.delivery_id].add(row.shipment_id)
        if row.words_full and row.how_signed not in {"handheld", "bare"}:
            exceptions.add(row.shipment_id)
    homes = {
        claim.shipment.crate_return_id: claim.shipment_id
        for claim in claims
        if claim.shipment.crate_return_id
    }
    files = _files(bills, trucks, homes)
    found: dict[int, frozenset[str]] = {}
    for claim in claims:
        lines = [row for row in claim.lines.all() if not row.struck_reason]
        facts = proof_facts(
            claim,
            lines,
            _about(files[claim.shipment_id], Covered.by(lines)),
            {row.paper: row.reason for row in claim.paper_decisions.all()},
            has_exception_on_receipt=claim.shipment_id in exceptions,
        )
        found[claim.pk] = frozenset(one.key for one in list_proof(facts).missing)
    return found


def load_lines(claims: Sequence[Claim]) -> None:
    """Load the lines of these claims with their machines, and what was decided on."""
    lines = ClaimLine.objects.select_related("unit__crate", "finding")
    decisions = PaperDecision.objects.order_by("pk")
    prefetch_related_objects(
        list(claims),
        Prefetch("lines", lines.order_by("number")),
        Prefetch("paper_decisions", decisions),
    )


def _about(files: Iterable[_File], covered: Covered) -> set[str]:
    return {kind for kind, unit, crate in files if covered.holds(unit, crate)}


def _files(
    bills: set[int], trucks: dict[int, set[int]], homes: Mapping[int, int]
) -> dict[int, set[_File]]:
    """Return which kinds of files there are on each bill, with its trucks or return."""
    rows = (
        # By the truck: most photos of trucks are of no bill.
        Evidence.objects.alias(bill=F("shipment_id") + 0)
        .filter(
            Q(shipment__in=bills)
            | Q(bill=None, delivery__in=list(trucks))
            | Q(crate_return__in=list(homes))
        )
        .filter(OF_STANDING_ROWS)
        .order_by()
        .values_list(
            *("shipment_id", "delivery_id", "crate_return_id"),
            *("kind", "unit_id", "crate_id"),
        )
        .distinct()
    )
    files: dict[int, set[_File]] = defaultdict(set)
    for bill, truck, home, kind, unit, crate in rows:
        for one in {homes[home]} if home else {bill} if bill else trucks[truck]:
            files[one].add((kind, unit, crate))
    return files
