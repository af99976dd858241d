"""Each exhibit on pages of its own with its stamp, and the list of evidence."""

import hashlib
from collections.abc import Sequence
from pathlib import Path

from reportlab.platypus import Flowable, PageBreak, Spacer, Table

from claims.documents import packet_parts as parts
from claims.documents.packet_facts import numbers
from claims.rules.packet.content import Exhibit, PacketContent
from claims.rules.packet.handed_over import manifest_bytes
from claims.rules.packet.lighter import Lighter
from claims.rules.packet.manifest import CHECKER_NAME, MANIFEST_NAME, in_groups
from inventory.documents.core import styles
from inventory.documents.core.drawings import CrateDrawing
from inventory.documents.core.markup import lacking_in
from inventory.documents.core.page import Pages, together
from inventory.documents.core.pictures import PageBox, PhotoBox
from inventory.documents.core.styles import text_width
from inventory.documents.core.text import P, lacking_note
from inventory.rules.evidence.markup import marked_copy

_MOST_HIGH = 358.0
_PAGE_HIGH = 545.0
_HASH = 16
SMALLER = "Smaller picture; in full size in the full claim file."


def title_of(one: Exhibit) -> str:
    """Return the heading under which an exhibit is in the outline and the contents."""
    return f"Exhibit {one.number}"


def exhibit(
    one: Exhibit, root: Path, paper: str, *, is_smaller: bool = False
) -> list[Flowable]:
    """Return the exhibit's pages, each beginning a page.

    ``is_smaller`` says that its pictures are smaller here than in the full file.
    """
    made: list[Flowable] = []
    note = P(SMALLER, styles.NOTE) if is_smaller else []
    for place in range(max(one.shown, 1)):
        made += [PageBreak(), *_page(one, place, root, paper), *note]
    return made


def room_for(one: Exhibit) -> list[Flowable]:
    """Return what takes as many pages as the exhibit, where each fits on its page."""
    head = parts.PageHead(title_of(one), hidden=True)
    room = Table([[""]], rowHeights=[_MOST_HIGH])
    more = [PageBreak(), room] * (max(one.shown, 1) - 1)
    return [PageBreak(), head, room, *more]


def lighter_words(lighter: Lighter) -> list[Flowable]:
    """Return what a lighter edition says of itself: what is smaller, where the rest is."""
    words = (
        f"The pictures here are at most {lighter.side} pixels wide or high, so that the "
        "file is small. Smaller than in the full claim file: "
        f"{numbers(lighter.exhibits)}. Everything else is the same."
    )
    full = (
        f"The full claim file, version {lighter.version}, is {lighter.full_size}. We send "
        f"it on request. Its SHA-256: {in_groups(lighter.full_sha256, _HASH)}"
    )
    return [
        Spacer(1, 10),
        *P(words, styles.BODY, lead="Lighter edition."),
        *P(full, styles.BODY),
    ]


def _page(one: Exhibit, place: int, root: Path, paper: str) -> list[Flowable]:
    is_first = place == 0
    of = f"page {place + 1} of {one.pages}" if one.pages > 1 else ""
    head = parts.PageHead(title_of(one), hidden=True) if is_first else Spacer(1, 0)
    width = text_width(paper) - parts.STAMP_WIDE - 16
    day = ", ".join(part for part in (one.day, one.by, of) if part)
    lines = [
        *P(one.title, parts.EXHIBIT_TITLE),
        *P(one.neutral_line, styles.BODY),
        *P(day, styles.BODY),
    ]
    block = Table(
        [[lines, []]],
        colWidths=[width, parts.STAMP_WIDE + 16],
        rowHeights=None,
        style=[
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("TOPPADDING", (0, 0), (-1, -1), 0),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
        ],
    )
    high = float(block.wrap(text_width(paper), 10_000)[1])
    gap = Spacer(1, max(parts.STAMP_HIGH + 6 - high, 4))
    shown = _shown(one, place, root, paper)
    return [head, parts.Stamp(one.number), block, gap, *shown]


def _shown(one: Exhibit, place: int, root: Path, paper: str) -> list[Flowable]:
    width = text_width(paper)
    if one.bound:
        return [PageBox(one.bound[place], root, width, _PAGE_HIGH)]
    if not one.source:
        words = (
            f"The original is not bound in. It is the file {one.file}; its SHA-256 is "
            "below and in the list of evidence."
        )
        return [*P(words, styles.BODY), *_facts(one, paper)]
    most = _PAGE_HIGH if one.pages > 1 else _MOST_HIGH
    picture: list[Flowable] = [
        PhotoBox(one.source[place], root, width, most, marks=one.marks)
    ]
    if place:
        return picture
    marked = marked_copy(one.sha256, one.name) if one.marks else ""
    return [
        *picture,
        *P(one.caption, styles.CAPTION),
        *P(marked, styles.NOTE),
        *lacking_note(lacking_in(one.marks)),
        *(_facts(one, paper) if one.pages == 1 else []),
    ]


def _facts(one: Exhibit, paper: str) -> list[Flowable]:
    width = text_width(paper)
    rows = [
        *((row.label, row.value) for row in one.facts),
        ("Original file", one.size),
        ("SHA-256", hash_lines(one.sha256)),
    ]
    if not one.faces:
        return [Spacer(1, 4), *parts.facts(rows, width, share=0.2)]
    drawing = CrateDrawing(one.faces, scale=0.72)
    left = parts.facts(rows, width - drawing.width - 16, share=0.32)
    right = [*P("Crate unfolded: damage hatched", styles.NOTE), drawing]
    share = (width - drawing.width) / width
    return [Spacer(1, 4), parts.side_by_side(left, right, width, share)]


def hash_lines(sha256: str) -> str:
    """Return a hash in groups of sixteen, two a line."""
    first, second = sha256[: 2 * _HASH], sha256[2 * _HASH :]
    return f"{in_groups(first, _HASH)}\n{in_groups(second, _HASH)}".strip()


def evidence(content: PacketContent, pages: Pages) -> list[Flowable]:
    """Return the list of evidence with every SHA-256, and how to check it."""
    width = text_width(content.paper)
    intro = P(
        "Everything bound into this claim file, in order. The letters and digits under "
        "each entry are the SHA-256 value of the original file; a changed file gives "
        "another value. Marks are drawn on copies only.",
        styles.BODY,
    )
    made = [*intro, *_table(content.exhibits, pages, width)]
    for line in content.neutral_lines:
        made += P(line, styles.BODY)
    return [*made, *together(_check(content, width), content.paper)]


def _table(exhibits: Sequence[Exhibit], pages: Pages, width: float) -> list[Flowable]:
    if not exhibits:
        return []
    head = [
        P(words, parts.HEAD) for words in ("Exhibit", "What it is, when and by whom")
    ]
    head += [P(words, parts.HEAD) for words in ("Kind", "Pages", "Page")]
    rows = [head, *(_row(one, pages) for one in exhibits)]
    count = sum(one.pages for one in exhibits)
    noun = "exhibit" if len(exhibits) == 1 else "exhibits"
    rows.append(
        [
            [],
            P(f"{len(exhibits)} {noun}", parts.VALUE),
            [],
            P(str(count), parts.VALUE),
            [],
        ]
    )
    return [
        Table(
            rows,
            colWidths=[width * part for part in (0.11, 0.64, 0.1, 0.08, 0.07)],
            repeatRows=1,
            hAlign="LEFT",
            style=[
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("RIGHTPADDING", (0, 0), (-1, -1), 3),
                ("TOPPADDING", (0, 0), (-1, -1), 3),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 3.4),
                ("LINEBELOW", (0, 0), (-1, 0), 1.1, styles.INK),
                ("LINEBELOW", (0, 1), (-1, -3), 0.5, styles.HAIR),
                ("LINEABOVE", (0, -1), (-1, -1), 1.4, styles.INK),
                ("LINEBELOW", (0, -1), (-1, -1), 1.1, styles.INK),
                ("NOSPLIT", (0, -2), (-1, -1)),  # no total alone on a page
            ],
        ),
        Spacer(1, 8),
    ]


def _row(one: Exhibit, pages: Pages) -> list[list[Flowable]]:
    listed = "" if one.shown else f", listed by its value, not bound in: {one.unbound}"
    if one.shown and one.unbound:
        listed = f", {one.unbound}"
    told = [
        *P(f"{one.title}{listed}", parts.VALUE),
        *P(one.neutral_line, parts.FACTS),
        *P(f"{one.day}, {one.by}", parts.FACTS),
        *P(in_groups(one.sha256, _HASH), parts.HASH),
    ]
    page = str(pages.headings.get(title_of(one), ""))
    return [
        P(str(one.number), parts.NUMBER),
        told,
        P(one.kind, parts.FACTS),
        P(str(one.pages), parts.FACTS),
        P(page, parts.FACTS),
    ]


def _check(content: PacketContent, width: float) -> list[Flowable]:
    """Return the value to type, and how the other side checks the files."""
    attached = manifest_bytes(content)
    if not attached:
        return []
    root = in_groups(content.tree.root, 8)
    half = len(root) // 2
    value = [
        f"Events recorded: {content.tree.size}",
        root[:half].strip(),
        root[half:].strip(),
        f"Originals listed: {len(content.exhibits)}",
    ]
    how = [
        (
            f"Save {MANIFEST_NAME} and {CHECKER_NAME}, which are attached to this PDF, "
            "and the originals. If they did not come with it, ask us for them. Run:"
        ),
        f"python3 {CHECKER_NAME} {MANIFEST_NAME} FOLDER",
        (
            "Type the number and the value at the left. It names every file that is "
            "changed or missing. It needs Python 3 and nothing of ours."
        ),
    ]
    digest = hashlib.sha256(attached).hexdigest()
    last = f"This is version {content.version}, completed {content.as_of}. A later version has its own list."
    return [
        *parts.boxes(("Value of this list", value), ("To check the files", how), width),
        Spacer(1, 5),
        *P(f"SHA-256 of the list: {in_groups(digest, _HASH)}", styles.NOTE),
        *P(last, styles.NOTE),
    ]
