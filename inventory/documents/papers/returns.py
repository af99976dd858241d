"""Bill of lading and packing list of a return, and the letter about a short-paid credit."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from reportlab.platypus import Flowable, HRFlowable, KeepTogether, Spacer, Table

from inventory.documents.core import styles
from inventory.documents.core.around import PageText
from inventory.documents.core.markup import lacking_in
from inventory.documents.core.page import Pages, build_pdf, section
from inventory.documents.core.pictures import PhotoBox
from inventory.documents.core.styles import text_width
from inventory.documents.core.tables import Column, facts_table, ruled_table
from inventory.documents.core.text import P, lacking_note
from inventory.documents.papers.floor import FloorDrawing
from inventory.rules.returns.papers import (
    Floor,
    Grid,
    Party,
    Piece,
    ReturnPaper,
    Section,
    Shot,
    Words,
)

_FACTS = (Column("", 30), Column("", 70, strong=True))
_PHOTO_MOST = 250.0
_MANY = 4
"""So many paragraphs and nothing else are set in two columns."""


def return_paper_pdf(content: ReturnPaper, *, root: Path | str = "") -> bytes:
    """Return the document as PDF bytes; the same content returns the same bytes.

    ``root`` is the folder of its pictures.
    """
    around = PageText(
        title=f"{content.title} {content.number}".strip(),
        author=content.sender.name,
        head_left=content.sender.name,
        head_right=content.date,
        foot=f"{content.title} {content.number}".strip(),
        paper=content.paper,
        made_on=date.fromisoformat(content.dated_on) if content.dated_on else None,
    )

    def story(_pages: Pages) -> list[Flowable]:
        return _story(content, Path(root))

    return build_pdf(story, around)


def _story(content: ReturnPaper, root: Path) -> list[Flowable]:
    width = text_width(content.paper)
    opening = _letter_head if content.is_letter else _form_head
    made = opening(content, width)
    facts = [(label, value) for label, value in content.facts if value]
    if facts and content.is_letter:
        made += ruled_table(_FACTS, facts, width)
    elif facts:
        made += facts_table(facts, width)
    for part in content.sections:
        made += _section(part, root, content.paper)
    made += _signatures(content, width)
    for part in content.proof:
        made += _section(part, root, content.paper)
    return made


def _letter_head(content: ReturnPaper, width: float) -> list[Flowable]:
    return [
        *_party(content.sender, is_sender=True),
        HRFlowable(width, 1.1, color=styles.INK, spaceBefore=7, spaceAfter=12),
        *P(content.date, styles.BODY),
        Spacer(1, 6),
        *_party(content.addressee),
        Spacer(1, 12),
        *P(f"{content.title} {content.number}".strip(), styles.LEAD),
    ]


def _form_head(content: ReturnPaper, width: float) -> list[Flowable]:
    sides = _abreast(
        [
            [*P("From", styles.NOTE), *_party(content.sender)],
            [*P("To", styles.NOTE), *_party(content.addressee)],
        ],
        width,
    )
    return [
        *P(content.title, styles.TITLE),
        *P(f"{content.number}, {content.date}", styles.LEAD),
        HRFlowable(width, 1.1, color=styles.INK, spaceBefore=3, spaceAfter=9),
        sides,
    ]


def _abreast(sides: Sequence[list[Flowable]], width: float) -> Table:
    """Return blocks side by side, each in half the width."""
    return Table(
        [list(sides)],
        colWidths=[width / 2] * len(sides),
        hAlign="LEFT",
        spaceAfter=10,
        style=[
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 18),
        ],
    )


def _party(party: Party, *, is_sender: bool = False) -> list[Flowable]:
    style = styles.SENDER if is_sender else styles.LEAD
    lines = "\n".join(line for line in party.lines if line)
    return [*P(party.name, style), *P(lines, styles.TIGHT)]


def _section(part: Section, root: Path, paper: str) -> list[Flowable]:
    body = _body(part, root, text_width(paper))
    return section(part.title, body, paper) if part.title else body


def _body(part: Section, root: Path, width: float) -> list[Flowable]:
    """Return the pieces: a floor beside the words about it, many points in columns."""
    words = [one for one in part.pieces if isinstance(one, Words)]
    floors = [one for one in part.pieces if isinstance(one, Floor)]
    others = [one for one in part.pieces if one not in words and one not in floors]
    if floors and words:
        sides = [_pieces(floors, root, width), _pieces(words, root, width)]
        return [_abreast(sides, width), *_pieces(others, root, width)]
    if len(words) < _MANY or others:
        return _pieces(part.pieces, root, width)
    half = (len(words) + 1) // 2
    columns = [_pieces(some, root, width) for some in (words[:half], words[half:])]
    return [_abreast(columns, width)]


def _pieces(pieces: Sequence[Piece], root: Path, width: float) -> list[Flowable]:
    return [part for one in pieces for part in _piece(one, root, width)]


def _piece(piece: Piece, root: Path, width: float) -> list[Flowable]:
    match piece:
        case Words():
            style = styles.SMALL if piece.is_small else styles.BODY
            return P(piece.text, style, lead=piece.lead)
        case Grid():
            return _grid(piece, width)
        case Floor():
            return [FloorDrawing(piece)]
        case Shot():
            return [
                KeepTogether(
                    [
                        PhotoBox(
                            piece.picture, root, width, _PHOTO_MOST, marks=piece.marks
                        ),
                        *P(piece.caption, styles.NOTE),
                        *lacking_note(lacking_in(piece.marks)),
                    ]
                )
            ]


def _grid(grid: Grid, width: float) -> list[Flowable]:
    columns = [
        Column(head.words, head.share, right=head.is_right, strong=head.is_strong)
        for head in grid.heads
    ]
    rows = [list(row) for row in grid.rows]
    totals = frozenset({len(rows) - 1}) if grid.has_total and rows else frozenset()
    return ruled_table(columns, rows, width, totals=totals) if rows else []


def _signatures(content: ReturnPaper, width: float) -> list[Flowable]:
    made: list[Flowable] = []
    if content.signatures:
        line = HRFlowable("100%", 0.7, color=styles.INK)
        lines = [[line, *P(who, styles.TIGHT)] for who in content.signatures]
        made += [Spacer(1, 34), _abreast(lines, width)]
    if content.proof:
        listed = ", ".join(part.title.lower() for part in content.proof)
        words = f"{listed}."
        made += [Spacer(1, 8), *P(words, styles.SMALL, lead="Enclosed:")]
    return [KeepTogether(made)] if made else []
