"""Reading one line of a setup: what was typed, by the maker's figure, with photos."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.db import transaction

from claims.actions.bench.setups import line_of, locked_page, record_setup
from claims.models import SetupPhoto, SetupReading
from claims.queries.bench.model_entries import entry_of, targets_of
from claims.queries.bench.setups import SetupPage
from claims.rules.bench.adjusting import SIGNS
from claims.rules.bench.checklists import RESULTS
from claims.rules.bench.entries import readings_record, readings_words
from claims.rules.bench.places import in_order
from claims.rules.bench.readings import doubts
from claims.rules.bench.serials import compare_serial
from claims.rules.bench.setup_lines import SetupLine
from claims.rules.bench.targets import Judged, Target, judge
from inventory.actions.core.versions import RefusedError
from inventory.models import Evidence, Unit, User
from inventory.rules.reckoning.measures import MeasureError
from inventory.rules.reckoning.moments import dock_day
from inventory.rules.reckoning.quantities import Quantity, parse_quantity


class ImplausibleError(RefusedError):
    """A reading is far from what is usual; it is saved once it is confirmed.

    ``doubts`` is the question for each point.
    """

    def __init__(self, found: Mapping[str, str]) -> None:
        super().__init__(
            "A reading is far from what is usual. Nothing was saved yet. Read it again; "
            "if it is right, check the box and save."
        )
        self.doubts = dict(found)


@dataclass(frozen=True)
class LineTaken:
    """One line as typed: result, readings by point, serial, signs, note.

    ``result`` may be empty where the readings and a target decide. ``confirmed`` says
    that implausible readings were read again.
    """

    line: str
    result: str = ""
    readings: Mapping[str, str] = field(default_factory=dict)
    serial: str = ""
    signs: tuple[str, ...] = ()
    places: tuple[str, ...] = ()
    note: str = ""
    confirmed: bool = False


def read_line(
    *,
    person: User,
    at: datetime,
    unit: Unit,
    taken: LineTaken,
    photos: Sequence[Evidence] = (),
) -> SetupReading:
    """Save one line as read; an earlier reading of it stays.

    Raise ImplausibleError for a reading that must be confirmed, RefusedError for one
    that is no reading, for a line that comes later, or while the machine is on hold.
    """
    with transaction.atomic():
        page = locked_page(unit)
        line = line_of(page, taken.line).line
        _refuse_too_early(page, line)
        readings = _readings(line, taken)
        entry = entry_of(unit.model)
        targets = targets_of(entry, line.key)
        if not taken.confirmed:
            _ask_about(line, readings, targets)
        judged = judge(readings, targets) if readings else None
        result, sentence = _result(unit, line, taken, judged)
        row = SetupReading.objects.create(
            setup=page.setup,
            line=line.key,
            result=result,
            readings=readings_record(readings),
            entry=entry,
            judged=judged.state if judged else "",
            sentence=sentence,
            serial=taken.serial,
            signs=[sign for sign in SIGNS if sign in taken.signs],
            places=in_order(taken.places),
            note=taken.note,
            taken_at=at,
            taken_on=dock_day(at, unit.shipment.location.zone),
            taken_by=person,
        )
        _attach(row, unit, photos)
        data = {
            "line": line.label,
            "result": RESULTS[result].lower(),
            "sentence": f"{readings_words(readings)}. {sentence}" if readings else "",
            "photos": [str(photo.pk) for photo in photos],
        }
        record_setup("setup.line-read", page.setup, person=person, at=at, data=data)
        return row


def _refuse_too_early(page: SetupPage, line: SetupLine) -> None:
    before = [row for row in page.lines if row.line.key in line.after]
    waits = [
        row.line.label
        for row in before
        if not row.state.is_right and row.state.result != "absent"
    ]
    if waits:
        raise RefusedError(
            f"{line.label} is read after: {', '.join(waits)}. Nothing was saved. Finish "
            "that first, or the reading is worth nothing."
        )


def _readings(line: SetupLine, taken: LineTaken) -> dict[str, Quantity]:
    asked = line.readings
    typed = {point: text for point, text in taken.readings.items() if text.strip()}
    if asked is None or not typed.keys() <= set(asked.points):
        if typed:
            raise RefusedError(f"{line.label} has no such reading. Nothing was saved.")
        return {}
    try:
        return {point: parse_quantity(typed[point], asked.unit) for point in typed}
    except MeasureError as error:
        raise RefusedError(f"{error} Nothing was saved.") from error


def _ask_about(
    line: SetupLine, readings: Mapping[str, Quantity], targets: Sequence[Target]
) -> None:
    if line.readings is None:
        return
    spans = [
        (point, target.low.base, target.high.base)
        for target in targets
        if target.rule == "each" and target.low and target.high
        for point in target.points
    ]
    found = doubts(line.readings, readings, spans)
    if found:
        raise ImplausibleError(found)


def _result(
    unit: Unit, line: SetupLine, taken: LineTaken, judged: Judged | None
) -> tuple[str, str]:
    """Return the result of a line and its sentence; the maker's figure decides."""
    sentence = judged.sentence if judged else ""
    result = taken.result
    if judged and judged.state in {"right", "off"} and result != "absent":
        decided = "wrong" if judged.state == "off" else "right"
        result = "wrong" if "wrong" in {decided, result} else "right"
    if line.asks_serial and taken.serial:
        of_engine = line.key == "engine-serial"
        listed = unit.engine_serial if of_engine else unit.serial
        same, sentence = compare_serial(taken.serial, listed, of_engine=of_engine)
        result = result or "right" if same else "wrong"
    if taken.signs or taken.places:
        result = "wrong"
    if result not in RESULTS:
        raise RefusedError(
            "Choose right, not right or N/A. Nothing was saved. Only a reading with a "
            "target decides by itself."
        )
    return result, sentence


def _attach(row: SetupReading, unit: Unit, photos: Sequence[Evidence]) -> None:
    for photo in photos:
        if photo.shipment_id != unit.shipment_id:
            raise RefusedError(
                "A photo belongs to another freight bill. Nothing was saved. Choose "
                "the photos again."
            )
        SetupPhoto.objects.create(reading=row, evidence=photo)
