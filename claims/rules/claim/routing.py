"""Who notifies and who claims for a finding, from whom and by when.

Where two routes are possible both notices go out in time; only one is paid.
"""

import datetime as dt
from dataclasses import dataclass

from claims.rules.claim.routes import (
    CARRIER,
    DEFECT,
    GOODS,
    INSURANCE,
    OWN,
    SET_UP,
    Route,
    RoutingFacts,
    kind_of_short,
    routes_of,
)
from inventory.rules.core.text import capital


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


def route_finding(facts: RoutingFacts) -> Routing:
    """Return what a finding is recovered from and who files what, to whom, by when."""
    short = kind_of_short(facts)
    routes = routes_of(facts, short)
    return Routing(
        routes=routes,
        filings=_filings(facts, [route.route for route in routes]),
        notes=_notes(facts, routes, short),
        short=short,
    )


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
    claimant = capital(facts.supplier) if facts.supplier_files else "We"
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
