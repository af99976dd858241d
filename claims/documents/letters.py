"""A plain business letter: notice of concealed damage, protest, any other notice."""

import re
from datetime import date

from reportlab.platypus import Flowable, HRFlowable, KeepTogether, Spacer

from claims.rules.letters.content import LetterContent
from claims.rules.letters.tables import LetterTable, read_table
from claims.rules.packet.content import Party
from inventory.documents.core import styles
from inventory.documents.core.around import PageText
from inventory.documents.core.page import Pages, build_pdf
from inventory.documents.core.styles import text_width
from inventory.documents.core.tables import Column, ruled_table
from inventory.documents.core.text import P

_REFERENCES = (Column("", 26), Column("", 74, strong=True))
_QUOTE = "> "
_AMOUNT = re.compile(r"[A-Z]{3} -?[0-9][0-9,]*(?:\.[0-9]+)?|-?[0-9][0-9,]*[.,][0-9]+")
_MOST_SHARE = 40


def letter_pdf(content: LetterContent, *, mark: str = "") -> bytes:
    """Return the letter as PDF bytes; the same content returns the same bytes.

    It is set for one page and continues on a second where it must. ``mark`` is printed
    on every page of what is not confirmed.
    """
    around = PageText(
        title=content.subject,
        author=content.sender.name,
        head_left=content.sender.name,
        head_right=content.date,
        foot=content.subject,
        paper=content.paper,
        made_on=date.fromisoformat(content.dated_on) if content.dated_on else None,
        mark=mark,
    )

    def story(_pages: Pages) -> list[Flowable]:
        return _story(content)

    return build_pdf(story, around)


def _story(content: LetterContent) -> list[Flowable]:
    width = text_width(content.paper)
    return [
        *_party(content.sender, strong=True),
        HRFlowable(width, 1.1, color=styles.INK, spaceBefore=7, spaceAfter=12),
        *P(content.date, styles.BODY),
        Spacer(1, 6),
        *_party(content.addressee, strong=False),
        Spacer(1, 12),
        *P(content.subject, styles.LEAD),
        *_references(content, width),
        *_paragraphs(content, width),
        *_closing(content, width),
    ]


def _party(party: Party, *, strong: bool) -> list[Flowable]:
    style = styles.SENDER if strong else styles.TIGHT
    lines = "\n".join(line for line in party.lines if line)
    return [*P(party.name, style), *P(lines, styles.TIGHT)]


def _references(content: LetterContent, width: float) -> list[Flowable]:
    rows = [[row.label, row.value] for row in content.references if row.value]
    return ruled_table(_REFERENCES, rows, width) if rows else []


def _paragraphs(content: LetterContent, width: float) -> list[Flowable]:
    made: list[Flowable] = []
    for paragraph in content.paragraphs:
        table = read_table(paragraph)
        if table is not None:
            made += _table(table, width)
            continue
        lines = paragraph.split("\n")
        if all(line.startswith(_QUOTE) for line in lines if line.strip()):
            words = "\n".join(line.removeprefix(_QUOTE) for line in lines)
            made += P(words, styles.QUOTE)
        else:
            made += P(paragraph, styles.BODY)
    return made


def _table(table: LetterTable, width: float) -> list[Flowable]:
    """Return the table, each column as wide as its text asks, amounts to the right."""
    columns = []
    for place, head in enumerate(table.heads):
        cells = [row[place] for row in table.rows]
        widest = max(len(text) for text in (head, *cells))
        is_amount = any(cells) and all(
            _AMOUNT.fullmatch(text) for text in cells if text
        )
        columns.append(
            Column(
                head,
                min(max(widest, 6) + 2, _MOST_SHARE),
                right=is_amount,
            )
        )
    return [
        *ruled_table(columns, table.rows, width, totals=table.sums),
        Spacer(1, 6),
    ]


def _closing(content: LetterContent, width: float) -> list[Flowable]:
    who = (content.signed_by, content.signed_as, content.sender.name)
    signed = [
        Spacer(1, 30),
        HRFlowable(width * 0.42, 0.7, color=styles.INK, hAlign="LEFT"),
        *P("\n".join(part for part in who if part), styles.TIGHT),
    ]
    if content.enclosures:
        listed = "\n".join(content.enclosures)
        signed += [Spacer(1, 8), *P(listed, styles.SMALL, lead="Enclosed:")]
    return [KeepTogether(signed)]
