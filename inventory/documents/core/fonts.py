"""The embedded faces, and which characters they cannot print."""

from functools import cache
from pathlib import Path

import font_source_sans_pro
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

PLAIN = "House"
ITALIC = "House-Italic"
STRONG = "House-Strong"

BOX = "\N{BALLOT BOX}"
"""Printed in place of a character that the font lacks; never without a note."""

_FILES = {
    PLAIN: "SourceSansPro-Regular.ttf",
    ITALIC: "SourceSansPro-It.ttf",
    STRONG: "SourceSansPro-Semibold.ttf",
}


@cache
def register_fonts() -> None:
    """Register the three faces with ReportLab, once a process."""
    folder = Path(font_source_sans_pro.font_directory)
    for name, file in _FILES.items():
        pdfmetrics.registerFont(TTFont(name, str(folder / file)))
    pdfmetrics.registerFontFamily(
        PLAIN, normal=PLAIN, bold=STRONG, italic=ITALIC, boldItalic=STRONG
    )


def can_print(mark: str, font: str) -> bool:
    """Return whether this face has a drawing of the character."""
    register_fonts()
    return ord(mark) in pdfmetrics.getFont(font).face.charToGlyph


def width_of(text: str, font: str, size: float) -> float:
    """Return the width of the text in points."""
    register_fonts()
    return float(pdfmetrics.stringWidth(text, font, size))
