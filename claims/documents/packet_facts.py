"""Schedule, exceptions as written, findings, and custody: the facts behind the demand."""

from collections.abc import Sequence

from reportlab.platypus import Flowable, KeepTogether, Spacer

from claims.documents import packet_parts as parts
from claims.rules.packet.content import PacketContent
from claims.rules.packet.loss import Line, Step
from claims.rules.packet.recorded import CustodyEntry, FindingEntry, ReceiptEntry
from inventory.documents.core import styles
from inventory.documents.core.drawings import CrateDrawing
from inventory.documents.core.page import OutlineMark, together
from inventory.documents.core.styles import text_width
from inventory.documents.core.tables import Column, ruled_table
from inventory.documents.core.text import P

_STEPS = (Column("", 76), Column("", 24, right=True))


def schedule(content: PacketContent) -> list[Flowable]:
    """Return each line with parts, labor and steps, then the way to the demand."""
    loss, width = content.schedule, text_width(content.paper)
    made = P(loss.basis, styles.BODY, lead="Measure of the loss.")
    for line in loss.lines:
        made += together(_line(line, content.statement.currency, width), content.paper)
    lead = P("From the lines to the amount", styles.LEAD)
    return made + together([*lead, *_steps(loss.worksheet, width)], content.paper)


def _line(line: Line, currency: str, width: float) -> list[Flowable]:
    rows = [
        ["", row.text, row.quantity, row.unit_price, row.amount] for row in line.parts
    ]
    return [
        *P(f"Line {line.number}. {line.label}", styles.LEAD),
        *(parts.amounts(rows, width, currency, frozenset()) if rows else []),
        *_steps(line.steps, width),
        Spacer(1, 6),
    ]


def _steps(steps: Sequence[Step], width: float) -> list[Flowable]:
    totals = frozenset(i for i, step in enumerate(steps) if step.is_total)
    rows = [[step.text, step.amount] for step in steps]
    return ruled_table(_STEPS, rows, width, totals=totals)


def receipts(content: PacketContent) -> list[Flowable]:
    """Return, for each delivery, the exceptions verbatim and on whose copies."""
    made: list[Flowable] = []
    for receipt in content.receipts:
        made += together(_receipt(receipt, content.paper), content.paper)
    return made


def _receipt(receipt: ReceiptEntry, paper: str) -> list[Flowable]:
    words = P("No exceptions were written.", styles.BODY)
    if receipt.words:
        words = P("Written at delivery, word for word:", styles.NOTE)
        words += P(receipt.words, styles.QUOTE)
    rows = [
        ("Written on", receipt.written_on),
        ("How signed", receipt.how_signed),
        ("Driver", receipt.driver),
        ("Exhibits", numbers(receipt.exhibits)),
    ]
    return [
        *P(receipt.delivery, styles.LEAD),
        *words,
        *parts.facts(rows, text_width(paper)),
        Spacer(1, 8),
    ]


def findings(content: PacketContent) -> list[Flowable]:
    """Return each finding: the facts, and the exhibits that show it."""
    made: list[Flowable] = []
    for entry in content.findings:
        made += together(_finding(entry, content.paper), content.paper)
    return made


def _finding(entry: FindingEntry, paper: str) -> list[Flowable]:
    title = f"Finding {entry.number}. {entry.title}"
    rows = [
        ("On", entry.subject),
        ("Found", entry.found),
        ("Inspection", entry.stage),
        ("Severity", entry.severity),
        ("To be seen at delivery", entry.seen_at_delivery),
        ("Exhibits", numbers(entry.exhibits)),
    ]
    crate: list[Flowable] = []
    if entry.faces:
        words = "The crate unfolded, seen from outside; damaged sides are hatched."
        crate = [Spacer(1, 5), CrateDrawing(entry.faces), *P(words, styles.NOTE)]
    return [
        OutlineMark(title),
        *P(title, styles.LEAD),
        *P(entry.facts, styles.BODY),
        *parts.facts(rows, text_width(paper)),
        *crate,
        Spacer(1, 12),
    ]


def custody(content: PacketContent) -> list[Flowable]:
    """Return the custody of each crate between delivery and opening, to be signed."""
    made: list[Flowable] = []
    for entry in content.custody:
        made += together(_custody(entry, content.paper), content.paper)
    if made:
        claim = content.statement
        signed = parts.signature(
            claim.signer, claim.claimant.name, text_width(content.paper)
        )
        made.append(KeepTogether(signed))
    return made


def _custody(entry: CustodyEntry, paper: str) -> list[Flowable]:
    rows = [
        ("Delivered", entry.delivered),
        ("Opened", entry.opened),
        ("Where it was in between", entry.kept_at),
        ("Who moved it, with what", entry.moves),
        ("Photos at delivery", numbers(entry.at_delivery)),
        ("Photos at opening", numbers(entry.at_opening)),
    ]
    return [
        *P(entry.crate, styles.LEAD),
        *P(entry.unopened, styles.BODY),
        *parts.facts(rows, text_width(paper)),
        Spacer(1, 10),
    ]


def numbers(exhibits: Sequence[int]) -> str:
    """Return "Exhibit 3" or "Exhibits 3 to 6, 9"."""
    if not exhibits:
        return ""
    runs: list[list[int]] = []
    for one in exhibits:
        if runs and one == runs[-1][-1] + 1:
            runs[-1].append(one)
        else:
            runs.append([one])
    words = [
        str(run[0])
        if len(run) == 1
        else f"{run[0]} to {run[-1]}"
        if len(run) > 2
        else f"{run[0]}, {run[1]}"
        for run in runs
    ]
    return f"{'Exhibit' if len(exhibits) == 1 else 'Exhibits'} {', '.join(words)}"
