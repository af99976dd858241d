"""What a letter about a claim may say, and the letters that were written."""

from collections.abc import Iterable, Sequence
from datetime import date

from claims.models import Claim, ClaimLetter, ClaimLine, Deadline, Notice
from claims.queries.claim.proof import evidence_of, proof_of
from claims.queries.claim.worksheet import counted_lines, sheet_of
from claims.queries.letters.notices import (
    carrier_party,
    sender_of,
    supplier_party,
    title_of,
)
from claims.rules.claim.life import LIFE
from claims.rules.claim.proof import PRESENT
from claims.rules.core.vocabulary import SENT_HOW
from claims.rules.damages.facts import DamagesError
from claims.rules.letters.claim_letter import (
    CarrierPeriods,
    EarlierLetter,
    LetterFacts,
    LetterLine,
    NoticeGiven,
    Period,
)
from claims.rules.regimes import REGIMES
from inventory.models import Delivery, Shipment, User
from inventory.rules.core.text import mid_sentence
from inventory.rules.reckoning.calendars import in_full


def letter_facts(claim: Claim, *, person: User, today: date) -> LetterFacts:
    """Return what a letter that this person signs today may say about the claim.

    ``claim`` comes with its shipment, and that with carrier, supplier and location.
    """
    shipment = claim.shipment
    lines = counted_lines(claim)
    listed, demanded = _amounts(claim, lines)
    signs_claim = claim.signer_name in {"", str(person)}
    title = title_of(person, claim.location)
    return LetterFacts(
        today=today,
        regime=shipment.regime,
        currency=claim.currency,
        claim_number=claim.number,
        claimant=claim.claimant,
        pro=shipment.pro_number,
        sender=sender_of(claim.location),
        carrier=carrier_party(claim),
        signer=str(person),
        signer_title=(claim.signer_title if signs_claim else "") or title,
        signer_phone=(claim.signer_phone if signs_claim else "") or person.phone,
        supplier=supplier_party(shipment),
        carrier_claim_number=claim.carrier_claim_number,
        bol=shipment.bol_number,
        bol_on=shipment.bol_on,
        delivered_on=_delivered_on(shipment),
        claimed_cents=demanded,
        lines=listed,
        sent_on=claim.sent_on,
        sent_how=mid_sentence(SENT_HOW[claim.sent_how]) if claim.sent_how else "",
        received_on=claim.received_on,
        received_words=claim.receipt_words,
        acknowledged_on=claim.acknowledged_on,
        offered_on=claim.offered_on,
        offered_cents=claim.offered_cents,
        disallowed_on=claim.disallowed_on,
        disallowed_reason=claim.disallowed_reason,
        settled_on=claim.settled_on,
        paid_cents=claim.settled_cents or 0,
        claim_by=_claim_by(shipment),
        notices=_notices(shipment),
        pay_to=claim.pay_to,
        periods=carrier_periods(shipment.regime),
        claim_file=_claim_file(claim),
        documents=_documents(claim, lines),
        letters=earlier_letters(claim.letters.all()),
        is_broker=shipment.carrier.is_broker,
        is_over=claim.state in LIFE.final,
    )


def carrier_periods(regime: str) -> CarrierPeriods:
    """Return what the rules of the carriage ask of the carrier once it has a claim."""
    rules = REGIMES.get(regime)
    found = {
        record.duty: Period(record.count, record.authority)
        for record in (rules.records if rules else ())
        if record.owed_by == "carrier" and record.count and record.unit == "days"
    }
    return CarrierPeriods(
        found.get("acknowledgement"), found.get("disposition"), found.get("status")
    )


def earlier_letters(rows: Iterable[ClaimLetter]) -> tuple[EarlierLetter, ...]:
    """Return the letters that were not dropped, the first one first."""
    kept = sorted(
        (row for row in rows if not row.dropped_reason), key=lambda row: row.number
    )
    return tuple(
        EarlierLetter(row.kind, row.number, row.dated_on, row.sent_on, row.received_on)
        for row in kept
    )


def _amounts(
    claim: Claim, lines: Sequence[ClaimLine]
) -> tuple[tuple[LetterLine, ...], int]:
    """Return the lines as the claim states them, and the demand; nothing in doubt."""
    try:
        sheet = sheet_of(claim, lines)
    except DamagesError:
        return (), 0
    if sheet is None:
        return (), 0
    amounts = {row.number: row.claimed_cents for row in sheet.lines}
    return (
        tuple(
            LetterLine(
                number=line.number,
                label=line.label,
                serial=line.unit.serial if line.unit else "",
                amount_cents=amounts[line.number],
                supplement=line.supplement,
            )
            for line in lines
        ),
        sheet.demanded_cents,
    )


def _delivered_on(shipment: Shipment) -> date | None:
    last = Delivery.bringing(shipment).order_by("arrived_at", "pk").last()
    return last.arrived_on if last else None


def _claim_by(shipment: Shipment) -> date | None:
    rows = Deadline.objects.filter(shipment=shipment, duty="claim", superseded_at=None)
    return rows.order_by("safe").values_list("safe", flat=True).first()


def _notices(shipment: Shipment) -> tuple[NoticeGiven, ...]:
    rows = Notice.objects.filter(shipment=shipment, sent_on__isnull=False)
    return tuple(
        NoticeGiven(row.kind, row.sent_on, row.received_on)
        for row in rows.order_by("sent_on", "pk")
        if row.sent_on
    )


def _claim_file(claim: Claim) -> str:
    packet = claim.packets.defer("content").order_by("-packet_version").first()
    if packet is None:
        return ""
    return f"Claim file, version {packet.packet_version}, {in_full(packet.as_of)}"


def _documents(claim: Claim, lines: list[ClaimLine]) -> tuple[str, ...]:
    proof = proof_of(claim, lines, evidence_of(claim.shipment))
    return tuple(paper.label for paper in proof.papers if paper.state == PRESENT)
