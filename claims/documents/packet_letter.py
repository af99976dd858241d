"""Page one of a claim file, and the table of contents."""

from collections.abc import Sequence

from reportlab.platypus import Flowable, KeepTogether, Spacer, Table

from claims.documents import packet_parts as parts
from claims.rules.packet.content import CoverLetter, PacketContent, Row
from inventory.documents.core import styles
from inventory.documents.core.page import Pages
from inventory.documents.core.styles import text_width
from inventory.documents.core.tables import Column, ruled_table
from inventory.documents.core.text import P


def cover(content: PacketContent, pages: Pages) -> list[Flowable]:
    """Return the letter: letterhead, references, what happened, demand, signature."""
    letter, width = content.cover, text_width(content.paper)
    sender = content.statement.claimant
    signed = content.statement.signer
    count = f"Enclosed, {pages.total} pages" if pages.total else "Enclosed"
    return [
        parts.PageHead("Letter", hidden=True),
        parts.side_by_side(
            parts.party(sender, styles.SENDER),
            P(letter.date, styles.RIGHT),
            width,
            0.68,
        ),
        parts.SlatRule(),
        Spacer(1, 4),
        *parts.party(letter.addressee),
        Spacer(1, 8),
        *_references(letter.references, width),
        Spacer(1, 10),
        *P("To the claims department:", styles.BODY),
        *_said(letter),
        Spacer(1, 3),
        *_boxes(letter, count, width),
        Spacer(1, 8),
        KeepTogether(
            [
                *P("Sincerely,", styles.TIGHT),
                *parts.signature(signed, _under(content, sender.name), width),
            ]
        ),
    ]


def _under(content: PacketContent, name: str) -> str:
    return f"{name}, claimant" if content.edition == "claim" else name


def _said(letter: CoverLetter) -> list[Flowable]:
    made: list[Flowable] = []
    for words in letter.opening:
        made += P(words, styles.BODY)
    made += P(letter.demand, parts.VALUE_BODY)
    for words in letter.closing:
        made += P(words, styles.BODY)
    return made


def _boxes(letter: CoverLetter, count: str, width: float) -> list[Flowable]:
    enclosed = (count, letter.enclosed)
    if letter.pay_to:
        return parts.boxes(("Pay to", letter.pay_to), enclosed, width)
    return parts.boxes(
        enclosed, ("To answer", ("Please name our file number.",)), width
    )


def _references(rows: Sequence[Row], width: float) -> list[Flowable]:
    """Return the facts two a line between heavy rules."""
    pairs = [
        (rows[at], rows[at + 1] if at + 1 < len(rows) else Row("", ""))
        for at in range(0, len(rows), 2)
    ]
    cells = [
        [
            P(left.label, parts.LABEL),
            P(left.value, parts.VALUE),
            P(right.label, parts.LABEL),
            P(right.value, parts.VALUE),
        ]
        for left, right in pairs
    ]
    share = (0.2, 0.36, 0.2, 0.24)
    return [
        Table(
            cells,
            colWidths=[width * part for part in share],
            style=[
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("RIGHTPADDING", (0, 0), (-1, -1), 4),
                ("TOPPADDING", (0, 0), (-1, -1), 3.6),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 4),
                ("LINEABOVE", (0, 0), (-1, 0), 1.4, styles.INK),
                ("LINEBELOW", (0, 0), (-1, -2), 0.5, styles.HAIR),
                ("LINEBELOW", (0, -1), (-1, -1), 1.4, styles.INK),
            ],
        )
    ]


def contents(
    titles: Sequence[tuple[str, str]], pages: Pages, paper: str
) -> list[Flowable]:
    """Return the table of contents: each part with its page.

    ``titles`` are the name of a heading and the words of its row.
    """
    rows = [[words, str(pages.headings.get(title, ""))] for title, words in titles]
    columns = (Column("Part", 88), Column("Page", 12, right=True))
    return [
        parts.PageHead("Contents"),
        *ruled_table(columns, rows, text_width(paper)),
    ]
