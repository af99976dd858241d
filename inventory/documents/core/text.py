"""The one way from a person's text to a page: cleaned, capped, escaped, split.

Raw text in ReportLab's Paragraph is markup: it raises, loses words or reads local
files, and one very long text stops the layout for minutes. So nothing else makes a
Paragraph, and a test checks that nothing does.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import groupby
from unicodedata import name as name_of
from xml.sax.saxutils import escape

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, Paragraph

from inventory.documents.core import styles
from inventory.documents.core.fonts import BOX, can_print, width_of
from inventory.rules.core.text import clean_text

MOST = 20_000
PIECE = 2_000
MOST_LINES = 400
PIECE_LINES = 40
_MOST_NAMED = 200
"""Characters that a note spells out: more than the longest name on record has."""


@dataclass(frozen=True)
class Printable:
    """Text that a face can print, and the runs of characters that it could not.

    A name is one run, in its own order, so that nobody's name is lost.
    """

    text: str
    lacking: tuple[str, ...]


def printable(text: str, font: str, most: int = MOST) -> Printable:
    """Return the text without control characters, cut at ``most`` characters.

    What the font lacks becomes a box and is named in ``lacking``; a cut says how
    many characters are not printed. Tabs and unusual spaces become spaces.
    """
    clean = _capped(clean_text(text).replace("\t", "    "), most)
    blank = {
        ord(mark): " " if mark.isspace() else BOX
        for mark in set(clean)
        if mark != "\n" and not can_print(mark, font)
    }
    return Printable(clean.translate(blank), _runs(clean, blank) if blank else ())


def _runs(text: str, blank: Mapping[int, str]) -> tuple[str, ...]:
    runs = groupby(text, key=lambda mark: blank.get(ord(mark)) == BOX)
    return in_order("".join(run) for is_lacking, run in runs if is_lacking)


def in_order(runs: Iterable[str]) -> tuple[str, ...]:
    """Return each run once, in the order in which they first stand on the page."""
    return tuple(dict.fromkeys(runs))


def P(  # noqa: N802 - short, since every sentence of a document goes through it
    text: str, style: ParagraphStyle, *, lead: str = ""
) -> list[Flowable]:
    """Return the text as paragraphs of at most 2,000 characters, printed literally.

    ``lead`` comes before it in bold. A note follows where characters
    could not be printed. Empty text gives an empty list.
    """
    shown = printable(text, style.fontName)
    head = printable(lead, style.fontName, 200)
    if not (shown.text.strip() or head.text.strip()):
        return []
    made: list[Flowable] = []
    for number, piece in enumerate(_pieces(shown.text)):
        markup = escape(piece).replace("\n", "<br/>")
        if number == 0 and head.text:
            markup = f"<b>{escape(head.text)}</b> {markup}"
        made.append(Paragraph(markup, style))
    return [*made, *lacking_note(head.lacking + shown.lacking)]


def lacking_note(lacking: Iterable[str]) -> list[Flowable]:
    """Return the note that spells out what the boxes replace; nothing where all prints.

    A run of boxes is followed by its code points, as many as it has boxes.
    """
    runs = in_order(lacking)
    if not runs:
        return []
    named, left = [], _MOST_NAMED
    for run in runs:
        if left > 0:
            named.append(_named(run[:left]))
        left -= len(run)
    rest = f" and {-left} more characters, on record" if left < 0 else ""
    return [
        Paragraph(
            f"{BOX} marks what this typeface cannot print: {', '.join(named)}{rest}.",
            styles.REMARK,
        )
    ]


def wrapped(text: str, font: str, size: float, width: float) -> list[str]:
    """Return the lines of plain text that fit the width, long words broken.

    For table cells, which are drawn as they are, without markup.
    """
    lines: list[str] = []
    for line in text.split("\n"):
        lines += _wrapped_line(line, font, size, width)
    return lines


def _wrapped_line(line: str, font: str, size: float, width: float) -> list[str]:
    lines: list[str] = []
    current = ""
    for word in line.split(" "):
        longer = f"{current} {word}" if current else word
        if width_of(longer, font, size) <= width:
            current = longer
            continue
        if current:
            lines.append(current)
        *whole, current = _broken(word, font, size, width)
        lines += whole
    return [*lines, current]


def _broken(word: str, font: str, size: float, width: float) -> list[str]:
    if width_of(word, font, size) <= width:
        return [word]
    parts, start, used = [], 0, 0.0
    for index, mark in enumerate(word):
        step = width_of(mark, font, size)
        if used + step > width and index > start:
            parts.append(word[start:index])
            start, used = index, 0.0
        used += step
    return [*parts, word[start:]]


def _capped(text: str, most: int) -> str:
    lines = text.split("\n")
    kept = "\n".join(lines[:MOST_LINES])[:most]
    left = len(text) - len(kept)
    if left <= 0:
        return text
    return f"{kept} [{left:,} more characters are on record, not printed here]"


def _pieces(text: str) -> list[str]:
    pieces: list[str] = []
    lines = text.split("\n")
    for start in range(0, len(lines), PIECE_LINES):
        rest = "\n".join(lines[start : start + PIECE_LINES])
        while len(rest) > PIECE:
            cut = rest.rfind(" ", PIECE // 2, PIECE)
            cut = cut if cut > 0 else PIECE
            pieces.append(rest[:cut])
            rest = rest[cut:].removeprefix(" ")
        pieces.append(rest)
    return pieces


def _named(run: str) -> str:
    points = " ".join(f"U+{ord(mark):04X}" for mark in run)
    if len(run) > 1:
        return f"{BOX * len(run)} {points}"
    return f"{points} {escape(name_of(run, 'unnamed').lower())}"
