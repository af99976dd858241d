"""The claim file: one PDF from one frozen content, the same bytes every time."""

from functools import cache
from pathlib import Path

from reportlab.platypus import CondPageBreak, Flowable

from claims.documents import packet_findings as findings
from claims.documents import packet_records as records
from claims.documents import packet_statement as statement
from claims.rules.packet.content import PacketContent, manifest_bytes
from claims.rules.packet.manifest import CHECKER_NAME, MANIFEST_NAME
from inventory.documents.core import styles
from inventory.documents.core.attachments import Attachment, with_attachments
from inventory.documents.core.page import Pages, PageText, build_pdf, section


@cache
def checker_text() -> str:
    """Return the program by which the other side checks a packet without ours."""
    return Path(__file__).with_name("check_packet.py").read_text(encoding="utf-8")


def packet_pdf(content: PacketContent, *, root: Path | str = "") -> bytes:
    """Return the claim file as PDF bytes, drawn from the content and its pictures alone.

    Pictures are read under ``root``, which leaves no trace in the bytes.
    Raise ``inventory.documents.core.pictures.PictureError`` where a picture is missing
    or is not the one that the content names.
    """
    drawn = build_pdf(
        lambda pages: _story(content, Path(root), pages), _around(content)
    )
    return with_attachments(drawn, _attached(content))


def _attached(content: PacketContent) -> list[Attachment]:
    """Return the list of originals and the program that checks it, where frozen."""
    listed = manifest_bytes(content)
    if not listed:
        return []
    return [
        Attachment(
            name=MANIFEST_NAME,
            media_type="application/json",
            relation="/Data",
            description="The originals, each with its sealed record and its proof",
            data=listed,
        ),
        Attachment(
            name=CHECKER_NAME,
            media_type="text/x-python",
            relation="/Supplement",
            description="Checks the originals; needs Python 3 and nothing else",
            data=content.checker.encode(),
        ),
    ]


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
        "About this claim file": records.about(content),
    }
    kept = {title: body for title, body in bodies.items() if body}
    story = statement.first_page(content)
    # Contents begin the next page; a long signature block shares it.
    story.append(CondPageBreak(styles.PAPERS[content.paper][1] * 0.4))
    story += statement.contents(["Claim statement", *kept], pages, content.paper)
    for title, body in kept.items():
        story += section(title, body, content.paper)
    return story
