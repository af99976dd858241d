"""The claim packet: one PDF from one frozen content, the same bytes every time."""

from pathlib import Path

from reportlab.platypus import CondPageBreak, Flowable

from claims.documents import packet_findings as findings
from claims.documents import packet_records as records
from claims.documents import packet_statement as statement
from claims.rules.packet_content import PacketContent
from inventory.documents import styles
from inventory.documents.page import Pages, PageText, build_pdf, section


def packet_pdf(content: PacketContent, *, root: Path | str = "") -> bytes:
    """Return the packet as PDF bytes, drawn from the content and its pictures alone.

    Pictures are looked for under ``root``, which leaves no trace in the bytes.
    Raises ``inventory.documents.pictures.PictureError`` where a picture is missing
    or is not the one that the content names.
    """
    return build_pdf(lambda pages: _story(content, Path(root), pages), _around(content))


def _around(content: PacketContent) -> PageText:
    facts = content.statement.shipment
    return PageText(
        title=content.title,
        author=content.statement.claimant.name,
        head_left=content.statement.claimant.name,
        head_right=f"PRO {facts.pro}   ·   BOL {facts.bol_number}",
        foot=f"{content.title}, version {content.version}, as of {content.as_of}",
        paper=content.paper,
    )


def _story(content: PacketContent, root: Path, pages: Pages) -> list[Flowable]:
    bodies = {
        "Schedule of the loss": statement.schedule(content),
        "Who claims, and why": records.reasoning(content),
        "Exceptions on the delivery receipt": findings.exceptions(content, root),
        "Findings": findings.findings(content, root),
        "Documents": records.papers(content),
        "Deadlines": records.deadlines(content),
        "Chronology": records.chronology(content),
        "List of evidence": records.evidence(content),
        "About this packet": records.about(content),
    }
    kept = {title: body for title, body in bodies.items() if body}
    story = statement.first_page(content)
    # Contents begin the next page; a signature that went over shares it.
    story.append(CondPageBreak(styles.PAPERS[content.paper][1] * 0.4))
    story += statement.contents(["Claim statement", *kept], pages, content.paper)
    for title, body in kept.items():
        story += section(title, body, content.paper)
    return story
