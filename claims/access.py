"""The upper floor's gates: its rows' paths to a location, and the same doors."""

from claims.models import (
    Claim,
    ClaimLine,
    Deadline,
    Finding,
    Inspection,
    Notice,
    Packet,
    Supplement,
)
from inventory.access import (
    may,
    obtain,
    person_of,
    register_paths,
    require,
    require_somewhere,
    roles_at,
    scoped,
)

register_paths(
    {
        Claim: "location_id",
        ClaimLine: "claim__location_id",
        Deadline: "location_id",
        Finding: "shipment__location_id",
        Inspection: "shipment__location_id",
        Notice: "shipment__location_id",
        Packet: "claim__location_id",
        Supplement: "claim__location_id",
    }
)

__all__ = [
    "may",
    "obtain",
    "person_of",
    "require",
    "require_somewhere",
    "roles_at",
    "scoped",
]
