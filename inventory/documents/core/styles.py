"""Every size, weight and gray of our documents. Black on white, for any printer."""

from reportlab.lib.colors import Color
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle

from inventory.documents.core.fonts import ITALIC, PLAIN, STRONG

INK = Color(0, 0, 0)
QUIET = Color(0.27, 0.27, 0.27)
WHITE = Color(1, 1, 1)
RULE = Color(0.45, 0.45, 0.45)
HAIR = Color(0.72, 0.72, 0.72)
WASH = Color(0.945, 0.945, 0.945)
MARK = Color(0.9, 0.9, 0.9)

PAPERS: dict[str, tuple[float, float]] = {"letter": LETTER, "a4": A4}

MARGIN_SIDE = 68.0
MARGIN_TOP = 76.0
MARGIN_FOOT = 60.0


def text_width(paper: str) -> float:
    """Return the width between the side margins, in points."""
    return PAPERS[paper][0] - 2 * MARGIN_SIDE


def _style(name: str, **over: object) -> ParagraphStyle:
    values: dict[str, object] = {
        "fontName": PLAIN,
        "fontSize": 10.0,
        "leading": 13.6,
        "textColor": INK,
        "spaceAfter": 5.0,
        "allowWidows": 0,
        "allowOrphans": 0,
        "splitLongWords": 1,
    }
    return ParagraphStyle(name, **{**values, **over})


BODY = _style("body")
TIGHT = _style("tight", spaceAfter=1.0)
RIGHT = _style("right", alignment=TA_RIGHT, spaceAfter=1.0)
SMALL = _style("small", fontSize=8.4, leading=11.2, spaceAfter=3.0)
NOTE = _style("note", fontSize=8.4, leading=11.2, textColor=QUIET, spaceAfter=4.0)
CAPTION = _style("caption", fontName=STRONG, fontSize=9.2, leading=12, spaceAfter=1)
LEAD = _style("lead", fontName=STRONG, fontSize=10.6, leading=14, spaceAfter=3)
TITLE = _style("title", fontName=STRONG, fontSize=21, leading=25, spaceAfter=3)
SENDER = _style("sender", fontName=STRONG, fontSize=14, leading=18, spaceAfter=1)
AMOUNT = _style("amount", fontName=STRONG, fontSize=19, leading=24, spaceAfter=0)
QUOTE = _style(
    "quote", leftIndent=14, rightIndent=10, fontSize=10.6, leading=14.6, spaceAfter=6
)
REMARK = _style("remark", fontName=ITALIC, fontSize=9.2, leading=12.2, textColor=QUIET)
