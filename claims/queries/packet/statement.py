"""The claim statement: the shipment, the articles, the notices, the demand."""

from collections.abc import Iterable

from claims.models import Claim, ClaimLine
from claims.queries.letters.notices import carrier_party, sender_of
from claims.queries.packet.articles import articles_of, kind_of, units_of
from claims.queries.packet.findings import damage_words
from claims.queries.packet.gathered import Gathered
from claims.queries.packet.notice_facts import inspect_at, notice_facts
from claims.queries.packet.schedule import statement_rows, worksheet
from claims.queries.packet.text import (
    amount_text,
    joined,
    letter_day,
    letter_moment,
    plural,
)
from claims.queries.packet.way_home import (
    home_articles,
    home_damages,
    home_shipment,
    return_of,
    taken_words,
)
from claims.rules.packet import wording
from claims.rules.packet.content import ClaimStatement, ShipmentFacts, Signer
from inventory.models import Delivery
from inventory.rules.core.text import mid_sentence
from inventory.rules.reckoning.money import format_cents

CERTIFIED = "I certify that this statement is correct."
_NO_OTHER = (
    "No other claim for this loss has been filed with {carrier} or with any other "
    "carrier."
)
_PAID_BY = {
    "prepaid": "Prepaid by the shipper",
    "prepaid-billed": "Prepaid by the shipper and billed to us",
    "collect": "Collect",
    "third-party": "Third party",
}


def statement_of(gathered: Gathered) -> ClaimStatement:
    """Return the statement with all that 49 CFR 370.3(b) asks of a claim."""
    claim = gathered.claim
    facts = loss_facts(gathered)
    carrier = claim.shipment.carrier.name
    return ClaimStatement(
        claim_number=claim.number,
        kind=facts.kind,
        supplement=_supplement(claim, gathered.lines),
        carrier=carrier_party(claim),
        claimant=sender_of(claim.location),
        assertion=wording.liability(facts),
        extent=facts.extent,
        amount=format_cents(gathered.sheet.demanded_cents, claim.currency),
        currency=claim.currency,
        shipment=home_shipment(_shipment(gathered), gathered),
        articles=home_articles(gathered) or articles_of(gathered),
        notice=notice_facts(gathered),
        rows=statement_rows(gathered),
        closing=worksheet(gathered),
        no_other_claim=_NO_OTHER.format(carrier=carrier) if claim.is_only_claim else "",
        certificate=CERTIFIED,
        signer=signer_of(gathered),
    )


def loss_facts(gathered: Gathered) -> wording.LossFacts:
    """Return the facts that the sentences of the claim file tell."""
    claim, shipment = gathered.claim, gathered.claim.shipment
    home = return_of(gathered)
    days = [letter_day(row.arrived_on) for row in gathered.deliveries]
    if home is not None:
        days = [letter_day(home.received_back_on) or "Not delivered"]
    pieces = shipment.pieces_billed
    return wording.LossFacts(
        carrier=shipment.carrier.name,
        claimant=sender_of(claim.location).name,
        supplier=shipment.supplier.name if shipment.supplier else "",
        kind=kind_of(gathered.lines),
        pro=shipment.pro_number,
        bol=shipment.bol_number,
        amount=amount_text(gathered.sheet.demanded_cents, claim.currency),
        delivered=wording.listed(list(dict.fromkeys(days))),
        pieces=plural(pieces, shipment.piece_unit) if pieces else "",
        place=claim.location.name,
        articles=tuple(
            joined(unit.model, f"serial {unit.serial}" if unit.serial else "")
            for unit in units_of(gathered.lines)
        ),
        damages=home_damages(gathered)
        or tuple(damage_words(row) for row in gathered.findings),
        receipt=_signed(gathered),
        inspect_at=inspect_at(claim),
        extent=extent_of(claim),
        taken=taken_words(gathered, home) if home is not None else "",
    )


def extent_of(claim: Claim) -> str:
    """Return "Full loss" or "Partial loss", as the manager chose; else nothing."""
    return wording.EXTENTS.get(claim.extent, "")


def signer_of(gathered: Gathered) -> Signer:
    """Return who signs: as the manager entered, else who makes the file."""
    claim = gathered.claim
    return Signer(
        claim.signer_name or str(gathered.person),
        claim.signer_title or "Manager",
        claim.signer_phone,
    )


def _signed(gathered: Gathered) -> str:
    told = []
    for row in gathered.handovers:
        if row.words_full and row.ending == "signed":
            where = row.closing.words_stand_on
            copies = {"both": " on both copies", "ours": " on our copy"}.get(where, "")
            told.append(
                f"Your driver signed the delivery receipt with our exceptions{copies}."
            )
    return " ".join(dict.fromkeys(told))


def _shipment(gathered: Gathered) -> ShipmentFacts:
    claim, shipment = gathered.claim, gathered.claim.shipment
    us = sender_of(claim.location)
    weight = (
        f"{shipment.billed_weight} {shipment.weight_unit}"
        if shipment.billed_weight
        else ""
    )
    pieces = shipment.pieces_billed
    return ShipmentFacts(
        carrier=shipment.carrier.name,
        scac=shipment.carrier.scac,
        pro=shipment.pro_number,
        bol=joined(shipment.bol_number, letter_day(shipment.bol_on)),
        shipper=joined(
            shipment.supplier.name if shipment.supplier else "", shipment.origin
        ),
        consignee=us.name,
        origin=shipment.origin,
        trailer=_trailers(gathered.deliveries),
        delivered=tuple(
            letter_moment(row.arrived_at, claim.location) for row in gathered.deliveries
        ),
        driver=", ".join(
            dict.fromkeys(
                row.driver_name for row in gathered.deliveries if row.driver_name
            )
        ),
        pieces=joined(plural(pieces, shipment.piece_unit) if pieces else "", weight),
        freight_class=shipment.freight_class,
        freight=joined(
            _PAID_BY.get(shipment.freight_payer, ""),
            amount_text(shipment.freight_charge_cents, shipment.currency),
        ),
        carrier_claim_number=claim.carrier_claim_number,
    )


def _trailers(deliveries: Iterable[Delivery]) -> str:
    return "; ".join(
        joined(
            row.trailer_number,
            f"seal {row.seal_number}" if row.seal_number else "",
            mid_sentence(row.get_seal_condition_display())
            if row.seal_condition
            else "",
        )
        for row in deliveries
        if row.trailer_number or row.seal_number
    )


def _supplement(claim: Claim, lines: Iterable[ClaimLine]) -> str:
    rows = list(lines)
    words = []
    for number in range(1, claim.supplements + 1):
        own = [str(line.number) for line in rows if line.supplement == number]
        if own:
            words.append(f"Supplement {number}, adding line {', '.join(own)}")
    return "; ".join(words)
