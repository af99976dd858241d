"""The tag of a replaced part: one small page to tie to it."""

from datetime import date

from reportlab.pdfgen.canvas import Canvas

from claims.documents.setup_sheet_parts import draw_slats
from claims.rules.bench.part_tags import KEEP, PartLabel
from inventory.documents.core import styles
from inventory.documents.core.fonts import PLAIN, STRONG, width_of
from inventory.documents.core.page import draw_pdf
from inventory.documents.core.text import printable, wrapped

SIZE = (288.0, 216.0)
"""Four by three inches."""

_EDGE = 14.0
_LEFT = _EDGE + 60
_MOST = 200


def part_tag_pdf(label: PartLabel, *, made_on: date) -> bytes:
    """Return the tag as PDF bytes; the same label returns the same bytes."""
    return draw_pdf(
        lambda canvas: _draw(canvas, label),
        title=f"Tag {label.number}: {label.part}",
        size=SIZE,
        made_on=made_on,
    )


def _draw(canvas: Canvas, label: PartLabel) -> None:
    width, height = SIZE
    inside = width - 2 * _EDGE
    canvas.setFillColor(styles.INK)
    canvas.setFont(STRONG, 27)
    canvas.drawString(_EDGE, height - 35, label.number)
    _draw_shelf(canvas, label.shelf)
    draw_slats(canvas, _EDGE, height - 49, inside)
    y = _write(canvas, label.part, (_EDGE, height - 52, inside), (STRONG, 15))
    y -= 3
    for head, words in (
        ("Machine", label.machine),
        ("Damage", label.finding),
        ("Claim", label.claim),
        ("Bill", label.bill),
        ("Tagged", label.tagged),
    ):
        canvas.setFont(PLAIN, 8.6)
        canvas.drawString(_EDGE, y - 11, head)
        y = _write(canvas, words, (_LEFT, y, width - _EDGE - _LEFT), (STRONG, 9))
    canvas.setStrokeColor(styles.INK)
    canvas.setLineWidth(0.8)
    canvas.line(_EDGE, 36, width - _EDGE, 36)
    _write(canvas, f"{KEEP} {label.company}", (_EDGE, 35, inside), (PLAIN, 8))
    canvas.showPage()


def _draw_shelf(canvas: Canvas, shelf: str) -> None:
    width, height = SIZE
    words = _line(f"Shelf {shelf}", STRONG, 15, 130)
    wide = width_of(words, STRONG, 15) + 16
    canvas.rect(width - _EDGE - wide, height - 39, wide, 25, stroke=0, fill=1)
    canvas.setFillColor(styles.WHITE)
    canvas.setFont(STRONG, 15)
    canvas.drawString(width - _EDGE - wide + 8, height - 32, words)
    canvas.setFillColor(styles.INK)


def _write(
    canvas: Canvas,
    words: str,
    place: tuple[float, float, float],
    face: tuple[str, float],
) -> float:
    """Write at most two lines below (x, y), this wide; return where they end."""
    x, y, width = place
    font, size = face
    lines = wrapped(printable(words, font, _MOST).text, font, size, width)
    if lines[2:]:
        lines = [lines[0], _line(" ".join(lines[1:]), font, size, width)]
    canvas.setFont(font, size)
    for line in lines:
        y -= size * 1.22
        canvas.drawString(x, y, line)
    return y


def _line(words: str, font: str, size: float, width: float) -> str:
    shown = printable(words, font, _MOST).text.replace("\n", " ")
    if width_of(shown, font, size) <= width:
        return shown
    while shown and width_of(f"{shown}…", font, size) > width:
        shown = shown[:-1]
    return f"{shown}…"
