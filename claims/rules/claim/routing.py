"""Who a finding is recovered from: which claim, against whom, and which notices.

Where two routes are possible both notices go out in time; only one is paid.
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


@dataclass(frozen=True)
class Filing:
    """Who notifies or claims, from whom, by when. ``by`` is None where not known."""

    who: str
    what: str
    to: str
    by: dt.date | None
    note: str = ""


@dataclass(frozen=True)
class Routing:
    """The routes, the likeliest first, and every notice that must go out."""

    routes: tuple[Route, ...]
    filings: tuple[Filing, ...]
    notes: tuple[str, ...] = ()
    short: str = ""

    @property
    def first(self) -> str:
        """Return the likeliest route's key; empty where nothing is claimed."""
        return self.routes[0].route if self.routes else ""


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


def route_finding(facts: RoutingFacts) -> Routing:
    """Return what a finding is recovered from and who files what, to whom, by when."""
    short = kind_of_short(facts)
    found = _routes(facts, short)
    routes = tuple(_without_carrier(found) if facts.supplier_truck else found)
    return Routing(
        routes=routes,
        filings=_filings(facts, [route.route for route in routes]),
        notes=_notes(facts, routes, short),
        short=short,
    )


def _routes(facts: RoutingFacts, short: str) -> list[Route]:
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


def _filings(facts: RoutingFacts, routes: list[str]) -> tuple[Filing, ...]:
    found = []
    if CARRIER in routes:
        found.extend(_carrier_filings(facts))
    if DEFECT in routes or GOODS in routes:
        what = (
            "Warranty notice"
            if GOODS not in routes
            else "Damage notice to the supplier"
        )
        found.append(Filing("We", what, facts.supplier, facts.supplier_notice_by))
    elif CARRIER in routes:
        found.append(
            Filing(
                "We",
                "Damage notice to the supplier",
                facts.supplier,
                facts.supplier_notice_by,
            )
        )
    if INSURANCE in routes:
        found.append(
            Filing(
                "We",
                "Notice of loss",
                "our cargo insurer",
                None,
                "By the policy's own period. Do not settle with the carrier first.",
            )
        )
    return tuple(found)


def _carrier_filings(facts: RoutingFacts) -> list[Filing]:
    to = facts.carrier
    note = ""
    if facts.carrier_is_broker:
        to = "the motor carrier that delivered it (ask the broker for its name)"
        note = (
            "A broker does not carry: a claim sent to the broker alone stops no "
            "deadline."
        )
    claimant = _capital(facts.supplier) if facts.supplier_files else "We"
    apparent = facts.could_be_seen or facts.stage == "tailgate"
    what = (
        "Exceptions on the delivery receipt, then written notice"
        if apparent
        else "Notice of concealed damage and request for inspection"
    )
    if facts.damage_kind in {"short", "missing"}:
        what = "Notice of shortage"
    return [
        Filing("We", what, to, facts.carrier_notice_by, note),
        Filing(
            claimant, "Written claim for a stated amount", to, facts.carrier_claim_by
        ),
    ]


def _notes(
    facts: RoutingFacts, routes: tuple[Route, ...], short: str
) -> tuple[str, ...]:
    found = []
    if facts.damage_kind == "indicator":
        found.append(
            "A tripped indicator is not damage. Write it on the receipt, photograph "
            "it, and open the crate within the days for concealed damage."
        )
    if facts.cause == "our-handling":
        found.append(
            "The technician's opinion stays on record. The manager must answer it "
            "with a reason before anything is claimed."
            if not facts.handling_cleared
            else "The manager has answered: not our handling. Both opinions stay on "
            "record."
        )
    if short == "hidden-short":
        found.append(
            "Count the parts against the packing list, keep the crate, and ask the "
            "supplier for its packing record and the crate's packed weight."
        )
    payable = {route.route for route in routes} - {SET_UP, OWN}
    if len(payable) > 1:
        found.append("Send every notice in time. Only one of them may pay.")
    if facts.supplier_truck:
        found.append("No carrier was used: only the supplier's own terms apply.")
    return tuple(found)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
