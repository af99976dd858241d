"""Who a finding can be recovered from, the likeliest first.

Carrier short, supplier short and short inside a sealed crate are three things.
"""

import datetime as dt
from dataclasses import dataclass

from claims.rules.bench.causes import ADJUSTMENT

CARRIER = "carrier"
DEFECT = "supplier-defect"
GOODS = "supplier-goods"
INSURANCE = "cargo-insurance"
SET_UP = "set-up"
OWN = "own-handling"

NO_PAYER = frozenset({SET_UP, OWN, "nowhere"})
"""Routes by which nobody else is asked to pay."""

SHORTS = {
    "carrier-short": "Short at the count: fewer pieces arrived than billed",
    "supplier-short": "Short from the supplier: every piece billed arrived",
    "hidden-short": "Short inside a crate that arrived closed",
}


@dataclass(frozen=True)
class RoutingFacts:
    """The facts that decide the route; keys as stored, dates already counted.

    ``damage_kind`` and ``cause`` are the finding's keys; ``stage`` where it was
    found; ``crate_condition`` "sound", "marked" or "none".
    ``pieces_short`` means that the count at the dock was below the bill;
    ``crate_was_closed`` that the crate reached us closed, and
    ``crate_was_disturbed`` that its bands, seal or boards were not as packed.
    ``handling_cleared`` is true once the manager has answered, with a reason,
    that the damage is not our handling. ``carrier_is_broker``, ``supplier_truck``
    and ``cargo_insured`` describe the carriage. Dates are the safe ones, None where
    not known. ``supplier_files`` means that the supplier is the claimant on this bill.
    """

    damage_kind: str
    cause: str = "unknown"
    stage: str = "uncrating"
    crate_condition: str = "sound"
    could_be_seen: bool = False
    pieces_short: bool = False
    crate_was_closed: bool = True
    crate_was_disturbed: bool = False
    handling_cleared: bool = False
    carrier: str = "the carrier"
    supplier: str = "the supplier"
    carrier_is_broker: bool = False
    supplier_truck: bool = False
    cargo_insured: bool = False
    supplier_files: bool = False
    carrier_notice_by: dt.date | None = None
    carrier_claim_by: dt.date | None = None
    supplier_notice_by: dt.date | None = None


@dataclass(frozen=True)
class Route:
    """One way to recover a finding: its key, and why it is possible."""

    route: str
    why: str


def kind_of_short(facts: RoutingFacts) -> str:
    """Return which of the three shorts this is, a key of SHORTS, or ""."""
    if facts.damage_kind not in {"short", "missing"}:
        return ""
    if facts.pieces_short:
        return "carrier-short"
    inside = facts.damage_kind == "missing" or facts.stage in {"uncrating", "set-up"}
    if inside and facts.crate_was_closed and facts.crate_condition != "none":
        return "hidden-short"
    return "supplier-short"


def routes_of(facts: RoutingFacts, short: str) -> tuple[Route, ...]:
    """Return the routes that are possible; ``short`` is what ``kind_of_short`` says."""
    found = _all_routes(facts, short)
    return tuple(_without_carrier(found) if facts.supplier_truck else found)


def _all_routes(facts: RoutingFacts, short: str) -> list[Route]:
    if facts.cause == ADJUSTMENT:
        return [Route(SET_UP, "It is adjusted at setup. Nothing is claimed.")]
    if short:
        found = _short_routes(facts, short)
    elif facts.damage_kind in _BY_KIND:
        found = list(_BY_KIND[facts.damage_kind])
    else:
        found = _routes_by_cause(facts)
    if facts.cargo_insured and any(route.route == CARRIER for route in found):
        found.append(
            Route(INSURANCE, "Cargo insurance may pay what the carrier does not.")
        )
    return found


_BY_KIND = {
    "defect": (
        Route(DEFECT, "It does not work and shows no damage: a manufacturing defect."),
    ),
    "wrong": (
        Route(GOODS, "Not what was ordered: the supplier shipped the wrong goods."),
    ),
    "over": (
        Route(GOODS, "More arrived than was billed. Ask the supplier whose it is."),
    ),
    "indicator": (),
}


def _short_routes(facts: RoutingFacts, short: str) -> list[Route]:
    carrier = Route(CARRIER, "The carrier signed for more pieces than it delivered.")
    if short == "carrier-short":
        return [carrier]
    supplier = Route(GOODS, "Every piece billed arrived: the supplier packed too few.")
    if short == "supplier-short":
        return [supplier]
    opened = Route(
        CARRIER,
        "The crate had been opened or broken, so it may have been lost in transit.",
    )
    packed = Route(
        GOODS, "The crate arrived closed, so the supplier may have packed too few."
    )
    disturbed = facts.crate_was_disturbed or facts.crate_condition == "marked"
    if disturbed:
        return [opened, packed]
    return [
        packed,
        Route(
            CARRIER, "A loss in transit cannot be ruled out, so its notice goes out."
        ),
    ]


def _routes_by_cause(facts: RoutingFacts) -> list[Route]:
    transit = Route(CARRIER, "The finding points to transit.")
    if facts.cause == "transit":
        return [transit]
    if facts.cause == "packing":
        return [
            Route(GOODS, "The supplier packed it badly."),
            Route(CARRIER, "The carrier must prove that the packing caused it."),
        ]
    if facts.cause == "manufacture":
        found = [Route(DEFECT, "It left the maker that way.")]
        marked = facts.crate_condition == "marked"
        if marked:
            found.append(Route(CARRIER, "But the crate was marked or broken as well."))
        return found
    if facts.cause == "our-handling" and not facts.handling_cleared:
        return [Route(OWN, "The technician thinks that it happened here.")]
    return _routes_when_unsure(facts)


def _routes_when_unsure(facts: RoutingFacts) -> list[Route]:
    carrier = Route(CARRIER, "The cause is not known; transit is likely.")
    supplier = Route(
        DEFECT, "The cause is not known; it may have left the maker that way."
    )
    marked = facts.crate_condition == "marked" or facts.could_be_seen
    return [carrier, supplier] if marked else [supplier, carrier]


def _without_carrier(found: list[Route]) -> list[Route]:
    kept = [route for route in found if route.route not in {CARRIER, INSURANCE}]
    if len(kept) < len(found) and not any(route.route == GOODS for route in kept):
        kept.insert(0, Route(GOODS, "Delivered on the supplier's own truck."))
    return kept
