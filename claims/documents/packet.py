"""The claim file: one PDF from one frozen content, the same bytes every time.

It draws facts and demands. Clocks, gaps, confidence and opposing arguments are in the
working file; the import contracts keep their rules out of here.
"""

from datetime import date
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import BinaryIO

from reportlab.platypus import CondPageBreak, Flowable, PageBreak, Spacer

from claims.documents import packet_exhibits as exhibits
from claims.documents import packet_facts as facts
from claims.documents import packet_letter as letter
from claims.documents import packet_parts as parts
from claims.documents import packet_statement as statement
from claims.rules.packet.content import PacketContent
from claims.rules.packet.handed_over import manifest_bytes
from claims.rules.packet.lighter import Lighter
from claims.rules.packet.manifest import CHECKER_NAME, MANIFEST_NAME
from inventory.documents.core.around import PageText
from inventory.documents.core.attachments import Attachment
from inventory.documents.core.page import Pages, write_pdf
from inventory.documents.core.written import Told, tell_nobody

_ROOM = 250.0
"""A part begins on the same page where so much of it is left, in points."""


@cache
def checker_text() -> str:
    """Return the program by which the other side checks a packet without ours."""
    return Path(__file__).with_name("check_packet.py").read_text(encoding="utf-8")


def packet_pdf(
    content: PacketContent,
    *,
    root: Path | str = "",
    mark: str = "",
    lighter: Lighter | None = None,
) -> bytes:
    """Return the claim file as PDF bytes; see ``write_packet``."""
    out = BytesIO()
    write_packet(content, out, root=root, mark=mark, lighter=lighter)
    return out.getvalue()


def write_packet(
    content: PacketContent,
    out: BinaryIO,
    *,
    root: Path | str = "",
    mark: str = "",
    lighter: Lighter | None = None,
    told: Told = tell_nobody,
) -> None:
    """Write the claim file as a PDF, drawn from the content and its pictures alone.

    ``out`` is an open file that can be gone back in. Pictures are read under ``root``,
    which leaves no trace in the bytes. ``mark`` is
    printed on every page of what is not confirmed. ``lighter`` makes the file that
    lighter edition of it, and ``told`` hears how far it is. Raise
    ``inventory.documents.core.pictures.PictureError`` where a picture is missing or is
    not the one that the content names.
    """
    write_pdf(
        lambda pages: _story(content, Path(root), pages, lighter),
        _around(content, mark, lighter),
        out,
        _attached(content),
        told=told,
    )


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


def _around(content: PacketContent, mark: str, lighter: Lighter | None) -> PageText:
    claim = content.statement
    shipment = claim.shipment
    edition = ", lighter edition" if lighter else ""
    named = (
        content.title,
        f"PRO {shipment.pro}" if shipment.pro else "",
        f"BOL {shipment.bol.split(',')[0]}" if shipment.bol else "",
    )
    return PageText(
        title=content.title,
        author=claim.claimant.name,
        head_left=claim.claimant.name,
        head_right="  ·  ".join(part for part in named if part),
        foot=f"{content.title}, version {content.version}{edition}",
        foot_middle=" ".join((shipment.carrier, next(filter(None, named[1:]), ""))),
        paper=content.paper,
        made_on=date.fromisoformat(lighter.made_on if lighter else content.made_on),
        mark=mark,
    )


def _story(
    content: PacketContent, root: Path, pages: Pages, lighter: Lighter | None
) -> list[Flowable]:
    bodies = {
        "Schedule of the loss": facts.schedule(content),
        "Exceptions on the delivery receipt": facts.receipts(content),
        "What was found": facts.findings(content),
        "Custody of the crate": facts.custody(content),
    }
    kept = {title: body for title, body in bodies.items() if body}
    first = statement.TITLES[content.edition]
    titles = [(title, title) for title in ("Letter", first, *kept)]
    titles += [
        (exhibits.title_of(one), f"Exhibit {one.number}: {one.title}")
        for one in content.exhibits
    ]
    titles.append(("List of evidence", "List of evidence"))
    story = letter.cover(content, pages)
    story += [PageBreak(), *letter.contents(titles, pages, content.paper)]
    if lighter:
        story += exhibits.lighter_words(lighter)
    smaller = frozenset(lighter.exhibits if lighter else ())
    story += [PageBreak(), *statement.statement(content)]
    story.append(PageBreak())
    for title, body in kept.items():
        story += [CondPageBreak(_ROOM), parts.PageHead(title), *body, Spacer(1, 12)]
    for one in content.exhibits:
        less = one.number in smaller
        if pages.total:
            story += exhibits.exhibit(one, root, content.paper, is_smaller=less)
        else:
            story += exhibits.room_for(one)
    story += [PageBreak(), parts.PageHead("List of evidence")]
    return story + exhibits.evidence(content, pages)
