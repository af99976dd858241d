"""The setup sheet of a machine, read from its rows."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db.models import Prefetch

from claims.models import LineDecision, Setup, SetupReading, SignOff
from claims.queries.bench.line_pages import target_words
from claims.queries.bench.model_entries import entry_of, targets_of
from claims.queries.bench.setup_lines import LineRead
from claims.rules.bench.checklists import RESULTS
from claims.rules.bench.decisions import DECISIONS
from claims.rules.bench.entries import readings_from
from claims.rules.bench.readings import POINTS, short
from claims.rules.bench.setup_lines import SetupLine
from claims.rules.bench.setup_lists import KINDS
from claims.rules.bench.setup_sheet import (
    DRAWN_LATER,
    NOT_RELEASED,
    RELEASED,
    TO_DO,
    UNFINISHED,
    SetupSheet,
    SheetItem,
    SheetLine,
    SheetPhoto,
    SheetRelease,
    SheetTaking,
)
from claims.rules.bench.sign_off import RELEASES, OpenItem, why_not_done
from inventory.evidence.pictures.drawn import picture_for
from inventory.models import Evidence, Location, Unit, User
from inventory.rules.core.pictures import Picture
from inventory.rules.core.text import mid_sentence
from inventory.rules.reckoning.moments import day_words, dock_day, dock_time


@dataclass(frozen=True)
class Signing:
    """A sign-off as it goes on the sheet: about to be saved, or saved long ago."""

    state: str
    items: tuple[OpenItem, ...]
    person: User
    at: datetime
    is_drawn_later: bool = False


def signing_of(row: SignOff) -> Signing:
    """Return a saved sign-off whose sheet was not saved with it."""
    items = [
        OpenItem(
            item["line"], item["what"], item["who"], date.fromisoformat(item["by"])
        )
        for item in row.items
    ]
    return Signing(
        row.state, tuple(items), row.signed_by, row.signed_at, is_drawn_later=True
    )


PictureOf = Callable[[Evidence], Picture | None]


def sheet_of(
    setup: Setup,
    *,
    at: datetime,
    signing: Signing | None = None,
    picture_of: PictureOf = picture_for,
) -> SetupSheet:
    """Return the sheet of this setup as it stood ``at`` this moment.

    Without a signing it says that the setup is not finished. ``setup`` comes with its
    list, and with its machine's freight bill, location and crate. ``picture_of`` finds a
    photo's picture, for whoever must open no file.
    """
    unit = setup.unit
    location = unit.shipment.location
    reads = _lines_read(setup, at)
    photos = _numbered(reads)
    entry = entry_of(unit.model)
    lines = []
    for number, read in enumerate(reads, start=1):
        judged_by = read.last.entry if read.last and read.last.entry else entry
        targets = targets_of(judged_by, read.line.key)
        lines.append(
            SheetLine(
                number=number,
                label=read.line.label,
                answer=_answer(read),
                is_safety=read.line.never_open,
                points=_points(read.line),
                targets=tuple(target_words(target) for target in targets),
                takings=tuple(
                    _taking(row, read, photos, location) for row in read.readings
                ),
            )
        )
    where = {
        number: f"{line.label}, {mid_sentence(head)}"
        for line in reversed(lines)
        for head, taking in reversed(list(zip(line.heads, line.takings, strict=True)))
        for number in taking.photos
    }
    return SetupSheet(
        paper=location.paper,
        company=location.name,
        address=tuple(location.address.splitlines()),
        model=unit.model,
        serial=unit.serial,
        facts=_facts(setup, reads, location, entry.manual if entry else ""),
        release=_release(unit, at, signing),
        lines=tuple(lines),
        items=_items(reads, signing.items if signing else ()),
        photos=tuple(
            _photo(
                number,
                row,
                where[number],
                location,
                picture=picture_of(row) if row.is_picture else None,
            )
            for number, row in photos.values()
        ),
    )


Numbered = dict[UUID, tuple[int, Evidence]]
"""Each photo by its key: its number on the sheet, and itself."""


def _lines_read(setup: Setup, at: datetime) -> list[LineRead]:
    photos = Evidence.objects.select_related("original", "recorded_by")
    decisions = LineDecision.objects.select_related("decided_by", "finding")
    rows = (
        SetupReading.objects.filter(setup__unit=setup.unit_id, taken_at__lte=at)
        .select_related("taken_by", "entry")
        .prefetch_related(
            Prefetch("decisions", decisions.filter(decided_at__lte=at).order_by("pk")),
            Prefetch(
                "photos", photos.prefetch_related("markups", "readings").order_by("pk")
            ),
        )
        .order_by("pk")
    )
    read: dict[str, list[SetupReading]] = defaultdict(list)
    for row in rows:
        read[row.line].append(row)
    return [LineRead(line, tuple(read[line.key])) for line in setup.setup_list.rows]


def _numbered(reads: Iterable[LineRead]) -> Numbered:
    found: Numbered = {}
    for read in reads:
        for row in read.readings:
            for photo in row.photos.all():
                found.setdefault(photo.pk, (len(found) + 1, photo))
    return found


def _answer(read: LineRead) -> str:
    last = read.last
    if last is None:
        return TO_DO
    if last.result == "right" and why_not_done(read.line, read.state):
        return TO_DO
    return RESULTS[last.result]


def _points(line: SetupLine) -> tuple[str, ...]:
    return (
        tuple(POINTS[one].label for one in line.readings.points)
        if line.readings
        else ()
    )


def _taking(
    row: SetupReading, read: LineRead, photos: Numbered, location: Location
) -> SheetTaking:
    typed = readings_from(row.readings)
    asked = read.line.readings.points if read.line.readings else ()
    said = [f"As on the plate: {row.serial}"] if row.serial else []
    return SheetTaking(
        when=dock_time(row.taken_at, location.zone, None),
        day=day_words(row.taken_on, None),
        who=str(row.taken_by),
        result=RESULTS[row.result],
        cells=tuple(short(typed[one]) if one in typed else "" for one in asked),
        verdict=row.sentence,
        note=". ".join([*said, *([row.note] if row.note else [])]),
        decisions=tuple(_decided(one, location) for one in row.decisions.all()),
        photos=tuple(photos[photo.pk][0] for photo in row.photos.all()),
    )


def _decided(row: LineDecision, location: Location) -> str:
    what = DECISIONS[row.decision].split(":")[0]
    finding = f", finding {row.finding.number}" if row.finding else ""
    why = f". {row.reason}" if row.reason else "."
    when = dock_time(row.decided_at, location.zone, None)
    return f"{what}{finding}, {row.decided_by}, {when}{why}"


def _facts(
    setup: Setup, reads: Sequence[LineRead], location: Location, manual: str
) -> tuple[tuple[str, str], ...]:
    unit = setup.unit
    begun = dock_day(setup.begun_at, location.zone)
    kind = setup.setup_list.kind
    words = KINDS[kind].label if kind in KINDS else kind
    people = {str(row.taken_by): None for read in reads for row in read.readings}
    engine = next(
        (read.last for read in reads if read.line.key == "engine-serial"), None
    )
    return (
        ("Model", unit.model),
        ("Serial", unit.serial or "not listed"),
        ("Engine serial", engine.serial if engine else ""),
        ("Freight bill", f"PRO {unit.shipment.pro_number}"),
        ("Crate", str(unit.crate) if unit.crate else ""),
        ("Setup list", f"{words}, version {setup.setup_list.number}"),
        ("Maker's manual", manual or "none on file"),
        ("Setup begun", f"{day_words(begun, None)}, {setup.begun_by}"),
        ("Set up by", ", ".join(people)),
    )


def _release(unit: Unit, at: datetime, signing: Signing | None) -> SheetRelease:
    zone = unit.shipment.location.zone
    if signing:
        return SheetRelease(
            RELEASED,
            RELEASES[signing.state],
            is_signed=True,
            by=f"{signing.person}, {dock_time(signing.at, zone, None)}",
            more=DRAWN_LATER if signing.is_drawn_later else "",
        )
    now = f"As of {dock_time(at, zone, None)}"
    last = unit.sign_offs.filter(signed_at__lte=at).select_related("signed_by").last()
    if last is None:
        return SheetRelease(NOT_RELEASED, UNFINISHED, now)
    day = day_words(last.signed_on, None)
    if last.state == "manager":
        more = f"Released without sign-off by {last.signed_by}, {day}. {last.reason}"
        return SheetRelease("Not signed off", UNFINISHED, now, more)
    more = (
        f"Signed off {day} by {last.signed_by}, with open items. This copy shows what "
        "was read since; it is not signed."
    )
    return SheetRelease("Not signed again", UNFINISHED, now, more)


def _items(
    reads: Sequence[LineRead], items: Iterable[OpenItem]
) -> tuple[SheetItem, ...]:
    labels = {read.line.key: read.line.label for read in reads}
    return tuple(
        SheetItem(
            labels.get(item.line, item.line),
            item.what or "To be done",
            item.who,
            day_words(item.by, None),
        )
        for item in items
    )


def _photo(
    number: int,
    row: Evidence,
    where: str,
    location: Location,
    *,
    picture: Picture | None,
) -> SheetPhoto:
    return SheetPhoto(
        number=number,
        caption=f"{where}: {row.caption}" if row.caption else where,
        taken=f"{dock_time(row.received_at, location.zone, None)}, {row.recorded_by}",
        sha256=row.original_id,
        picture=picture,
        marks=row.marks,
        file=row.file_name,
    )
