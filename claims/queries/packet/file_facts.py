"""What the page with the facts for a claim file starts with."""

from typing import Any

from claims.models import Claim
from claims.queries.claim.worksheet import counted_lines
from claims.queries.packet.notice_facts import inspect_at, salvage_of
from claims.rules.packet.neutral_lines import PAPERS
from inventory.models import Unit

_TEXTS = (
    *("extent", "inspect_at", "salvage_held", "repair_done", "pay_to"),
    *("signer_name", "signer_title", "signer_phone", "stood_at", "stood_moves"),
)
_ALIKE = ("inspect_at", "pay_to", "signer_title", "signer_phone")
"""What a location says the same on every claim."""


def claimed_units(claim: Claim) -> list[Unit]:
    """Return the machines of the claim's lines."""
    rows = Unit.objects.filter(claim_lines__claim=claim, claim_lines__struck_reason="")
    return list(rows.distinct().order_by("pk"))


def initial_facts(claim: Claim) -> dict[str, Any]:
    """Return the claim's own facts; what is empty as the location's last claim had it."""
    last = (
        Claim.objects.filter(location=claim.location)
        .exclude(pk=claim.pk)
        .exclude(signer_phone="")
        .order_by("-pk")
        .first()
    )
    found: dict[str, Any] = {name: getattr(claim, name) for name in _TEXTS}
    for name in _ALIKE:
        if not found[name] and last:
            found[name] = getattr(last, name)
    found["inspect_at"] = found["inspect_at"] or inspect_at(claim)
    location = claim.location
    found["pay_to"] = found["pay_to"] or f"{location.name}\n{location.address}"
    found |= {f"condition_{unit.pk}": unit.condition for unit in claimed_units(claim)}
    found |= {f"line_{paper}": claim.neutral_lines.get(paper, "") for paper in PAPERS}
    if not found["salvage_held"]:
        found["salvage_held"] = salvage_of(claim, counted_lines(claim))
    return found | {
        "is_only_claim": claim.is_only_claim,
        "stood_unopened": claim.stood_unopened,
        "freight_class": claim.shipment.freight_class,
    }
