"""The upper floor's gates: its rows' paths to a location, and the same doors."""

from django.db.models import Model

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
    require,
    require_somewhere,
    roles_at,
    scoped,
)

LOCATION_PATHS: dict[type[Model], str] = {
    Claim: "location_id",
    ClaimLine: "claim__location_id",
    Deadline: "location_id",
    Finding: "shipment__location_id",
    Inspection: "shipment__location_id",
    Notice: "shipment__location_id",
    Packet: "claim__location_id",
    Supplement: "claim__location_id",
}
"""How each kind of row leads to its location, for ``inventory.access``."""

__all__ = [
    "LOCATION_PATHS",
    "may",
    "obtain",
    "person_of",
    "require",
    "require_somewhere",
    "roles_at",
    "scoped",
]
