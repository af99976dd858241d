"""The pieces a claim file is set of: lettered heads, boxes, facts, stamps, signatures."""

from collections.abc import Sequence

from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Spacer, Table

from claims.rules.packet.content import Party, Signer
from inventory.documents.core import styles
from inventory.documents.core.fonts import STRONG, width_of
from inventory.documents.core.tables import Column, ruled_table
from inventory.documents.core.text import P, printable

FACTS = ParagraphStyle(
    "facts", parent=styles.BODY, fontSize=9.4, leading=11.6, spaceAfter=0
)
LABEL = ParagraphStyle("label", parent=FACTS, textColor=styles.QUIET)
VALUE = ParagraphStyle("value", parent=FACTS, fontName=STRONG)
VALUE_BODY = ParagraphStyle("value-body", parent=styles.BODY, fontName=STRONG)
HEAD = ParagraphStyle("head", parent=VALUE, fontSize=8.6, leading=11)
HASH = ParagraphStyle("hash", parent=FACTS, fontSize=8.2, leading=10.6)
NUMBER = ParagraphStyle("number", parent=VALUE, fontSize=14, leading=16)
EXHIBIT_TITLE = ParagraphStyle(
    "exhibit-title", parent=styles.TITLE, fontSize=17, leading=20, spaceAfter=3
)
_NO_PADDING = (
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 0),
    ("TOPPADDING", (0, 0), (-1, -1), 0),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
)
STAMP_WIDE, STAMP_HIGH = 99.0, 63.0


class PageHead(Flowable):  # type: ignore[misc]
    """The large title of a part, entered in the outline and the contents."""

    house_heading = True

    def __init__(self, title: str, *, room: float = 0.0, hidden: bool = False) -> None:
        """Keep ``room`` points free at the right; a ``hidden`` one draws no text."""
        super().__init__()
        self.title = printable(title, STRONG, 90).text.replace("\n", " ")
        self.hidden, self.room = hidden, room

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        """Take the whole width, or nothing."""
        self.width = width
        return (width, 0.0) if self.hidden else (width, 30.0)

    def draw(self) -> None:
        """Draw the title and enter it."""
        canvas = self.canv
        key = f"section-{len(canvas.house_pages.headings)}-{self.title}"
        canvas.bookmarkHorizontal(key, 0, 30)
        canvas.addOutlineEntry(self.title, key, level=0)
        canvas.house_pages.headings[self.title] = canvas.getPageNumber()
        if self.hidden:
            return
        canvas.setFillColor(styles.INK)
        size = 20.0
        while width_of(self.title, STRONG, size) > self.width - self.room and size > 9:
            size -= 0.5
        canvas.setFont(STRONG, size)
        canvas.drawString(0, 9, self.title)


class LetterHead(Flowable):  # type: ignore[misc]
    """A section of the statement: its letter in a box, its title, a heavy rule."""

    def __init__(self, letter: str, title: str) -> None:
        """Store both."""
        super().__init__()
        self.letter, self.title = letter, title
        self.keepWithNext = 1

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        """Take the whole width."""
        self.width = width
        return width, 21.0

    def draw(self) -> None:
        """Draw box, letter, title and rule."""
        canvas = self.canv
        canvas.setStrokeColor(styles.INK)
        canvas.setFillColor(styles.INK)
        canvas.setLineWidth(0.9)
        canvas.rect(0, 4, 12.5, 12.5)
        canvas.setFont(STRONG, 9.6)
        canvas.drawCentredString(6.25, 7.1, self.letter)
        canvas.setFont(STRONG, 12)
        canvas.drawString(19, 6.4, self.title)
        canvas.setLineWidth(1.4)
        canvas.line(0, 1.5, self.width, 1.5)


class SlatRule(Flowable):  # type: ignore[misc]
    """The rule under the letterhead, with the end of a slat at its left."""

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        """Take the whole width."""
        self.width = width
        return width, 16.0

    def draw(self) -> None:
        """Draw the rule and three marks on it."""
        canvas = self.canv
        canvas.setStrokeColor(styles.INK)
        canvas.setFillColor(styles.INK)
        canvas.setLineWidth(1.3)
        canvas.line(0, 4, self.width, 4)
        for x, wide in ((0, 34), (38, 10), (52, 10)):
            canvas.rect(x, 4, wide, 5.4, stroke=0, fill=1)


def draw_stamp(canvas: Canvas, number: int, corner: tuple[float, float]) -> None:
    """Draw the crate-shaped exhibit stamp with its upper right corner there."""
    right, top = corner
    left, foot = right - STAMP_WIDE, top - STAMP_HIGH
    canvas.saveState()
    canvas.setStrokeColor(styles.INK)
    canvas.setFillColor(styles.WHITE)
    for inset, thick in ((0.0, 2.6), (5.0, 0.9)):
        cut = 13.0 - inset * 0.5
        path = canvas.beginPath()
        path.moveTo(left + inset, foot + inset)
        path.lineTo(left + inset, top - inset)
        path.lineTo(right - inset - cut, top - inset)
        path.lineTo(right - inset, top - inset - cut)
        path.lineTo(right - inset, foot + inset)
        path.close()
        canvas.setLineWidth(thick)
        canvas.drawPath(path, stroke=1, fill=1)
    canvas.setFillColor(styles.INK)
    text = canvas.beginText(left + 21, top - 19)
    text.setFont(STRONG, 8.2)
    text.setCharSpace(3.2)
    text.textOut("EXHIBIT")
    text.setCharSpace(0)
    canvas.drawText(text)
    canvas.setFont(STRONG, 27)
    canvas.drawCentredString((left + right) / 2, foot + 14, str(number))
    canvas.restoreState()


class Stamp(Flowable):  # type: ignore[misc]
    """The exhibit stamp at the right; it takes no room."""

    def __init__(self, number: int) -> None:
        """Store the number."""
        super().__init__()
        self.number = number

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        """Take no height."""
        self.width = width
        return width, 0.0

    def draw(self) -> None:
        """Draw it hanging from here."""
        draw_stamp(self.canv, self.number, (self.width, 4))


def facts(
    rows: Sequence[tuple[str, str]], width: float, *, share: float = 0.3
) -> list[Flowable]:
    """Return label and value a row, hairlines between; empty values are left out."""
    shown = [
        [P(label, LABEL), P(value, FACTS)] for label, value in rows if value.strip()
    ]
    if not shown:
        return []
    return [_lined(shown, [width * share, width * (1 - share)])]


def facts_in_two(
    left: Sequence[tuple[str, str]], right: Sequence[tuple[str, str]], width: float
) -> list[Flowable]:
    """Return two columns of facts side by side."""
    half = (width - 18) / 2
    cells = [facts(left, half, share=0.36), [], facts(right, half, share=0.38)]
    return [Table([cells], colWidths=[half, 18, half], style=[*_NO_PADDING])]


def _lined(rows: list[list[list[Flowable]]], widths: list[float]) -> Table:
    return Table(
        rows,
        colWidths=widths,
        hAlign="LEFT",
        style=[
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 3),
            ("TOPPADDING", (0, 0), (-1, -1), 1.7),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 2.2),
            ("LINEBELOW", (0, 0), (-1, -1), 0.5, styles.HAIR),
        ],
    )


def boxes(
    first: tuple[str, Sequence[str]], second: tuple[str, Sequence[str]], width: float
) -> list[Flowable]:
    """Return two boxes side by side, each a head over lines."""
    half = (width - 16) / 2
    cells = [
        [*P(head, VALUE), Spacer(1, 2), *P("\n".join(lines), FACTS)]
        for head, lines in (first, second)
    ]
    pad = [
        (f"{side}PADDING", (column, 0), (column, 0), size)
        for column in (0, 2)
        for side, size in (("LEFT", 10), ("RIGHT", 8), ("TOP", 8), ("BOTTOM", 9))
    ]
    return [
        Table(
            [[cells[0], [], cells[1]]],
            colWidths=[half, 16, half],
            style=[
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                *pad,
                ("BOX", (0, 0), (0, 0), 0.9, styles.INK),
                ("BOX", (2, 0), (2, 0), 0.9, styles.INK),
            ],
        )
    ]


def side_by_side(
    left: list[Flowable], right: list[Flowable], width: float, share: float
) -> Flowable:
    """Return two blocks side by side, ``share`` of the width to the left one."""
    return Table(
        [[left, right]],
        colWidths=[width * share, width * (1 - share)],
        style=[*_NO_PADDING],
    )


def party(who: Party, style: ParagraphStyle = styles.LEAD) -> list[Flowable]:
    """Return a name over its lines."""
    lines = "\n".join(line for line in who.lines if line)
    return [*P(who.name, style), *P(lines, styles.TIGHT)]


def signature(signer: Signer, under: str, width: float) -> list[Flowable]:
    """Return a line to sign on with name, title and phone, and one for the date."""
    who = ", ".join(part for part in (signer.name, signer.title, signer.phone) if part)
    left = P("\n".join(part for part in (who, under) if part), styles.TIGHT)
    right = P("Date signed", styles.TIGHT)
    line = Table(
        [[left, [], right]],
        colWidths=[width * 0.65, width * 0.05, width * 0.3],
        style=[
            *_NO_PADDING,
            ("TOPPADDING", (0, 0), (-1, -1), 3),
            ("LINEABOVE", (0, 0), (0, 0), 0.8, styles.INK),
            ("LINEABOVE", (2, 0), (2, 0), 0.8, styles.INK),
        ],
    )
    return [Spacer(1, 24), line]


def amounts(
    rows: Sequence[Sequence[str]], width: float, currency: str, totals: frozenset[int]
) -> list[Flowable]:
    """Return rows of line, part or work, quantity, unit price and amount."""
    columns = (
        Column("Line", 8, strong=True),
        Column("Part or work", 48),
        Column("Qty", 13, right=True),
        Column("Unit price", 15, right=True),
        Column(currency, 16, right=True),
    )
    return ruled_table(columns, rows, width, totals=totals)
