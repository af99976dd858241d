"""Crate labels as PDF: many on a sheet of labels, or one on a page of its size."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from reportlab.pdfgen.canvas import Canvas

from inventory.documents.core import styles
from inventory.documents.core.fonts import PLAIN, STRONG, width_of
from inventory.documents.core.page import draw_pdf
from inventory.documents.core.text import printable, wrapped
from inventory.documents.labels.codes import draw_bars, draw_qr, qr_box
from inventory.documents.labels.sheets import SHEETS, SINGLES, LabelSheet, Paper
from inventory.rules.codes.label_content import CrateLabel

_PAD = 11.0
_TICK = 5.0
_LARGEST, _SMALLEST = 30.0, 11.0
_BAR_HEIGHT = 34.0
_QR_SHARE = 0.46
_MOST = 300


@dataclass(frozen=True)
class _Box:
    """The place of one label, in points from the page's lower left corner."""

    x: float
    y: float
    width: float
    height: float


@dataclass
class _Pen:
    """Writes lines downward in a column and stops at its foot."""

    canvas: Canvas
    x: float
    y: float
    width: float
    foot: float

    def write(self, text: str, font: str, size: float, *, most: int = 2) -> None:
        """Write at most so many lines; what does not fit ends with dots."""
        shown = printable(text, font, _MOST).text.strip()
        lines = wrapped(shown, font, size, self.width) if shown else []
        room = int((self.y - self.foot) // (size * 1.2))
        kept = lines[: max(min(most, room), 0)]
        if kept and len(lines) > len(kept):
            kept[-1] = _dotted(kept[-1], font, size, self.width)
        for line in kept:
            self.y -= size * 1.2
            self.canvas.setFont(font, size)
            self.canvas.drawString(self.x, self.y + size * 0.25, line)

    def gap(self, height: float) -> None:
        """Leave some room."""
        self.y -= height


def label_sheet_pdf(
    labels: Sequence[CrateLabel],
    *,
    paper: Paper,
    start: int = 1,
    title: str,
    made_on: date,
) -> bytes:
    """Return sheets of labels as PDF bytes; the same labels give the same bytes.

    ``start`` is the first label not yet used on the first sheet, counted from 1 row by
    row. Raise ValueError without labels, or for a start that is not on the sheet.
    """
    sheet = SHEETS[paper]
    if not labels or not 1 <= start <= sheet.count:
        raise ValueError("There must be labels, and the start must be on the sheet.")

    def draw(canvas: Canvas) -> None:
        for number, label in enumerate(labels, start - 1):
            place = number % sheet.count
            if place == 0 and number > start - 1:
                canvas.showPage()
            box = _box_on(sheet, place)
            _draw_ticks(canvas, box)
            _draw_label(canvas, label, box)
        canvas.showPage()

    size = styles.PAPERS[paper]
    return draw_pdf(draw, title=title, size=size, made_on=made_on)


def single_labels_pdf(
    labels: Sequence[CrateLabel], *, paper: Paper, title: str, made_on: date
) -> bytes:
    """Return one label a page of the label's own size. Raise ValueError without any."""
    if not labels:
        raise ValueError("There must be labels.")
    width, height, _words = SINGLES[paper]

    def draw(canvas: Canvas) -> None:
        for label in labels:
            _draw_label(canvas, label, _Box(0, 0, width, height))
            canvas.showPage()

    return draw_pdf(draw, title=title, size=(width, height), made_on=made_on)


def _box_on(sheet: LabelSheet, place: int) -> _Box:
    row, column = divmod(place, sheet.columns)
    return _Box(
        x=sheet.left + column * (sheet.width + sheet.gap),
        y=styles.PAPERS[sheet.paper][1] - sheet.top - (row + 1) * sheet.height,
        width=sheet.width,
        height=sheet.height,
    )


def _draw_ticks(canvas: Canvas, box: _Box) -> None:
    """Mark the corners, for those who print on plain paper and cut."""
    canvas.saveState()
    canvas.setStrokeColor(styles.HAIR)
    canvas.setLineWidth(0.4)
    for x, inward in ((box.x, 1), (box.x + box.width, -1)):
        for y, upward in ((box.y, 1), (box.y + box.height, -1)):
            canvas.line(x, y, x + inward * _TICK, y)
            canvas.line(x, y, x, y + upward * _TICK)
    canvas.restoreState()


def _draw_label(canvas: Canvas, label: CrateLabel, box: _Box) -> None:
    canvas.saveState()
    canvas.setFillColor(styles.INK)
    foot = box.y + _PAD
    if label.bars:
        foot = _draw_foot(canvas, label, box)
    room = box.y + box.height - _PAD - foot
    side = max(min(room, box.width * _QR_SHARE), qr_box(label.code))
    top = box.y + box.height - _PAD
    draw_qr(canvas, label.code, (box.x + _PAD / 2, top - side, side))
    left = box.x + _PAD / 2 + side + 4
    width = box.x + box.width - _PAD - left
    _write_words(label, _Pen(canvas, left, top - 2, width, foot), box.height / 240)
    canvas.restoreState()


def _draw_foot(canvas: Canvas, label: CrateLabel, box: _Box) -> float:
    """Draw the bar code with its text; return where the room above it begins."""
    size = 8.4
    height = _BAR_HEIGHT * max(box.height / 240, 1)
    shown = printable(label.readable, PLAIN, _MOST).text
    canvas.setFont(PLAIN, size)
    middle = box.x + box.width / 2
    canvas.drawCentredString(middle, box.y + _PAD - 1, shown)
    place = (box.x + 2, box.y + _PAD + size + 1, box.width - 4, height)
    draw_bars(canvas, label.bars, place)
    return box.y + _PAD + size + height + 7


def _write_words(label: CrateLabel, pen: _Pen, scale: float) -> None:
    scale = min(max(scale, 0.85), 1.25)
    small = 8.4 * scale
    pen.write(label.kicker.upper(), STRONG, 7.4 * scale)
    size = _size_for(label.name, pen.width)
    pen.write(label.name, STRONG, size, most=2)
    pen.gap(5)
    pen.write(label.supplier, STRONG, 10.4 * scale)
    pen.write(label.crate_type, PLAIN, 9.4 * scale)
    pen.write(label.bill, PLAIN, small)
    if label.return_to:
        pen.gap(4)
        pen.write("Return to", STRONG, small)
        pen.write(label.return_to, PLAIN, small, most=6)


def _size_for(name: str, width: float) -> float:
    """Return the largest size at which the name fits on one line, within reason."""
    at_ten = width_of(printable(name, STRONG, _MOST).text, STRONG, 10.0)
    fitting = 10.0 * width / at_ten if at_ten else _LARGEST
    return min(max(fitting, _SMALLEST), _LARGEST)


def _dotted(line: str, font: str, size: float, width: float) -> str:
    while line and width_of(f"{line}…", font, size) > width:
        line = line[:-1]
    return f"{line}…"
