"""The exceptions on the receipt, and each finding with its photos."""

from collections.abc import Sequence
from pathlib import Path

from reportlab.platypus import Flowable, Spacer

from claims.rules.packet.content import (
    FindingEntry,
    PacketContent,
    Photo,
    ReceiptExceptions,
)
from inventory.documents.core import styles
from inventory.documents.core.drawings import CrateDrawing
from inventory.documents.core.markup import lacking_in
from inventory.documents.core.page import OutlineMark, together
from inventory.documents.core.pictures import PhotoBox
from inventory.documents.core.styles import text_width
from inventory.documents.core.tables import Column, ruled_table
from inventory.documents.core.text import P, lacking_note
from inventory.rules.evidence.markup import marked_copy

_PAIR = (Column("", 24), Column("", 76))
_WIDE_MOST = 262.0
"""Two landscape photos with their captions fill one letter page."""
_TALL_MOST = 420.0


def exceptions(content: PacketContent, root: Path) -> list[Flowable]:
    """Return, for each delivery, the exceptions verbatim and on whose copies."""
    made: list[Flowable] = []
    for receipt in content.exceptions:
        made += together(_receipt(receipt, content.paper), content.paper)
        made += _photos(receipt.photos, root, content.paper)
    return made


def findings(content: PacketContent, root: Path) -> list[Flowable]:
    """Return each finding: the facts, the opinion separately, then its photos."""
    made: list[Flowable] = []
    for entry in content.findings:
        made += together(_finding(entry, content.paper), content.paper)
        made += _photos(entry.photos, root, content.paper)
        made.append(Spacer(1, 8))
    return made


def _receipt(receipt: ReceiptExceptions, paper: str) -> list[Flowable]:
    words = P("No exceptions were written.", styles.BODY)
    if receipt.words:
        words = P("Exceptions recorded at delivery:", styles.NOTE)
        words += P(receipt.words, styles.QUOTE)
    rows = [
        ("Written on", receipt.stands_on),
        ("How signed", receipt.how_signed),
        ("Driver", receipt.driver),
        ("Carrier's POD", receipt.carrier_image),
    ]
    return [
        *P(receipt.delivery, styles.LEAD),
        *words,
        *_pairs(rows, paper),
    ]


def _finding(entry: FindingEntry, paper: str) -> list[Flowable]:
    title = f"Finding {entry.number}. {entry.title}"
    rows = [
        ("On", entry.subject),
        ("Found", entry.found),
        ("Inspection", entry.stage),
        ("Severity", entry.severity),
        ("Visible at delivery", entry.visible_at_delivery),
        ("Repair", entry.repair),
    ]
    crate: list[Flowable] = [CrateDrawing(entry.faces)] if entry.faces else []
    drawn = (
        P(
            "The crate unfolded, seen from outside; damaged sides are crossed.",
            styles.NOTE,
        )
        if crate
        else []
    )
    return [
        OutlineMark(title),
        *P(title, styles.LEAD),
        *_pairs(rows, paper),
        *P(entry.facts, styles.BODY, lead="Facts."),
        *(_opinion(entry.opinion) if entry.opinion else []),
        *crate,
        *drawn,
    ]


def _opinion(words: str) -> list[Flowable]:
    return P(words, styles.BODY, lead="Opinion on the cause.")


def _pairs(rows: Sequence[tuple[str, str]], paper: str) -> list[Flowable]:
    shown = [list(row) for row in rows if row[1]]
    return ruled_table(_PAIR, shown, text_width(paper)) if shown else []


def _photos(photos: Sequence[Photo], root: Path, paper: str) -> list[Flowable]:
    return [
        kept for photo in photos for kept in together(_photo(photo, root, paper), paper)
    ]


def _photo(photo: Photo, root: Path, paper: str) -> list[Flowable]:
    """Return one photo at legible size over its caption."""
    marked = photo.marks if photo.picture else ()
    known = "   ·   ".join(
        part
        for part in (
            f"Received {photo.received}" if photo.received else "",
            f"camera says {photo.camera_time}"
            if photo.camera_time
            else "no camera time",
            f"by {photo.taken_by}" if photo.taken_by else "",
            f"original {photo.sha256[:12]}" if photo.sha256 and not marked else "",
        )
        if part
    )
    made: list[Flowable] = [Spacer(1, 4)]
    if photo.picture:
        tall = photo.picture.height > photo.picture.width
        most = _TALL_MOST if tall else _WIDE_MOST
        made.append(
            PhotoBox(photo.picture, root, text_width(paper), most, marks=marked)
        )
    else:
        made += P("This original has no preview.", styles.NOTE)
    return [
        *made,
        *P(photo.caption or "No caption", styles.CAPTION),
        *P(marked_copy(photo.sha256, photo.file) if marked else "", styles.NOTE),
        *lacking_note(lacking_in(marked)),
        *P(known, styles.NOTE),
        Spacer(1, 4),
    ]
