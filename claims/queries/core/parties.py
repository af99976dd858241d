"""The parties of a freight bill, and whether what went to one is filed with a carrier.

A shipment comes with ``PARTIES_JOINED``; a claim with its ``addressed_to`` too.
"""

from dataclasses import dataclass

from claims.models import Claim, Notice
from claims.rules.claim.addressees import (
    BROKER,
    DELIVERING,
    ORIGINATING,
    RECORD,
    PartyRule,
    not_filed_words,
    part_of,
)
from inventory.models import Carrier, Shipment

PARTIES_JOINED = (
    "carrier",
    "record_carrier",
    "broker",
    "originating_carrier",
    "delivering_carrier",
)
"""What a shipment is joined with before its parties are asked for."""

PARTIES_OF_CLAIM = ("addressed_to", *(f"shipment__{one}" for one in PARTIES_JOINED))
"""The same for a claim or a notice."""


@dataclass(frozen=True)
class BillParty:
    """One company of a freight bill, with the part it has there."""

    part: PartyRule
    carrier: Carrier

    @property
    def words(self) -> str:
        """Return the part and the name, as a form offers them."""
        return f"{self.carrier.printed_name}: {self.part.label.lower()}"


def parties_of(shipment: Shipment) -> list[BillParty]:
    """Return the companies of this bill, each once, the carrier of record first."""
    found: dict[int, BillParty] = {}
    named = (
        shipment.carrier_of_record,
        shipment.originating_carrier,
        shipment.delivering_carrier,
        shipment.arranged_by,
    )
    for carrier in named:
        if carrier is not None:
            party = BillParty(part_in(shipment, carrier), carrier)
            found.setdefault(carrier.pk, party)
    return list(found.values())


def part_in(shipment: Shipment, carrier: Carrier) -> PartyRule:
    """Return the part that this company has in this freight bill."""
    record, broker = shipment.carrier_of_record, shipment.arranged_by
    named = {
        RECORD: record.pk if record else None,
        ORIGINATING: shipment.originating_carrier_id,
        DELIVERING: shipment.delivering_carrier_id,
        BROKER: broker.pk if broker else None,
    }
    return part_of(
        is_broker=carrier.is_broker,
        named=frozenset(key for key, pk in named.items() if pk == carrier.pk),
        is_brokers_role=shipment.broker_id == carrier.pk,
    )


def addressee_of(row: Claim | Notice) -> Carrier:
    """Return whom a claim or a notice to the carrier goes to, or went to."""
    shipment = row.shipment
    return row.addressed_to or shipment.carrier_of_record or shipment.carrier


def written_to(claim: Claim) -> Carrier:
    """Return whom letters and the claim file go to: a carrier, where one is known."""
    to, record = addressee_of(claim), claim.shipment.carrier_of_record
    if record is None or part_in(claim.shipment, to).takes_claims:
        return to
    return record


def readdressed(claim: Claim, company: str) -> Claim:
    """Return the claim as if it went to this company of its freight bill, unsaved.

    ``company`` is the key as a form sends it; anything else changes nothing.
    """
    for one in parties_of(claim.shipment) if company else ():
        if str(one.carrier.pk) == company:
            claim.addressed_to = one.carrier
    return claim


def against_filing(claim: Claim) -> str:
    """Return why a claim that went out is filed with no carrier; nothing where it is.

    A claim that the supplier makes is the supplier's to file.
    """
    if claim.sent_on is None or claim.claimant != "us":
        return ""
    carrier = addressee_of(claim)
    return not_filed_words(part_in(claim.shipment, carrier), carrier.printed_name)


def reaches_carrier(notice: Notice) -> bool:
    """Return whether a notice to the carrier goes to a carrier, not to a broker."""
    if notice.kind == "supplier":
        return True
    return part_in(notice.shipment, addressee_of(notice)).takes_claims
