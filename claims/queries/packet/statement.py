"""The claim statement: the shipment, the assertion of liability, the demand."""

from collections.abc import Sequence
from datetime import date

from claims.models import Claim, ClaimLine
from claims.queries.letters.notices import sender_of
from claims.queries.packet.text import day_text, plural
from claims.rules.claim.closing import ClaimSheet
from claims.rules.packet.content import ClaimStatement, Party, Row, ShipmentFacts
from inventory.models import Delivery, Hold, Shipment, Unit, User
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.money import format_cents


def statement_of(
    claim: Claim,
    lines: Sequence[ClaimLine],
    sheet: ClaimSheet,
    *,
    deliveries: Sequence[Delivery],
    as_of: date,
    person: User,
) -> ClaimStatement:
    """Return the statement with all that 49 CFR 370.3(b) asks of a claim."""
    shipment = claim.shipment
    carrier = shipment.carrier
    kind = _kind(lines)
    us = sender_of(claim.location)
    amount = format_cents(sheet.demanded_cents, claim.currency)
    return ClaimStatement(
        claim_number=claim.number,
        kind=kind,
        carrier=Party(carrier.name, _carrier_lines(claim)),
        claimant=us
        if claim.claimant == "us" or shipment.supplier is None
        else Party(
            shipment.supplier.name, tuple(shipment.supplier.address.splitlines())
        ),
        carrier_claim_number=claim.carrier_claim_number,
        shipment=_shipment(shipment, us, deliveries),
        assertion=_assertion(claim, kind),
        amount=amount,
        currency=claim.currency,
        statement_date=in_words(as_of),
        signed_by=str(person),
        signed_as="Manager, for the claimant",
        supplement=_supplement(claim, lines),
        remarks=_remarks(sheet, claim),
    )


def _kind(lines: Sequence[ClaimLine]) -> str:
    has_short = any(line.outcome == "short" for line in lines)
    has_damage = any(line.outcome != "short" for line in lines)
    if has_short and has_damage:
        return "Damage and shortage"
    return "Shortage" if has_short else "Damage"


def _carrier_lines(claim: Claim) -> tuple[str, ...]:
    carrier = claim.shipment.carrier
    lines = ["Claims department", *carrier.claims_address.splitlines()]
    lines += [carrier.claims_email, carrier.claims_phone]
    return tuple(line for line in lines if line)


def _assertion(claim: Claim, kind: str) -> str:
    carrier = claim.shipment.carrier.name
    what = {
        "Damage": "damaged while in its possession",
        "Shortage": "short of goods that it received and did not deliver",
        "Damage and shortage": "damaged, and short of goods that it received and did "
        "not deliver",
    }[kind]
    return (
        f"{carrier} received the shipment described here for carriage and delivered "
        f"it {what}. The claimant asserts that {carrier} is liable for the loss and "
        "claims payment of the amount stated."
    )


def _shipment(
    shipment: Shipment, us: Party, deliveries: Sequence[Delivery]
) -> ShipmentFacts:
    units = Unit.objects.filter(shipment=shipment).order_by("pk")
    pieces = shipment.pieces_billed
    return ShipmentFacts(
        pro=shipment.pro_number,
        bol_number=shipment.bol_number,
        bol_date=day_text(shipment.bol_on),
        carrier=shipment.carrier.name,
        shipper=shipment.supplier.name if shipment.supplier else "",
        consignee=us.name,
        origin=shipment.origin,
        destination=", ".join(us.lines),
        pieces=plural(pieces, shipment.piece_unit) if pieces else "",
        weight=f"{shipment.billed_weight} {shipment.weight_unit}"
        if shipment.billed_weight
        else "",
        delivered_on=tuple(in_words(row.arrived_on) for row in deliveries),
        goods=tuple(_goods(unit) for unit in units),
        more=_more(shipment, deliveries),
    )


def _goods(unit: Unit) -> str:
    serial = f", serial {unit.serial}" if unit.serial else ""
    weight = f", {unit.weight} {unit.weight_unit}" if unit.weight else ""
    return f"{unit.model}{serial}{weight}"


def _more(shipment: Shipment, deliveries: Sequence[Delivery]) -> tuple[Row, ...]:
    scac = shipment.carrier.scac
    rows = [
        ("Carrier's SCAC", scac),
        ("Trailer", ", ".join(row.trailer_number for row in deliveries)),
        ("Seal", ", ".join(row.seal_number for row in deliveries)),
        ("Delivery terms", shipment.get_delivery_terms_display()),
        ("Freight", shipment.get_freight_payer_display()),
    ]
    return tuple(Row(label, value) for label, value in rows if value.strip(", "))


def _supplement(claim: Claim, lines: Sequence[ClaimLine]) -> str:
    if not claim.supplements:
        return ""
    words = []
    for number in range(1, claim.supplements + 1):
        own = [str(line.number) for line in lines if line.supplement == number]
        if own:
            words.append(f"Supplement {number}, adding line {', '.join(own)}")
    return "; ".join(words)


def _remarks(sheet: ClaimSheet, claim: Claim) -> tuple[str, ...]:
    found = []
    if sheet.recovered_cents:
        had = format_cents(sheet.recovered_cents, claim.currency, code=True)
        found.append(f"{had} already recovered is deducted; nothing is claimed twice.")
    if Hold.objects.filter(unit__shipment=claim.shipment, released_at=None).exists():
        found.append(
            "The damaged goods and their packaging are held as found for the carrier's "
            "inspection."
        )
    return tuple(found)
