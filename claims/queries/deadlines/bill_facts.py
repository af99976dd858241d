"""A freight bill's rows turned into facts, and the facts into counted duties."""

from collections.abc import Iterable, Sequence
from datetime import date

from claims.models import Claim, Finding, Notice
from claims.queries.core.parties import (
    addressee_of,
    against_filing,
    reaches_carrier,
)
from claims.queries.core.payments import paid_on
from claims.queries.deadlines.bills import (
    SHORTAGES,
    Bill,
    Truck,
    told_days,
)
from claims.rules.deadlines.bankruptcy import (
    BankruptcyFacts,
    proof_of_claim_duty,
    stay_words,
)
from claims.rules.deadlines.carrier_duties import (
    DeliveryFacts,
    MetFacts,
    carrier_duties,
)
from claims.rules.deadlines.counted_duty import CountedDuty
from claims.rules.deadlines.facts import Facts, Letter, Term
from claims.rules.deadlines.supplier_duties import (
    SupplierFacts,
    SupplierTerm,
    first_finds,
    supplier_duties,
)
from claims.rules.deadlines.told import denial_day
from claims.rules.regimes import REGIMES
from claims.rules.regimes.records import DUTIES, TRIGGERS, Duty
from inventory.models import Carrier, Shipment
from inventory.rules.reckoning import calendars


def _losses(truck: Truck, claim: Claim | None) -> tuple[str, ...]:
    found = set()
    if any(row.look == "refused" for row in truck.crates):
        found.add("refused")
    for row in truck.for_carrier:
        is_short = row.damage_kind in SHORTAGES
        found.add("shortage" if is_short else "damage")
    if truck.is_short:
        found.add("shortage")
    if claim is not None and not found:
        found.add("damage")
    return tuple(sorted(found))


def of_carrier(bill: Bill, truck: Truck, claim: Claim | None) -> Iterable[CountedDuty]:
    """Return the duties toward the carrier, and its own, for one truck and claim.

    ``claim`` None counts what no claim is about: notices, and the claim to be made.
    """
    hidden = [row for row in truck.for_carrier if not row.could_be_seen]
    apparent = [row for row in truck.for_carrier if row.could_be_seen]
    facts = DeliveryFacts(
        base=_base(bill, truck, claim),
        losses=_losses(truck, claim),
        has_hidden=bool(hidden) or truck.has_closed,
        has_apparent=bool(apparent) or truck.is_short,
        is_claimed=claim is not None,
        mail_days=bill.carrier.mail_days,
        is_broker=bill.shipment.carrier_of_record is None,
        not_filed=against_filing(claim) if claim else "",
        stay=stay_of(bill, claim),
    )
    return carrier_duties(facts, _met(bill, truck, hidden, claim))


def stay_of(bill: Bill, claim: Claim | None) -> str:
    """Return the caution of a bankruptcy of whom the claim went to, or nothing."""
    row = bill.bankruptcies.get(addressee_of(claim).pk) if claim else None
    return stay_words(row.petition_on) if row else ""


def _base(bill: Bill, truck: Truck, claim: Claim | None) -> Facts:
    shipment = bill.shipment
    arrived = truck.delivery.arrived_on
    refused = any(row.look == "refused" for row in truck.crates)
    finds = [row.inspection.looked_on for row in truck.findings]
    regime = REGIMES[shipment.regime]
    return Facts(
        regime=shipment.regime,
        bill_on=shipment.bol_on,
        carriage_on=shipment.bol_on,
        delivered_on=arrived,
        refused_on=arrived if refused else None,
        discovered_on=min(finds) if finds else None,
        claim_received_on=filed_on(claim),
        letters=letters_of(claim),
        as_of=bill.as_of if regime.is_inland_us else None,
        calendar=calendar_code(shipment),
        is_contract_carriage={"yes": True, "no": False}.get(shipment.contract_carriage),
        terms=carrier_terms(bill.carrier),
    )


def calendar_code(shipment: Shipment) -> str | None:
    """Return the location's holiday calendar, or its country's where that is all."""
    for code in (shipment.location.calendar, shipment.location.country):
        try:
            calendars.calendar_named(code)
        except calendars.CalendarError:
            continue
        return code
    return None


def letters_of(claim: Claim | None) -> tuple[Letter, ...]:
    """Return the carrier's answers to a claim."""
    if claim is None:
        return ()
    letters = []
    if claim.offered_on:
        letters.append(Letter(claim.offered_on, "offer"))
    if claim.disallowed_on:
        disputed = claim.disallowance_disputed
        kind = "offer-and-decline" if disputed else "disallowed"
        letters.append(Letter(claim.disallowed_on, kind))  # type: ignore[arg-type]
    elif claim.opened_elsewhere and (told_day := denial_day(told_days(claim))):
        letters.append(Letter(told_day, "disallowed"))
    paid = _paid_on(claim)
    if paid:
        letters.append(Letter(paid, "paid"))
    return tuple(letters)


def filed_on(claim: Claim | None) -> date | None:
    """Return the day on which a carrier received the claim; a broker is none."""
    if claim is None or against_filing(claim):
        return None
    return claim.received_on


def carrier_terms(carrier: Carrier) -> dict[Duty, Term]:
    """Return what the carrier's own contract or tariff says of each duty."""
    found: dict[Duty, Term] = {}
    for row in carrier.terms.all():
        duty = next((one for one in DUTIES if one == row.duty), None)
        if duty is not None:
            starts = next((one for one in TRIGGERS if one == row.starts), None)
            found[duty] = Term(row.count, row.unit, starts)  # type: ignore[arg-type]
    return found


def _met(
    bill: Bill, truck: Truck, hidden: Sequence[Finding], claim: Claim | None
) -> MetFacts:
    words_stand = truck.handover.closing.words_stand_on in {"both", "carrier"}
    has_words = bool(truck.handover.words_full) and words_stand
    notices = _notices(bill, truck, {"protest", "shortage", "concealed"})
    return MetFacts(
        on_receipt=truck.delivery.arrived_on if has_words else None,
        notice_received_on=_received(notices),
        concealed_received_on=_told_hidden(bill, truck, hidden),
        claim_received_on=received_whole_on(claim),
        acknowledged_on=claim.acknowledged_on if claim else None,
        answered_on=answered_on(claim),
        closed_on=claim.ended_on if claim else None,
    )


def _told_hidden(bill: Bill, truck: Truck, hidden: Sequence[Finding]) -> date | None:
    """Return when the carrier is proven to have been notified of all hidden damage.

    A claim that was received is written notice of its own lines too, even if late.
    """
    notice = _covering(_notices(bill, truck, {"concealed"}), hidden or None)
    claimed = [received_whole_on(bill.held.get(row.pk)) for row in hidden]
    days = [day for day in claimed if day is not None]
    is_covered = bool(hidden) and len(days) == len(hidden)
    return _first(notice, max(days) if is_covered else None)


def answered_on(claim: Claim | None) -> date | None:
    """Return the day of the carrier's first answer to a claim."""
    if claim is None:
        return None
    return _first(claim.offered_on, claim.disallowed_on, _paid_on(claim))


def _paid_on(claim: Claim) -> date | None:
    """Return the day of the first payment; a former settlement's own day."""
    return _first(paid_on(claim), claim.settled_on)


def _first(*days: date | None) -> date | None:
    known = [day for day in days if day]
    return min(known) if known else None


def _notices(bill: Bill, truck: Truck, kinds: set[str]) -> list[Notice]:
    return [
        row
        for row in bill.notices
        if row.kind in kinds
        and row.delivery_id in {None, truck.handover.delivery_id}
        and reaches_carrier(row)
    ]


def _received(notices: Sequence[Notice]) -> date | None:
    return _first(*(row.received_on for row in notices))


def _covering(
    notices: Sequence[Notice], findings: Sequence[Finding] | None
) -> date | None:
    """Return when the notice that names the last of these findings was received.

    A notice covers what was recorded before it was written. None where there is
    nothing to cover: an empty notice meets nothing.
    """
    if not findings:
        return None
    last = max(row.recorded_at for row in findings)
    return _received([row for row in notices if row.written_at >= last])


def received_whole_on(claim: Claim | None) -> date | None:
    """Return the day on which the claim and every supplement had been received."""
    first = filed_on(claim)
    if claim is None or first is None:
        return None
    days = [first]
    for row in claim.supplement_rows.all():
        if row.received_on is None:
            return None
        days.append(row.received_on)
    return max(days)


def of_court(bill: Bill, claim: Claim) -> CountedDuty | None:
    """Return the proof of claim that a carrier's bankruptcy asks of this claim."""
    carrier = addressee_of(claim)
    row, proof = bill.bankruptcies.get(carrier.pk), bill.proofs.get(claim.pk)
    if row is None or claim.claimant != "us":
        return None
    facts = BankruptcyFacts(
        carrier=carrier.printed_name,
        court=row.court,
        case_number=row.case_number,
        petition_on=row.petition_on,
        bar_on=row.bar_on,
        mail_days=carrier.mail_days,
        filed_on=proof.on if proof else None,
    )
    code = calendar_code(bill.shipment) or ""
    counted = proof_of_claim_duty(facts, calendars.calendar_named(code))
    is_moot = claim.ended_on is not None and proof is None
    return None if is_moot else counted


def of_supplier(bill: Bill, truck: Truck) -> Iterable[CountedDuty]:
    """Return the duties toward the supplier for one truck."""
    supplier = bill.shipment.supplier
    if supplier is None:
        return ()
    finds = [(row.damage_kind, row.inspection.looked_on) for row in truck.findings]
    if truck.is_short:
        finds.append(("short", truck.delivery.arrived_on))
    notices = _notices(bill, truck, {"supplier"})
    facts = SupplierFacts(
        supplier=supplier.name,
        delivered_on=truck.delivery.arrived_on,
        bill_on=bill.shipment.bol_on,
        found=first_finds(finds),
        has_closed_crates=truck.has_closed,
        count_agrees=truck.count_agrees,
        told_on=_covering(notices, truck.findings)
        if truck.findings
        else _received(notices),
    )
    terms = [
        SupplierTerm(row.kind, row.count, row.unit, row.starts)
        for row in supplier.periods.all()
    ]
    code = calendar_code(bill.shipment) or ""
    return supplier_duties(terms, facts, calendars.calendar_named(code))
