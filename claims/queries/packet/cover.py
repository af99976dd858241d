"""Page one of a claim file: the letter to the carrier, or to the supplier."""

from claims.queries.letters.notices import carrier_party, sender_of, supplier_party
from claims.queries.packet.gathered import Gathered
from claims.queries.packet.statement import loss_facts
from claims.queries.packet.text import amount_text, joined, letter_day
from claims.rules.packet import wording
from claims.rules.packet.content import CoverLetter, Party, Row
from claims.rules.packet.neutral_lines import KINDS, neutral_line


def cover_of(gathered: Gathered) -> CoverLetter:
    """Return the letter that goes on top of the claim."""
    claim = gathered.claim
    facts = loss_facts(gathered)
    count = len(gathered.files)
    if claim.claimant == "supplier":
        opening, demand = wording.hand_over(facts), ""
        closing = wording.hand_over_asks()
    else:
        opening, demand = wording.opening(facts), wording.demand(facts)
        closing = wording.closing(facts, exhibits=count)
    return CoverLetter(
        date=letter_day(gathered.as_of),
        addressee=_addressee(gathered),
        references=_references(gathered),
        opening=opening,
        demand=demand,
        closing=closing,
        pay_to=() if claim.claimant == "supplier" else pay_to(gathered),
        enclosed=(
            *(("Claim statement and schedule",) if claim.claimant == "us" else ()),
            *(
                (f"Exhibits 1 to {count}" if count > 1 else "Exhibit 1",)
                if count
                else ()
            ),
            "List of evidence",
            *neutral_lines(gathered),
        ),
    )


def _addressee(gathered: Gathered) -> Party:
    claim = gathered.claim
    supplier = supplier_party(claim.shipment)
    if claim.claimant == "us" or supplier is None:
        return carrier_party(claim)
    return supplier


def _references(gathered: Gathered) -> tuple[Row, ...]:
    claim, shipment = gathered.claim, gathered.claim.shipment
    facts = loss_facts(gathered)
    ours = claim.claimant == "us"
    amount = amount_text(gathered.sheet.demanded_cents, claim.currency)
    kind = wording.claim_for(facts.kind) if ours else "Loss as recorded"
    return (
        Row(kind, amount),
        Row("Our claim" if ours else "Our file", claim.number),
        Row("Freight bill (PRO)", shipment.pro_number or "Not on the papers"),
        Row(
            "Your claim number" if ours else "Carrier's claim",
            claim.carrier_claim_number or "Not yet assigned",
        ),
        Row("Bill of lading", joined(shipment.bol_number, letter_day(shipment.bol_on))),
        Row("Delivered", facts.delivered),
    )


def pay_to(gathered: Gathered) -> tuple[str, ...]:
    """Return payee and remit-to, as the manager entered them or as the location."""
    claim = gathered.claim
    us = sender_of(claim.location)
    lines = claim.pay_to.splitlines() or [us.name, *us.lines]
    return (*(line for line in lines if line.strip()), f"For claim {claim.number}")


def neutral_lines(gathered: Gathered) -> tuple[str, ...]:
    """Return the lines of documents that are not among the exhibits."""
    chosen = gathered.claim.neutral_lines
    here = {KINDS.get(row.kind, "") for row in gathered.files}
    return tuple(
        line
        for paper, key in sorted(chosen.items())
        if paper not in here and (line := neutral_line(paper, key))
    )
