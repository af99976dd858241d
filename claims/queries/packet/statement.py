"""The claim statement: the shipment, the articles, the notices, the demand."""

from collections.abc import Iterable

from claims.models import Claim, ClaimLine, Finding
from claims.queries.letters.notices import sender_of
from claims.queries.packet.findings import damage_words, seen_at_delivery
from claims.queries.packet.gathered import Gathered
from claims.queries.packet.schedule import statement_rows, worksheet
from claims.queries.packet.text import (
    amount_text,
    joined,
    letter_day,
    letter_moment,
    plural,
)
from claims.rules.core.vocabulary import NOTICE_KINDS, SENT_HOW
from claims.rules.packet import wording
from claims.rules.packet.content import (
    ArticleFacts,
    ClaimStatement,
    NoticeFacts,
    Party,
    ShipmentFacts,
    Signer,
)
from inventory.models import Crate, Delivery, Location, Unit
from inventory.rules.core.text import mid_sentence
from inventory.rules.reckoning.moments import dock_day
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
        shipment=_shipment(gathered),
        articles=_articles(gathered),
        notice=_notice(gathered),
        rows=statement_rows(gathered),
        closing=worksheet(gathered),
        no_other_claim=_NO_OTHER.format(carrier=carrier) if claim.is_only_claim else "",
        certificate=CERTIFIED,
        signer=signer_of(gathered),
    )


def loss_facts(gathered: Gathered) -> wording.LossFacts:
    """Return the facts that the sentences of the claim file tell."""
    claim, shipment = gathered.claim, gathered.claim.shipment
    days = [letter_day(row.arrived_on) for row in gathered.deliveries]
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
            for unit in _units(gathered.lines)
        ),
        damages=tuple(damage_words(row) for row in gathered.findings),
        receipt=_signed(gathered),
        inspect_at=inspect_at(claim),
        extent=extent_of(claim),
    )


def kind_of(lines: Iterable[ClaimLine]) -> str:
    """Return "Damage", "Shortage" or "Damage and shortage"."""
    outcomes = [line.outcome for line in lines]
    has_short = "short" in outcomes
    if has_short and any(outcome != "short" for outcome in outcomes):
        return wording.BOTH
    return wording.SHORTAGE if has_short else wording.DAMAGE


def extent_of(claim: Claim) -> str:
    """Return "Full loss" or "Partial loss", as the manager chose; else nothing."""
    return wording.EXTENTS.get(claim.extent, "")


def carrier_party(claim: Claim) -> Party:
    """Return the carrier with the address of its claims desk."""
    carrier = claim.shipment.carrier
    lines = [*carrier.claims_address.splitlines(), carrier.claims_email]
    named = any("claims" in line.casefold() for line in lines[:1])
    first = () if named else ("Cargo Claims",)
    kept = [line for line in (*lines, carrier.claims_phone) if line]
    return Party(carrier.name, (*first, *kept))


def signer_of(gathered: Gathered) -> Signer:
    """Return who signs: as the manager entered, else who makes the file."""
    claim = gathered.claim
    return Signer(
        claim.signer_name or str(gathered.person),
        claim.signer_title or "Manager",
        claim.signer_phone,
    )


def one_line(location: Location) -> str:
    """Return a location's address on one line."""
    return ", ".join(line.strip() for line in location.address.splitlines() if line)


def inspect_at(claim: Claim) -> str:
    """Return where and when the goods can be inspected."""
    return claim.inspect_at or one_line(claim.location)


def _units(lines: Iterable[ClaimLine]) -> list[Unit]:
    found = {line.unit.pk: line.unit for line in lines if line.unit}
    return list(found.values())


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


def _articles(gathered: Gathered) -> tuple[ArticleFacts, ...]:
    """Return each claimed machine, or the crate where no machine is named."""
    units = _units(gathered.lines)
    if not units:
        return (_article(None, gathered),)
    return tuple(_article(unit, gathered) for unit in units)


def _article(unit: Unit | None, gathered: Gathered) -> ArticleFacts:
    own = [row for row in gathered.findings if unit is None or row.unit_id == unit.pk]
    crate = unit.crate if unit else next((row.crate for row in own if row.crate), None)
    around = [
        row
        for row in gathered.findings
        if crate and row.unit_id is None and row.crate_id == crate.pk
    ]
    days = list(
        dict.fromkeys(letter_day(row.inspection.looked_on) for row in own or around)
    )
    return ArticleFacts(
        model=unit.model if unit else _labels(gathered.lines),
        serial=unit.serial if unit else "",
        condition=str(unit.get_condition_display()) if unit else "",
        packing=_packing(own),
        crate=_crate_words(crate, gathered),
        weight=f"{unit.weight} {unit.weight_unit}" if unit and unit.weight else "",
        crate_damage="; ".join(damage_words(row) for row in around),
        damage="; ".join(damage_words(row) for row in own if row not in around),
        found=wording.listed(days),
        seen_at_delivery="; ".join(dict.fromkeys(seen_at_delivery(row) for row in own)),
    )


def _labels(lines: Iterable[ClaimLine]) -> str:
    words = "; ".join(line.label for line in lines)
    return words[:1].upper() + words[1:]


def _packing(findings: Iterable[Finding]) -> str:
    conditions = {row.inspection.crate_condition for row in findings}
    if "none" in conditions:
        return "Not crated"
    return "In a closed crate" if any(row.crate_id for row in findings) else ""


def _crate_words(crate: Crate | None, gathered: Gathered) -> str:
    if crate is None:
        return ""
    billed = gathered.claim.shipment.pieces_billed
    of = (
        f" of {billed}"
        if billed and gathered.claim.shipment.piece_unit == "crate"
        else ""
    )
    return joined(f"{crate.number}{of}", f"mark {crate.mark}" if crate.mark else "")


def _notice(gathered: Gathered) -> NoticeFacts:
    claim = gathered.claim
    recovered = gathered.sheet.recovered_cents
    return NoticeFacts(
        exceptions=_exceptions(gathered),
        notices=tuple(
            joined(
                f"{letter_day(row.sent_on)}: {mid_sentence(NOTICE_KINDS[row.kind])}",
                f"sent by {mid_sentence(SENT_HOW[row.sent_how])}"
                if row.sent_how
                else "",
                f"received {letter_day(row.received_on)}" if row.received_on else "",
            )
            for row in gathered.notices
        ),
        inspection=_inspection(gathered),
        where="" if kind_of(gathered.lines) == wording.SHORTAGE else inspect_at(claim),
        salvage=claim.salvage_held or salvage_of(claim, gathered.lines),
        repair=claim.repair_done or _repair(gathered),
        recovered=amount_text(recovered, claim.currency) if recovered else "None",
    )


def salvage_of(claim: Claim, lines: Iterable[ClaimLine]) -> str:
    """Return who holds the salvage, as far as the record says."""
    rows = list(lines)
    if all(line.outcome == "short" for line in rows):
        return "None: the goods were not delivered."
    crates = [line.unit.crate for line in rows if line.unit and line.unit.crate]
    if any(crate.look == "refused" for crate in crates):
        return f"{claim.shipment.carrier.name} holds what was refused at delivery."
    return f"{claim.location.name} holds the article and any parts taken off."


def _exceptions(gathered: Gathered) -> str:
    numbers = gathered.exhibits_where("receipt")
    shown = f" (Exhibit {', '.join(map(str, numbers))})" if numbers else ""
    told = [
        joined(
            letter_day(row.delivery.arrived_on),
            mid_sentence(row.closing.get_words_stand_on_display()) or "",
            mid_sentence(row.ending_words),
        )
        for row in gathered.handovers
        if row.words_full
    ]
    return f"{'; '.join(told)}{shown}" if told else f"None written{shown}"


def _inspection(gathered: Gathered) -> str:
    zone = gathered.claim.location.zone
    told = [
        joined(
            {"inspected": "Inspected", "waived": "Waived in writing"}[row.released_how]
            + f" by {gathered.claim.shipment.carrier.name}",
            letter_day(dock_day(row.released_at, zone)) if row.released_at else "",
        )
        for row in gathered.holds
        if row.released_how in {"inspected", "waived"}
    ]
    numbers = gathered.exhibits_where("inspection-report", "inspection-waiver")
    shown = f" (Exhibit {', '.join(map(str, numbers))})" if numbers else ""
    if told or numbers:
        return f"{'; '.join(dict.fromkeys(told)) or 'Enclosed'}{shown}"
    asked = [row for row in gathered.notices if row.kind == "concealed"]
    return f"Requested {letter_day(asked[0].sent_on)}" if asked else ""


def _repair(gathered: Gathered) -> str:
    held = any(row.released_at is None for row in gathered.holds)
    return "Not begun. The article and its packaging are held." if held else ""


def _supplement(claim: Claim, lines: Iterable[ClaimLine]) -> str:
    rows = list(lines)
    words = []
    for number in range(1, claim.supplements + 1):
        own = [str(line.number) for line in rows if line.supplement == number]
        if own:
            words.append(f"Supplement {number}, adding line {', '.join(own)}")
    return "; ".join(words)
