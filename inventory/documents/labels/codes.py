"""The two codes of a label: a QR symbol and a GS1-128 bar code, drawn as lines."""

import segno
from reportlab.graphics.barcode.code128 import Code128
from reportlab.pdfgen.canvas import Canvas

from inventory.documents.core import styles

LEAST_QR = 30 * 72 / 25.4
"""The least side of a QR symbol without its quiet zone: 30 mm, in points."""

_QUIET_QR = 4
_QUIET_BARS = 10
_FNC1 = "\xf1"
_WIDEST_BAR = 0.5 * 72 / 25.4


def qr_side(code: str, box: float) -> float:
    """Return the side of the symbol itself in a box that holds its quiet zone too."""
    modules = len(_matrix(code))
    return box * modules / (modules + 2 * _QUIET_QR)


def qr_box(code: str) -> float:
    """Return the least box: a symbol of 30 mm with four empty modules around it."""
    modules = len(_matrix(code))
    return LEAST_QR * (modules + 2 * _QUIET_QR) / modules


def draw_qr(canvas: Canvas, code: str, place: tuple[float, float, float]) -> None:
    """Draw the QR symbol, error level M, in the box at (x, y) of this side."""
    x, y, box = place
    rows = _matrix(code)
    unit = box / (len(rows) + 2 * _QUIET_QR)
    path = canvas.beginPath()
    for down, row in enumerate(rows):
        top = y + box - (down + 1 + _QUIET_QR) * unit
        for start, length in _runs(row):
            path.rect(x + (start + _QUIET_QR) * unit, top, length * unit, unit)
    canvas.saveState()
    canvas.setFillColor(styles.INK)
    canvas.drawPath(path, stroke=0, fill=1)
    canvas.restoreState()


def _matrix(code: str) -> list[bytes]:
    symbol = segno.make(code, error="m", micro=False)
    return [bytes(row) for row in symbol.matrix]


def _runs(row: bytes) -> list[tuple[int, int]]:
    """Return where each run of dark modules starts, and its length."""
    found: list[tuple[int, int]] = []
    for place, dark in enumerate(row):
        if not dark:
            continue
        if found and sum(found[-1]) == place:
            found[-1] = (found[-1][0], found[-1][1] + 1)
        else:
            found.append((place, 1))
    return found


def draw_bars(
    canvas: Canvas, bars: str, place: tuple[float, float, float, float]
) -> None:
    """Draw a GS1-128 bar code (Code 128, FNC1 first) centered in (x, y, width, height).

    A bar is as wide as there is room for, with ten empty modules at both ends, and
    at most 0.5 mm.
    """
    x, y, width, height = place
    modules = Code128(_FNC1 + bars, barWidth=1, quiet=0).width
    bar = min(width / (modules + 2 * _QUIET_BARS), _WIDEST_BAR)
    symbol = Code128(_FNC1 + bars, barWidth=bar, barHeight=height, quiet=0)
    symbol.drawOn(canvas, x + (width - symbol.width) / 2, y)
