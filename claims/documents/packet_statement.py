"""The claim statement: the demand first, then A to D, certified and signed."""

from collections.abc import Sequence

from reportlab.platypus import Flowable, KeepTogether, Spacer, Table

from claims.documents import packet_parts as parts
from claims.rules.packet.content import (
    ArticleFacts,
    ClaimStatement,
    NoticeFacts,
    PacketContent,
    ShipmentFacts,
)
from claims.rules.packet.loss import Step
from inventory.documents.core import styles
from inventory.documents.core.styles import text_width
from inventory.documents.core.text import P

TITLES = {"claim": "Claim statement", "hand-over": "Record of the loss"}
_NUMBER = {"claim": "Your claim number", "hand-over": "Carrier's claim"}
UNKNOWN = "Not on the papers"


def statement(content: PacketContent) -> list[Flowable]:
    """Return the statement; for a hand-over the same facts without a demand."""
    claim, width = content.statement, text_width(content.paper)
    is_claim = content.edition == "claim"
    return [
        parts.PageHead(TITLES[content.edition]),
        *P(claim.supplement, styles.BODY),
        *(_demand(claim, width) if is_claim else []),
        parts.LetterHead("A", "The shipment"),
        *_shipment(claim.shipment, _NUMBER[content.edition], width),
        parts.LetterHead("B", _articles_head(claim)),
        *_articles(claim, width),
        parts.LetterHead("C", "Notice, inspection and salvage"),
        *_notice(claim.notice, width),
        parts.LetterHead("D", "How the amount is made up"),
        *amounts_of(claim, width),
        *(_certified(claim, width) if is_claim else _signed(claim, width)),
    ]


def _demand(claim: ClaimStatement, width: float) -> list[Flowable]:
    left = [
        *P("Amount claimed", parts.FACTS),
        *P(f"{claim.currency} {claim.amount}", styles.AMOUNT),
    ]
    extent = f" {claim.extent}." if claim.extent else ""
    return [
        Table(
            [[left, P(f"{claim.assertion}{extent}", parts.FACTS)]],
            colWidths=[width * 0.33, width * 0.67],
            style=[
                ("BOX", (0, 0), (-1, -1), 1.6, styles.INK),
                ("LINEAFTER", (0, 0), (0, 0), 0.9, styles.INK),
                ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
                ("LEFTPADDING", (0, 0), (-1, -1), 10),
                ("RIGHTPADDING", (0, 0), (-1, -1), 8),
                ("TOPPADDING", (0, 0), (-1, -1), 6),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 7),
            ],
        )
    ]


def _shipment(facts: ShipmentFacts, number: str, width: float) -> list[Flowable]:
    carrier = ", ".join(part for part in (facts.carrier, facts.scac) if part)
    left = [
        ("Carrier, SCAC", carrier),
        ("Freight bill (PRO)", facts.pro or UNKNOWN),
        ("Bill of lading", facts.bol or UNKNOWN),
        ("Shipper", facts.shipper),
        ("Consignee", facts.consignee),
        ("Trailer, seal", facts.trailer),
    ]
    right = [
        ("Delivered", "\n".join(facts.delivered)),
        ("Driver", facts.driver),
        ("Pieces, weight", facts.pieces),
        ("Class as billed", facts.freight_class),
        ("Freight", facts.freight),
        (number, facts.carrier_claim_number or "Not yet assigned"),
    ]
    return parts.facts_in_two(left, right, width)


def _articles_head(claim: ClaimStatement) -> str:
    short = claim.kind == "Shortage"
    word = "missing" if short else "damaged"
    return f"The {word} article{'s' if len(claim.articles) > 1 else ''}"


def _articles(claim: ClaimStatement, width: float) -> list[Flowable]:
    made: list[Flowable] = []
    for one in claim.articles:
        made += _article(one, claim.kind, width)
    if claim.extent and not claim.assertion:
        made += P(claim.extent, parts.FACTS)
    return made


def _article(one: ArticleFacts, kind: str, width: float) -> list[Flowable]:
    shipped = ", ".join(part for part in (one.condition, one.packing.lower()) if part)
    loss = "Missing" if kind == "Shortage" else "Article damage"
    left = [
        ("Model, serial", ", ".join(part for part in (one.model, one.serial) if part)),
        ("As shipped", shipped[:1].upper() + shipped[1:]),
        ("Crate", one.crate),
    ]
    right = [
        ("Weight", one.weight),
        ("Found", one.found),
        ("Seen at delivery", one.seen_at_delivery),
    ]
    wide = [("Crate damage", one.crate_damage), (loss, one.damage)]
    return [
        *parts.facts_in_two(left, right, width),
        *parts.facts(wide, width, share=0.165),
    ]


def _notice(facts: NoticeFacts, width: float) -> list[Flowable]:
    rows = [
        ("Exceptions written", facts.exceptions),
        ("Notice", "\n".join(facts.notices)),
        ("Inspection", facts.inspection),
        ("Where it can be seen", facts.where),
        ("Salvage", facts.salvage),
        ("Repair", facts.repair),
        ("Sums recovered", facts.recovered),
    ]
    return parts.facts(rows, width, share=0.22)


def amounts_of(claim: ClaimStatement, width: float) -> list[Flowable]:
    """Return the rows of the lines, then the steps to the amount."""
    rows: list[Sequence[str]] = []
    before = ""
    for row in claim.rows:
        number = "" if row.line == before else row.line
        before = row.line
        rows.append([number, row.text, row.quantity, row.unit_price, row.amount])
    totals = set()
    for step in _closing(claim.closing):
        if step.is_total:
            totals.add(len(rows))
        rows.append(["", step.text, "", "", step.amount])
    return parts.amounts(rows, width, claim.currency, frozenset(totals))


def _closing(steps: Sequence[Step]) -> list[Step]:
    """Return the steps after the sum of all lines, which the rows above make."""
    return list(steps[1:])


def _certified(claim: ClaimStatement, width: float) -> list[Flowable]:
    words = " ".join(part for part in (claim.no_other_claim, claim.certificate) if part)
    return [
        KeepTogether(
            [
                *P(words, parts.VALUE_BODY),
                *parts.signature(claim.signer, claim.claimant.name, width),
            ]
        )
    ]


def _signed(claim: ClaimStatement, width: float) -> list[Flowable]:
    return [
        KeepTogether(
            [
                *P("This record is correct as far as we saw it.", parts.VALUE_BODY),
                *parts.signature(claim.signer, "Consignee", width),
                Spacer(1, 2),
            ]
        )
    ]
