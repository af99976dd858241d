"""The claim statement on the first page, the contents, and the schedule of the loss."""

from collections.abc import Sequence

from reportlab.platypus import Flowable, HRFlowable, KeepTogether, Spacer, Table

from claims.rules.packet.content import (
    ClaimStatement,
    Line,
    PacketContent,
    Party,
    Schedule,
    ShipmentFacts,
    Step,
)
from inventory.documents.core import styles
from inventory.documents.core.page import Heading, Pages, together
from inventory.documents.core.styles import text_width
from inventory.documents.core.tables import Column, ruled_table
from inventory.documents.core.text import P

UNKNOWN = "not known"

_FACTS = (Column("", 29), Column("", 71, strong=True))
_STEPS = (Column("", 76), Column("", 24, right=True))


def first_page(content: PacketContent) -> list[Flowable]:
    """Return the statement: parties, the demand, the shipment, the signature."""
    claim = content.statement
    width = text_width(content.paper)
    return [
        *_letterhead(content, width),
        Spacer(1, 3),
        *P(f"{claim.kind} claim on a freight bill", styles.TITLE),
        *P(claim.supplement, styles.BODY),
        Spacer(1, 4),
        Heading("Claim statement"),
        *_demand(claim, width),
        *P(_identifies(claim.shipment), styles.BODY, lead="The shipment."),
        *_shipment_table(claim.shipment, width),
        *_remarks(claim.remarks),
        _signature(claim, width),
    ]


def contents(titles: Sequence[str], pages: Pages, paper: str) -> list[Flowable]:
    """Return the list of sections with their pages, in two columns."""
    named = [(title, str(pages.headings.get(title, 1))) for title in titles]
    half = (len(named) + 1) // 2
    second = [*named[half:], *[("", "")] * (half * 2 - len(named))]
    rows = [[*left, *right] for left, right in zip(named[:half], second, strict=True)]
    columns = (
        Column("In this claim file", 42),
        Column("Page", 8, right=True),
        Column("", 42),
        Column("Page", 8, right=True),
    )
    return [Spacer(1, 8), *ruled_table(columns, rows, text_width(paper))]


def schedule(content: PacketContent) -> list[Flowable]:
    """Return each line with its steps, then the worksheet down to the demand."""
    loss: Schedule = content.schedule
    width = text_width(content.paper)
    made = P(loss.basis, styles.BODY, lead="Measure of the loss.")
    for line in loss.lines:
        made += together(_line(line, width), content.paper)
    if loss.worksheet:
        lead = P("From the lines to the amount demanded", styles.LEAD)
        made += together([*lead, *_steps(loss.worksheet, width)], content.paper)
    for limit in loss.limits:
        made += P(limit, styles.BODY)
    return made


def _letterhead(content: PacketContent, width: float) -> list[Flowable]:
    claim = content.statement
    sender = [*P(claim.claimant.name, styles.SENDER), *_lines(claim.claimant)]
    theirs = claim.carrier_claim_number
    right = [
        *P(claim.statement_date, styles.RIGHT),
        *P(f"Our claim {claim.claim_number}", styles.RIGHT),
        *P(f"Your claim {theirs}" if theirs else "", styles.RIGHT),
        *P(f"Claim file version {content.version}", styles.RIGHT),
    ]
    to = [*P(claim.carrier.name, styles.LEAD), *_lines(claim.carrier)]
    return [
        _side_by_side(sender, right, width),
        HRFlowable(width, 1.1, color=styles.INK, spaceBefore=6, spaceAfter=8),
        *to,
    ]


def _lines(party: Party) -> list[Flowable]:
    return P("\n".join(line for line in party.lines if line), styles.TIGHT)


def _side_by_side(
    left: list[Flowable], right: list[Flowable], width: float
) -> Flowable:
    return Table(
        [[left, right]],
        colWidths=[width * 0.64, width * 0.36],
        style=[
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 0),
            ("TOPPADDING", (0, 0), (-1, -1), 0),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
        ],
    )


def _demand(claim: ClaimStatement, width: float) -> list[Flowable]:
    """Return assertion and demand, each with the rule it answers."""
    amount = f"{claim.currency} {claim.amount}"
    box = Table(
        [
            [
                P("Amount demanded\n49 CFR 370.3(b)(3)", styles.SMALL),
                P(amount, styles.AMOUNT),
            ]
        ],
        colWidths=[width * 0.36, width * 0.64],
        style=[
            ("BOX", (0, 0), (-1, -1), 1.1, styles.INK),
            ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
            ("LEFTPADDING", (0, 0), (-1, -1), 10),
            ("TOPPADDING", (0, 0), (-1, -1), 7),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 7),
        ],
    )
    asserted = f"{claim.assertion} (49 CFR 370.3(b)(2))"
    return [
        *P(asserted, styles.BODY, lead="Liability."),
        box,
        Spacer(1, 8),
    ]


def _identifies(facts: ShipmentFacts) -> str:
    return (
        f"The claim is for freight bill (PRO) {facts.pro}, identified as follows. "
        "(49 CFR 370.3(b)(1))"
    )


def _shipment_table(facts: ShipmentFacts, width: float) -> list[Flowable]:
    dated = f" of {facts.bol_date}" if facts.bol_date else ""
    rows = [
        ("Freight bill (PRO)", facts.pro),
        ("Bill of lading", f"{facts.bol_number or UNKNOWN}{dated}"),
        ("Carrier", facts.carrier),
        ("Shipper", facts.shipper),
        ("Consignee", facts.consignee),
        (
            "Origin, destination",
            f"{facts.origin or UNKNOWN} to {facts.destination or UNKNOWN}",
        ),
        ("Pieces, weight", f"{facts.pieces or UNKNOWN}; {facts.weight or UNKNOWN}"),
        ("Delivered", "\n".join(facts.delivered_on)),
        ("Goods", "\n".join(facts.goods)),
        *((row.label, row.value) for row in facts.more),
    ]
    optional = {"Goods"}
    shown = [
        [label, value or UNKNOWN]
        for label, value in rows
        if value or label not in optional
    ]
    return ruled_table(_FACTS, shown, width)


def _remarks(remarks: Sequence[str]) -> list[Flowable]:
    made: list[Flowable] = []
    for remark in remarks:
        made += P(remark, styles.BODY)
    return made


def _signature(claim: ClaimStatement, width: float) -> Flowable:
    who = ", ".join(part for part in (claim.signed_by, claim.signed_as) if part)
    return KeepTogether(
        [
            Spacer(1, 26),
            HRFlowable(width * 0.46, 0.7, color=styles.INK, hAlign="LEFT"),
            *P(f"{who}\n{claim.claimant.name}", styles.TIGHT),
        ]
    )


def _line(line: Line, width: float) -> list[Flowable]:
    head = f"Line {line.number}. {line.label}"
    outcome = f" ({line.outcome})" if line.outcome else ""
    steps = line.steps
    if not (steps and steps[-1].is_total and steps[-1].amount == line.amount):
        steps = (*steps, Step(f"Line {line.number}", line.amount, is_total=True))
    return [
        *P(f"{head}{outcome}", styles.LEAD),
        *_steps(steps, width),
        *P(line.note, styles.NOTE),
        Spacer(1, 4),
    ]


def _steps(steps: Sequence[Step], width: float) -> list[Flowable]:
    totals = frozenset(i for i, step in enumerate(steps) if step.is_total)
    rows = [[step.text, step.amount] for step in steps]
    return ruled_table(_STEPS, rows, width, totals=totals)
