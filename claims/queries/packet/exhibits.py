"""The exhibits of a claim file: each file of evidence with its facts and its pages."""

from collections.abc import Callable
from datetime import datetime

from claims.models import Finding
from claims.queries.core.found import title_words
from claims.queries.packet.gathered import Gathered
from claims.queries.packet.text import (
    file_kind,
    joined,
    letter_day,
    letter_moment,
    size_text,
)
from claims.rules.packet.content import Exhibit, Row
from claims.rules.packet.manifest import original_name
from claims.rules.packet.neutral_lines import KINDS, neutral_line
from inventory.evidence.pictures.exhibits import Bound, pages_of
from inventory.models import Evidence
from inventory.rules.core.pictures import PdfPage, Picture
from inventory.rules.evidence.remarks import camera_time
from inventory.rules.reckoning.moments import dock_hour

PagesOf = Callable[[Evidence], Bound]
"""Gives the pages of one uploaded file."""

_PAPERS = frozenset(
    {
        *("bill-of-lading", "packing-list", "freight-bill", "freight-paid"),
        *("supplier-invoice", "carrier-image", "inspection-report", "non-receipt"),
        *("inspection-waiver", "repair-estimate", "origin-condition"),
        *("proof-of-receipt", "receipt", "statement", "supplier-paper"),
    }
)
"""Kinds that are documents: a picture of one is a copy of it."""


def exhibits_of(gathered: Gathered, pages: PagesOf = pages_of) -> tuple[Exhibit, ...]:
    """Return every file as an exhibit, numbered from 1 in the order of the file."""
    shows: dict[str, list[tuple[int, Finding]]] = {}
    for number, finding in enumerate(gathered.findings, start=1):
        for photo in finding.photos.all():
            shows.setdefault(str(photo.pk), []).append((number, finding))
    return tuple(
        _exhibit(
            number, row, gathered, shows=shows.get(str(row.pk), []), bound=pages(row)
        )
        for number, row in enumerate(gathered.files, start=1)
    )


def _exhibit(
    number: int,
    row: Evidence,
    gathered: Gathered,
    *,
    shows: list[tuple[int, Finding]],
    bound: Bound,
) -> Exhibit:
    is_paper = row.kind in _PAPERS
    paper = KINDS.get(row.kind, "")
    line = neutral_line(paper, gathered.claim.neutral_lines.get(paper, ""))
    faces = [face for _, one in shows for face in one.faces.split(",") if face]
    location, seen = gathered.claim.location, row.seen
    return Exhibit(
        number=number,
        kind="Copy" if is_paper else "Photo",
        title=_title(row, shows),
        day=letter_moment(row.received_at, location),
        by=str(row.recorded_by),
        sha256=row.original_id,
        pages=max(bound.total, 1),
        source=tuple(page for page in bound.pages if isinstance(page, Picture)),
        bound=tuple(page for page in bound.pages if isinstance(page, PdfPage)),
        unbound=bound.reason,
        neutral_line=line,
        file=original_name(number, row.original_id, row.original.media_type),
        name=row.file_name,
        size=joined(
            f"{seen.width} x {seen.height}" if seen.width and seen.height else "",
            file_kind(row.original.media_type),
            size_text(row.original.size),
        ),
        caption=row.caption,
        facts=_facts(row, gathered, shows),
        marks=row.marks,
        faces=tuple(dict.fromkeys(faces)),
    )


def pages_as_in(exhibits: tuple[Exhibit, ...]) -> PagesOf:
    """Return what gives the pages that these exhibits have, and opens no file.

    A file that is not among them has none: whoever compares sees it by its hash.
    """
    known = {
        one.sha256: Bound((*one.source, *one.bound), one.pages, one.unbound)
        for one in exhibits
    }
    return lambda row: known.get(row.original_id, Bound())


def _title(row: Evidence, shows: list[tuple[int, Finding]]) -> str:
    kind = str(row.get_kind_display())
    if shows:
        return title_words(shows[0][1])
    return row.caption if row.kind == "other" and row.caption else kind


def _facts(
    row: Evidence, gathered: Gathered, shows: list[tuple[int, Finding]]
) -> tuple[Row, ...]:
    location = gathered.claim.location
    taken = camera_time(row.seen.claims or {})
    about = shows[0][1] if shows else None
    subject = about.unit or about.crate if about else None
    rows = (
        (
            "Shows",
            joined(str(subject or ""), str(gathered.claim.shipment)),
        ),
        ("Finding", ", ".join(str(number) for number, _ in shows)),
        ("Received", letter_moment(row.received_at, location)),
        ("Camera's time", _camera(taken)),
        ("By", str(row.recorded_by)),
        ("Where", joined(location.name, ", ".join(location.address.splitlines()))),
    )
    return tuple(Row(label, value) for label, value in rows if value)


def _camera(taken: datetime | None) -> str:
    """Return the camera's time on the camera's own clock, or nothing."""
    if taken is None or taken.tzinfo is None:
        return ""
    return f"{letter_day(taken.date())}, {dock_hour(taken, taken.tzinfo)}"
