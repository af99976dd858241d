"""What is printed around every page: head, foot, and the mark of what is not final."""

from typing import TYPE_CHECKING

from reportlab.pdfgen.canvas import Canvas

from inventory.documents.core import styles
from inventory.documents.core.fonts import PLAIN, STRONG, width_of
from inventory.documents.core.text import printable

if TYPE_CHECKING:
    from inventory.documents.core.page import PageText


def draw_around(canvas: Canvas, text: "PageText", total: int) -> None:
    """Draw head, foot with "page x of y", and the mark."""
    width, height = styles.PAPERS[text.paper]
    left, right = styles.MARGIN_SIDE, width - styles.MARGIN_SIDE
    number = canvas.getPageNumber()
    canvas.saveState()
    canvas.setStrokeColor(styles.RULE)
    canvas.setFillColor(styles.QUIET)
    canvas.setLineWidth(0.5)
    if number > 1 or text.head_on_first:
        top = height - 50
        _draw_pair(canvas, (text.head_left, text.head_right), (left, right, top))
        canvas.line(left, top - 6, right, top - 6)
    canvas.line(left, 48, right, 48)
    count = f"Page {number} of {total or number}"
    _draw_pair(canvas, (text.foot, count), (left, right, 36))
    if text.foot_middle:
        middle = _fitted(text.foot_middle, (right - left) * 0.4)
        canvas.drawCentredString(width / 2, 36, middle)
    if text.mark:
        _draw_mark(canvas, text.mark, (width, height))
    canvas.restoreState()


def _draw_mark(canvas: Canvas, mark: str, size: tuple[float, float]) -> None:
    """Print what is not final across the page, and in ink at its top."""
    width, height = size
    shown = printable(mark, STRONG, 60).text
    canvas.setFillColor(styles.INK)
    canvas.setFont(STRONG, 11)
    canvas.drawCentredString(width / 2, height - 30, shown)
    canvas.setFillColor(styles.MARK)
    canvas.translate(width / 2, height / 2)
    canvas.rotate(52)
    canvas.setFont(STRONG, 130)
    canvas.drawCentredString(0, -40, shown.split(":")[0].split(".")[0][:9])


def _draw_pair(
    canvas: Canvas, words: tuple[str, str], place: tuple[float, float, float]
) -> None:
    left, right, y = place
    canvas.setFont(PLAIN, 8.2)
    second = _fitted(words[1], (right - left) * 0.6)
    room = right - left - width_of(second, PLAIN, 8.2) - 16
    canvas.drawString(left, y, _fitted(words[0], room))
    canvas.drawRightString(right, y, second)


def _fitted(words: str, room: float) -> str:
    """Return the text on one line, shortened with dots where it does not fit."""
    shown = printable(words, PLAIN, 300).text.replace("\n", " ")
    if width_of(shown, PLAIN, 8.2) <= room:
        return shown
    while shown and width_of(f"{shown}…", PLAIN, 8.2) > room:
        shown = shown[:-1]
    return f"{shown}…"
