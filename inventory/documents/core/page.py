"""The build of a document: its pages, and headings with an outline.

A document is laid out twice: the first time to learn its pages, the second time to
print them. Nothing in it depends on the clock, the folder or the process.
"""

import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from io import BytesIO
from typing import BinaryIO

from reportlab import rl_config
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Flowable,
    Frame,
    KeepTogether,
    PageTemplate,
    Paragraph,
    Spacer,
    Table,
)

from inventory.documents.core import styles
from inventory.documents.core.around import PageText, date_file, draw_around
from inventory.documents.core.attachments import Attachment, attach
from inventory.documents.core.fonts import PLAIN, STRONG, register_fonts
from inventory.documents.core.text import printable
from inventory.documents.core.written import (
    RoomCanvas,
    Told,
    WrittenCanvas,
    tell_nobody,
)

rl_config.invariant = 1
rl_config.useA85 = 0
rl_config.trustedHosts = []
rl_config.trustedSchemes = []

_one_at_a_time = threading.Lock()

HEAD_SIZE = 10.4
_TALLEST_LEAD = 520.0
_ENOUGH_LEAD = 100.0
_MOST_TOGETHER = 0.66
_MOST_BUILDS = 4


@dataclass
class Pages:
    """The result of the first build: how many pages, and where headings are."""

    total: int = 0
    headings: dict[str, int] = field(default_factory=dict)


Story = Callable[[Pages], list[Flowable]]


class RoomFrame(Frame):  # type: ignore[misc]
    """A frame that leaves room for what it is given, and draws the headings alone."""

    def _add(self, flowable: Flowable, canv: Canvas, trySplit: int = 0) -> int:  # noqa: N803
        if not hasattr(flowable, "house_heading"):
            flowable.drawOn = _leave_room
        return int(super()._add(flowable, canv, trySplit))


def _leave_room(*_: object, **__: object) -> None:
    """Draw nothing."""


def build_pdf(
    story: Story, text: PageText, attachments: Sequence[Attachment] = ()
) -> bytes:
    """Return the document as PDF bytes; see ``write_pdf``."""
    out = BytesIO()
    write_pdf(story, text, out, attachments)
    return out.getvalue()


def write_pdf(
    story: Story,
    text: PageText,
    out: BinaryIO,
    attachments: Sequence[Attachment] = (),
    *,
    told: Told = tell_nobody,
) -> None:
    """Write the document as a PDF into an open file; the same story writes the same.

    ``told`` hears of each page of the second build as it begins, then of each picture
    as it is written.

    ``story`` is called twice, because flowables cannot be drawn again, and gets
    the pages as far as they are known. The first time nothing is drawn: only the
    room counts, and ``pages.total`` is 0, so that a story may leave out what takes a page
    for itself. Where that was wrong, it is drawn again by what came of it. Pictures are read as they are written, one at a time. Only one document
    is built at a time: ReportLab's settings and parser are shared by all threads.
    """
    with _one_at_a_time:
        register_fonts()
        pages = Pages()
        _build_once(story, text, pages, _Room())
        start = out.tell()
        for _ in range(_MOST_BUILDS):
            known = replace(pages)
            _build_once(story, text, pages, _Paper(out, attachments, told))
            if pages == known:
                return
            out.seek(start)
            out.truncate()
    raise PagesError("The document has no number of pages that agrees with itself.")


class PagesError(ValueError):
    """A document is longer for the page numbers that it tells, and shorter for others."""


@dataclass
class _Room:
    """The first build: how much room everything takes. Only headings are drawn."""

    frame = RoomFrame
    canvas = RoomCanvas
    out: BinaryIO = field(default_factory=BytesIO)
    attachments: Sequence[Attachment] = ()
    told: Told = tell_nobody


@dataclass
class _Paper:
    """The second build, and the file that it is written into."""

    frame = Frame
    canvas = WrittenCanvas
    out: BinaryIO
    attachments: Sequence[Attachment]
    told: Told


def draw_pdf(
    draw: Callable[[Canvas], None],
    *,
    title: str,
    size: tuple[float, float],
    made_on: date,
) -> bytes:
    """Return pages drawn by hand, such as labels, as PDF bytes without head or foot.

    ``size`` is width and height in points, ``made_on`` the day that the file says it was
    made on. Waits its turn as ``build_pdf`` does.
    """
    with _one_at_a_time:
        register_fonts()
        out = BytesIO()
        canvas = Canvas(out, pagesize=size, invariant=1, lang="en-US")
        canvas.setTitle(printable(title, PLAIN, 200).text)
        canvas.setCreator("")
        date_file(canvas, made_on)
        draw(canvas)
        canvas.save()
        return out.getvalue()


def section(title: str, body: list[Flowable], paper: str) -> list[Flowable]:
    """Return a heading with its body, never the heading alone at a page's foot."""
    if body and isinstance(body[0], Table) and not body[0].repeatRows:
        _open_above(body[0])
    lead = _lead_height(body, styles.text_width(paper))
    heading = Heading(title)
    return [CondPageBreak(lead + 40), Spacer(1, 9), heading, *body]


def together(body: list[Flowable], paper: str) -> list[Flowable]:
    """Return the block kept on one page; as it is where it fills most of a page.

    A block taller than a page would be pushed to a new one, and leave the last empty.
    """
    room = styles.PAPERS[paper][1] - styles.MARGIN_TOP - styles.MARGIN_FOOT
    width = styles.text_width(paper)
    height = sum(float(part.wrap(width, 10_000)[1]) for part in body)
    return body if height > room * _MOST_TOGETHER else [KeepTogether(body)]


class Heading(Flowable):  # type: ignore[misc]
    """A spaced capital heading over a rule, entered in the outline."""

    house_heading = True

    def __init__(self, title: str) -> None:
        """Store the title for the outline."""
        super().__init__()
        self.title = printable(title, STRONG, 90).text.replace("\n", " ")

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        """Take the whole width."""
        self.width = width
        return width, 25.0

    def draw(self) -> None:
        """Draw the text, the rule and the outline entry."""
        canvas = self.canv
        key = f"section-{len(canvas.house_pages.headings)}-{self.title}"
        canvas.bookmarkHorizontal(key, 0, 26)
        canvas.addOutlineEntry(self.title, key, level=0)
        canvas.house_pages.headings[self.title] = canvas.getPageNumber()
        canvas.setFillColor(styles.INK)
        text = canvas.beginText(0, 10)
        text.setFont(STRONG, HEAD_SIZE)
        text.setCharSpace(0.9)
        text.textOut(self.title.upper())
        text.setCharSpace(0)
        canvas.drawText(text)
        canvas.setStrokeColor(styles.INK)
        canvas.setLineWidth(1.1)
        canvas.line(0, 4.5, self.width, 4.5)


class OutlineMark(Flowable):  # type: ignore[misc]
    """An entry in the outline below the last heading; draws nothing."""

    def __init__(self, title: str) -> None:
        """Keep the entry's title."""
        super().__init__()
        self.title = printable(title, PLAIN, 90).text.replace("\n", " ")

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """Take no room."""
        return 0, 0

    def draw(self) -> None:
        """Enter the title in the outline."""
        canvas = self.canv
        canvas.house_marks += 1
        key = f"mark-{canvas.house_marks}"
        canvas.bookmarkHorizontal(key, 0, 14)
        canvas.addOutlineEntry(self.title, key, level=1)


def _open_above(table: Table) -> None:
    """Take away the rule above a table without a head: the heading has one already."""
    lines = table._linecmds  # noqa: SLF001 - a style can only be added to
    table._linecmds = [  # noqa: SLF001
        line for line in lines if line[0] != "LINEABOVE" or line[1][1] != 0
    ]


def _lead_height(body: list[Flowable], width: float) -> float:
    """Return the height of what must stay with a heading: a first row or block."""
    height = 0.0
    for first in body:
        height += _least_height(first, width)
        if height > _ENOUGH_LEAD or not isinstance(first, Paragraph | Spacer):
            break
    return min(height, _TALLEST_LEAD)


def _least_height(flowable: Flowable, width: float) -> float:
    """Return the least that can be drawn of it: of a table, its head and first row."""
    if isinstance(flowable, Table) and None not in flowable._argH:  # noqa: SLF001
        rows = flowable.repeatRows + 1
        return float(sum(flowable._argH[:rows]))  # noqa: SLF001 - heights as we gave them
    if isinstance(flowable, KeepTogether):
        kept = flowable._content  # noqa: SLF001 - it cannot be measured off a page
        return sum(float(part.wrap(width, 10_000)[1]) for part in kept)
    return float(flowable.wrap(width, 10_000)[1])


def _build_once(
    story: Story, text: PageText, pages: Pages, build: "_Room | _Paper"
) -> None:
    size = styles.PAPERS[text.paper]
    document = BaseDocTemplate(
        build.out,
        pagesize=size,
        title=printable(text.title, PLAIN, 200).text,
        author=printable(text.author, PLAIN, 200).text,
        subject=printable(text.head_right, PLAIN, 200).text,
        creator="",
        lang="en-US",
        invariant=1,
    )
    frame = build.frame(
        styles.MARGIN_SIDE,
        styles.MARGIN_FOOT,
        size[0] - 2 * styles.MARGIN_SIDE,
        size[1] - styles.MARGIN_TOP - styles.MARGIN_FOOT,
        *(0, 0, 0, 0),
    )
    fresh = Pages()

    def around(canvas: Canvas, _document: BaseDocTemplate) -> None:
        if canvas.getPageNumber() == 1:
            date_file(canvas, text.made_on)
            canvas.house_pages, canvas.house_marks = fresh, 0
            canvas.showOutline()
            attach(canvas._doc, build.attachments)  # noqa: SLF001 - it has no door for it
            canvas._doc.house_told = build.told  # noqa: SLF001
        build.told("page", canvas.getPageNumber(), pages.total)
        draw_around(canvas, text, pages.total)

    document.addPageTemplates(PageTemplate("page", [frame], onPage=around))
    document.build(story(pages), canvasmaker=build.canvas)
    pages.total, pages.headings = document.page, fresh.headings
