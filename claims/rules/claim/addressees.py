"""To whom a claim may go, and whether one that went out is filed with a carrier.

A claim counts as filed once it is received by a carrier that the law names. A broker
arranges carriage and carries nothing, so what it receives stops no deadline.
"""

from dataclasses import dataclass

from claims.rules.regimes.records import Confidence

RECORD = "record"
ORIGINATING = "originating"
DELIVERING = "delivering"
BROKER = "broker"
UNNAMED = "unnamed"


@dataclass(frozen=True, slots=True)
class PartyRule:
    """One part that a company may have in a freight bill.

    ``takes_claims`` says whether a claim that it received is filed with a carrier.
    """

    key: str
    label: str
    takes_claims: bool
    why: str
    authority: str
    confidence: Confidence


PARTIES = (
    PartyRule(
        RECORD,
        "Carrier of record",
        takes_claims=True,
        why="It issued the bill of lading, or carries under it.",
        authority="49 CFR 370.3(a), (b): the issuing carrier",
        confidence="text seen",
    ),
    PartyRule(
        ORIGINATING,
        "Originating carrier",
        takes_claims=True,
        why="It received the goods from the shipper.",
        authority="49 CFR 370.3(a), (b): the receiving carrier",
        confidence="text seen",
    ),
    PartyRule(
        DELIVERING,
        "Delivering carrier",
        takes_claims=True,
        why="It carried the last line-haul and delivered.",
        authority="49 CFR 370.3(a), (b): the delivering carrier",
        confidence="text seen",
    ),
    PartyRule(
        BROKER,
        "Broker",
        takes_claims=False,
        why="It arranged the carriage and carried nothing.",
        authority="49 U.S.C. 14706(a) names carriers and freight forwarders only",
        confidence="from memory",
    ),
    PartyRule(
        UNNAMED,
        "Not named on this freight bill",
        takes_claims=False,
        why="The paperwork does not name it as a carrier of these goods.",
        authority="49 CFR 370.3(a): filed with a carrier of the shipment",
        confidence="text seen",
    ),
)
"""Every part, in the order in which a form offers them; the last is never offered."""

PARTS = {one.key: one for one in PARTIES}


def part_of(
    *, is_broker: bool, named: frozenset[str], is_brokers_role: bool = False
) -> PartyRule:
    """Return the part that decides for one company on one freight bill.

    ``named`` are the parts in which the paperwork names it; ``is_brokers_role`` that it
    is this bill's broker. One that is a broker, by its trade or on this bill, is never
    taken for a carrier: the safe reading.
    """
    if is_broker or is_brokers_role:
        return PARTS[BROKER]
    found = (one for one in PARTIES if one.key in named and one.takes_claims)
    return next(found, PARTS[UNNAMED])


def not_filed_words(part: PartyRule, name: str) -> str:
    """Return why what this company received files no claim, or nothing where it does."""
    if part.takes_claims:
        return ""
    if part.key == BROKER:
        return (
            f"Not filed with a carrier: it went to {name}, a broker. A broker is not a "
            "carrier (49 U.S.C. 14706), so the time to claim keeps running. Send it to "
            "the carrier of record."
        )
    return (
        f"Not filed with a carrier: it went to {name}, which the paperwork of this "
        "freight bill does not name as a carrier. The time to claim keeps running. Send "
        "it to the carrier of record, or correct the paperwork."
    )
