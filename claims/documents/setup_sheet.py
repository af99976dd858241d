"""The setup sheet of one machine: every line, every reading, its photos, its end."""

from datetime import date
from pathlib import Path

from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, Spacer, Table

from claims.documents.setup_sheet_parts import SlatRule, release_box
from claims.rules.bench.setup_sheet import (
    DEFERS,
    NO_TARGET,
    TITLE,
    SetupSheet,
    SheetLine,
    SheetPhoto,
    SheetTaking,
)
from claims.rules.bench.targets import NO_TARGET as NO_TARGET_SAID
from inventory.documents.core import styles
from inventory.documents.core.around import PageText
from inventory.documents.core.markup import lacking_in
from inventory.documents.core.page import Pages, build_pdf, section, together
from inventory.documents.core.pictures import PhotoBox
from inventory.documents.core.styles import text_width
from inventory.documents.core.tables import Column, facts_table, ruled_table
from inventory.documents.core.text import P, lacking_note
from inventory.rules.evidence.markup import marked_copy

_LINES = (
    Column("No.", 5, right=True),
    Column("Line", 24, strong=True),
    Column("Answer", 11, strong=True),
    Column("Reading, maker's figure, verdict, note", 33),
    Column("By", 27),
)
_ITEMS = (
    Column("Open item", 28, strong=True),
    Column("What is left", 30),
    Column("Who sees to it", 24),
    Column("By", 18),
)
_APART = 14.0
_TALLEST = 190.0
_ROOM = 150.0
_SAFETY = " \N{ASTERISK}"


def setup_sheet_pdf(
    content: SetupSheet, *, made_on: date, root: Path | str = ""
) -> bytes:
    """Return the sheet as PDF bytes; the same content returns the same bytes.

    Pictures are read under ``root``. Raise PictureError where one is missing or is
    not the one that the content names.
    """
    release = content.release
    around = PageText(
        title=f"{TITLE}: {content.machine}",
        author=content.company,
        head_left=f"{content.company}   ·   {TITLE}",
        head_right=f"{release.word}   ·   {release.state}",
        foot=content.machine,
        paper=content.paper,
        made_on=made_on,
    )

    def story(_pages: Pages) -> list[Flowable]:
        return _story(content, Path(root))

    return build_pdf(story, around)


def _story(content: SetupSheet, root: Path) -> list[Flowable]:
    width = text_width(content.paper)
    bodies = {
        "Open items": _items(content, width),
        "Every line": _lines(content, width),
        "Read more than once": _in_full(content, width),
        "Photos": _photos(content, root, width),
    }
    story = _head(content, width)
    for title, body in bodies.items():
        if body:
            # A block kept together needs its room below the heading too.
            story.append(CondPageBreak(_ROOM))
            story += section(title, body, content.paper)
    return story


def _head(content: SetupSheet, width: float) -> list[Flowable]:
    facts = [(label, value) for label, value in content.facts if value]
    return [
        *P(content.company, styles.SENDER),
        *P(", ".join(content.address), styles.NOTE),
        SlatRule(),
        *P(TITLE, styles.TITLE),
        *P(content.machine, styles.LEAD),
        Spacer(1, 5),
        release_box(content.release, width),
        *facts_table(facts, width),
        *P(DEFERS, styles.NOTE),
    ]


def _items(content: SetupSheet, width: float) -> list[Flowable]:
    rows = [[one.line, one.what, one.who, one.by] for one in content.items]
    return ruled_table(_ITEMS, rows, width) if rows else []


def _lines(content: SetupSheet, width: float) -> list[Flowable]:
    rows = [
        [
            f"{line.number}",
            f"{line.label}{_SAFETY if line.is_safety else ''}",
            line.answer,
            _last_words(line),
            f"{line.last.who}, {line.last.day}" if line.last else "",
        ]
        for line in content.lines
    ]
    return [
        *P(
            f"{content.counts}.{_SAFETY} A safety line: it is right before release, "
            "and cannot stay open.",
            styles.NOTE,
        ),
        *ruled_table(_LINES, rows, width),
    ]


def _last_words(line: SheetLine) -> str:
    last = line.last
    if last is None:
        return ""
    read = [
        f"{point} {cell}" if len(line.points) > 1 else cell
        for point, cell in zip(line.points, last.cells, strict=False)
        if cell
    ]
    target = f"Maker: {' '.join(line.targets)}" if line.targets else NO_TARGET
    parts = [
        ", ".join(read),
        target if read else "",
        last.verdict.replace(NO_TARGET_SAID, "").strip(),
        last.note,
        _photo_words(last),
    ]
    return "\n".join(part for part in parts if part)


def _photo_words(taking: SheetTaking) -> str:
    numbers = ", ".join(str(number) for number in taking.photos)
    return f"Photo {numbers}" if numbers else ""


def _in_full(content: SetupSheet, width: float) -> list[Flowable]:
    made: list[Flowable] = []
    for line in content.in_full:
        targets = "\n".join(line.targets) or (NO_TARGET if line.points else "")
        block = [
            *P(f"{line.number}. {line.label}: {line.answer.lower()}", styles.LEAD),
            *P(targets, styles.NOTE, lead="Maker's figure." if line.targets else ""),
            *_takings(line, width),
            Spacer(1, 5),
        ]
        made += together(block, content.paper)
    return made


def _takings(line: SheetLine, width: float) -> list[Flowable]:
    share = 11.5 if len(line.points) > 2 else 15
    columns = [
        Column("Reading", 25),
        *(Column(point, share, strong=True) for point in line.points),
        Column("Verdict, note, decision", 75 - share * len(line.points)),
    ]
    rows = [
        [
            f"{head}\n{taking.when}\n{taking.who}",
            *(taking.cells or ("",) * len(line.points)),
            _verdict(taking),
        ]
        for head, taking in zip(line.heads, line.takings, strict=True)
    ]
    return ruled_table(columns, rows, width)


def _verdict(taking: SheetTaking) -> str:
    parts = [
        f"{taking.result}. {taking.verdict}".strip(),
        taking.note,
        *(f"Decided: {one}" for one in taking.decisions),
        _photo_words(taking),
    ]
    return "\n".join(part for part in parts if part)


def _photos(content: SetupSheet, root: Path, width: float) -> list[Flowable]:
    if not content.photos:
        return []
    half = (width - _APART) / 2
    cells = [_photo(photo, root, half) for photo in content.photos]
    cells += [[]] * (len(cells) % 2)
    return [
        KeepTogether([_abreast(one, other, half)])
        for one, other in zip(cells[::2], cells[1::2], strict=True)
    ]


def _abreast(left: list[Flowable], right: list[Flowable], half: float) -> Flowable:
    return Table(
        [[left, [], right]],
        colWidths=[half, _APART, half],
        hAlign="LEFT",
        style=[
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 0),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 8),
        ],
    )


def _photo(photo: SheetPhoto, root: Path, width: float) -> list[Flowable]:
    marks = photo.marks if photo.picture else ()
    shown: list[Flowable] = (
        [PhotoBox(photo.picture, root, width, _TALLEST, marks=marks)]
        if photo.picture
        else P("This original has no preview.", styles.NOTE)
    )
    code = f"{photo.sha256[:32]}\n{photo.sha256[32:]}"
    return [
        *shown,
        *P(f"Photo {photo.number}. {photo.caption}", styles.CAPTION),
        *P(photo.taken, styles.NOTE),
        *P(marked_copy(photo.sha256, photo.file) if marks else "", styles.NOTE),
        *lacking_note(lacking_in(marks)),
        *P(f"SHA-256 of the original:\n{code}", styles.NOTE),
    ]
