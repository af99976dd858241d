"""Marks drawn over a picture as lines, never into it: the picture's bytes stay."""

from collections.abc import Iterable, Sequence

from reportlab.lib.colors import Color
from reportlab.pdfgen.canvas import Canvas

from inventory.documents.core import styles
from inventory.documents.core.fonts import STRONG
from inventory.documents.core.text import printable
from inventory.rules.evidence.markup import Mark
from inventory.rules.evidence.markup_shapes import (
    HALO,
    INK,
    SIZE,
    WIDE,
    Label,
    Oval,
    Shape,
    height_of,
    shapes_of,
)

_ROUND = 1
_FILL, _FILL_AND_STROKE = 0, 2


def draw_marks(
    canvas: Canvas, marks: Sequence[Mark], size: tuple[float, float]
) -> None:
    """Draw the marks over a picture whose foot is at (0, 0), clipped to it.

    ``size`` is the picture's width and height in points.
    """
    if not marks:
        return
    width, height = size
    high = height_of(round(width * 1000), round(height * 1000))
    canvas.saveState()
    frame = canvas.beginPath()
    frame.rect(0, 0, width, height)
    canvas.clipPath(frame, stroke=0, fill=0)
    canvas.translate(0, height)
    canvas.scale(width / WIDE, -height / high)
    canvas.setLineCap(_ROUND)
    canvas.setLineJoin(_ROUND)
    for shape in shapes_of(marks, high):
        _draw(canvas, shape, styles.WHITE, HALO)
        _draw(canvas, shape, styles.INK, INK)
    canvas.restoreState()


def lacking_in(marks: Iterable[Mark]) -> list[str]:
    """Return the runs of characters of the marks that the face cannot print."""
    return [run for one in marks for run in printable(one.label, STRONG).lacking]


def _draw(canvas: Canvas, shape: Shape, colour: Color, wide: int) -> None:
    canvas.setStrokeColor(colour)
    canvas.setFillColor(colour)
    canvas.setLineWidth(wide)
    match shape:
        case Oval():
            canvas.ellipse(
                shape.x - shape.rx,
                shape.y - shape.ry,
                shape.x + shape.rx,
                shape.y + shape.ry,
                stroke=1,
                fill=0,
            )
        case Label():
            _write(canvas, shape, _FILL_AND_STROKE if wide == HALO else _FILL)
        case _:
            path = canvas.beginPath()
            path.moveTo(*shape.points[0])
            for point in shape.points[1:]:
                path.lineTo(*point)
            canvas.drawPath(path, stroke=1, fill=0)


def _write(canvas: Canvas, label: Label, mode: int) -> None:
    """Write one line; the page is upside down here, so the letters are turned."""
    canvas.saveState()
    canvas.translate(label.x, label.y)
    canvas.scale(1, -1)
    text = canvas.beginText(0, 0)
    text.setFont(STRONG, SIZE)
    text.setTextRenderMode(mode)
    text.textOut(printable(label.text, STRONG).text)
    text.setTextRenderMode(_FILL)
    canvas.drawText(text)
    canvas.restoreState()
