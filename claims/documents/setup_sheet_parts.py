"""What a setup sheet is drawn with: the rule of slats, the box of the release."""

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Table

from claims.rules.bench.setup_sheet import SheetRelease
from inventory.documents.core import styles
from inventory.documents.core.text import P

_SLAT = 20.0
_THICK = 5.0
_GAP = 3.0


class SlatRule(Flowable):  # type: ignore[misc]
    """A rule like the slats of a crate seen from the edge, with their nails."""

    def __init__(self) -> None:
        """Leave room above and below."""
        super().__init__()
        self.height = _THICK
        self.spaceBefore, self.spaceAfter = 6, 9

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        """Take the whole width."""
        self.width = width
        return width, self.height

    def draw(self) -> None:
        """Draw the slats."""
        draw_slats(self.canv, 0, 0, self.width)


def draw_slats(canvas: Canvas, x: float, y: float, width: float) -> None:
    """Draw a row of slats, every third of them open, so that the rule prints light."""
    count = max(round(width / _SLAT), 3)
    wide = (width - _GAP * (count - 1)) / count
    canvas.saveState()
    canvas.setStrokeColor(styles.INK)
    canvas.setLineWidth(0.7)
    for place in range(count):
        left = x + place * (wide + _GAP)
        is_open = place % 3 == 2
        canvas.setFillColor(styles.WHITE if is_open else styles.INK)
        canvas.rect(left, y, wide, _THICK, fill=1)
        canvas.setFillColor(styles.INK if is_open else styles.WHITE)
        for nail in (left + 3, left + wide - 3):
            canvas.circle(nail, y + _THICK / 2, 0.7, stroke=0, fill=1)
    canvas.restoreState()


def release_box(release: SheetRelease, width: float) -> Flowable:
    """Return the end of the setup in a box; in dashes where it has not ended."""
    said = [release.by, release.more]
    words = "\n".join(part for part in said if part)
    dash = None if release.is_signed else (5, 3)
    return Table(
        [
            [
                P(release.word, styles.AMOUNT),
                [*P(release.state, styles.LEAD), *P(words, styles.TIGHT)],
            ]
        ],
        colWidths=[width * 0.44, width * 0.56],
        hAlign="LEFT",
        spaceAfter=8,
        style=[
            ("BOX", (0, 0), (-1, -1), 1.4, styles.INK, 0, dash),
            ("BACKGROUND", (0, 0), (0, 0), styles.WASH),
            ("LINEAFTER", (0, 0), (0, 0), 1.0, styles.INK, 0, dash),
            ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
            ("LEFTPADDING", (0, 0), (-1, -1), 10),
            ("RIGHTPADDING", (0, 0), (-1, -1), 10),
            ("TOPPADDING", (0, 0), (-1, -1), 8),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 8),
        ],
    )
