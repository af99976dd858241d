"""What a letter about a claim may say, and the letters that were written."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from claims.models import Claim, ClaimLetter, ClaimLine, Deadline, Notice
from claims.queries.claim.overlap import overlap_of
from claims.queries.claim.proof import evidence_of, proof_of
from claims.queries.claim.worksheet import counted_lines, sheet_of
from claims.queries.core.parties import written_to
from claims.queries.core.payments import claim_money
from claims.queries.core.waiting import carrier_periods, earlier_letters
from claims.queries.letters.goods import goods_facts
from claims.queries.letters.notices import (
    carrier_party,
    sender_of,
    supplier_party,
    title_of,
)
from claims.queries.letters.record_facts import record_facts
from claims.rules.claim.closing import ClaimSheet
from claims.rules.claim.life import LIFE, SETTLED
from claims.rules.claim.proof import PRESENT
from claims.rules.core.vocabulary import SENT_HOW
from claims.rules.damages.facts import DamagesError
from claims.rules.letters.claim_letter import (
    LetterFacts,
    LetterKind,
    LetterLine,
    NoticeGiven,
)
from claims.rules.letters.claim_letter_kinds import KINDS
from claims.rules.letters.due import DueLetter, is_red, letter_due
from claims.rules.letters.salvage import SOLD
from claims.rules.letters.waiting import waiting_of
from inventory.models import Delivery, Shipment, User
from inventory.rules.core.text import mid_sentence
from inventory.rules.reckoning.calendars import in_full


def letter_facts(claim: Claim, *, person: User, today: date) -> LetterFacts:
    """Return what a letter that this person signs today may say about the claim.

    ``claim`` comes with its shipment, and that with carrier, supplier and location.
    """
    shipment = claim.shipment
    lines = counted_lines(claim)
    sheet = _sheet(claim, lines)
    listed = _lines(lines, sheet)
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
        claimed_cents=sheet.demanded_cents if sheet else 0,
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
        settled_on=claim.ended_on if claim.state == SETTLED else None,
        paid_cents=claim_money(claim).paid_cents,
        claim_by=_claim_by(shipment),
        notices=_notices(shipment),
        pay_to=claim.pay_to,
        periods=carrier_periods(shipment.regime),
        claim_file=_claim_file(claim),
        documents=_documents(claim, lines),
        letters=earlier_letters(claim.letters.all()),
        is_broker=written_to(claim).is_broker,
        is_over=claim.state in LIFE.final,
        is_way_home=shipment.crate_return_id is not None,
        record=record_facts(claim, lines, sheet),
        goods=goods_facts(claim, lines, person=person),
        overlap=overlap_of(claim, lines),
    )


def _sheet(claim: Claim, lines: Sequence[ClaimLine]) -> ClaimSheet | None:
    """Return the claim's sheet; None without lines, or where they are in doubt."""
    try:
        return sheet_of(claim, lines)
    except DamagesError:
        return None


def _lines(
    lines: Sequence[ClaimLine], sheet: ClaimSheet | None
) -> tuple[LetterLine, ...]:
    """Return the lines as the claim states them."""
    if sheet is None:
        return ()
    amounts = {row.number: row.claimed_cents for row in sheet.lines}
    return tuple(
        LetterLine(
            number=line.number,
            label=line.label,
            serial=line.unit.serial if line.unit else "",
            amount_cents=amounts[line.number],
            supplement=line.supplement,
            paid_cents=line.recovered_cents,
            outcome=line.outcome,
            salvage_cents=line.salvage_cents if line.outcome in SOLD else 0,
        )
        for line in lines
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


@dataclass(frozen=True)
class KindRow:
    """One kind of letter, and why it is not possible today."""

    kind: LetterKind[Any]
    against: tuple[str, ...]


@dataclass(frozen=True)
class LettersPage:
    """The letters about a claim: the one that is due, the kinds, those written."""

    due: DueLetter | None
    is_red: bool
    possible: tuple[KindRow, ...]
    others: tuple[KindRow, ...]
    written: tuple[ClaimLetter, ...]


def letters_page(claim: Claim, facts: LetterFacts) -> LettersPage:
    """Return what the page of a claim's letters shows; ``claim.letters`` are loaded."""
    rows = [KindRow(kind, kind.against(facts)) for kind in KINDS.values()]
    waiting = waiting_of(facts)
    return LettersPage(
        due=letter_due(waiting),
        is_red=facts.sent_on is not None and is_red(waiting),
        possible=tuple(row for row in rows if not row.against),
        others=tuple(row for row in rows if row.against),
        written=tuple(sorted(claim.letters.all(), key=lambda row: -row.number)),
    )
