"""A machine's setup as it stands: its list, each line as last read, its release."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch, QuerySet

from claims.models import (
    LineDecision,
    ModelEntry,
    Setup,
    SetupList,
    SetupReading,
)
from claims.rules.bench.adjusting import Adjuster
from claims.rules.bench.entries import (
    adjuster_from,
    model_key,
    readings_from,
    readings_words,
    target_from,
)
from claims.rules.bench.readings import POINTS
from claims.rules.bench.setup_lines import SetupLine
from claims.rules.bench.sign_off import (
    LineState,
    OpenItem,
    SignOffFacts,
    SignOffVerdict,
    may_stay_open,
    sign_off,
    why_not_done,
)
from claims.rules.bench.targets import Target
from inventory.models import Hold, Unit
from inventory.rules.core.text import mid_sentence


@dataclass(frozen=True)
class LineRead:
    """One line with every reading of it, the first one first."""

    line: SetupLine
    readings: tuple[SetupReading, ...]

    @property
    def first(self) -> SetupReading | None:
        """Return the reading as found, or None."""
        return self.readings[0] if self.readings else None

    @property
    def last(self) -> SetupReading | None:
        """Return the reading that counts, or None."""
        return self.readings[-1] if self.readings else None

    @property
    def decision(self) -> LineDecision | None:
        """Return the last decision on this line, or None."""
        found = [one for row in self.readings for one in row.decisions.all()]
        return max(found, key=lambda one: one.pk) if found else None

    @property
    def is_to_set(self) -> bool:
        """Return whether only a setting is out of range, and no damage was marked."""
        last, asked = self.last, self.line.readings
        if last is None or asked is None:
            return False
        return asked.is_set and last.judged == "off" and not (last.signs or last.note)

    @property
    def said(self) -> str:
        """Return what was read last, in words."""
        last = self.last
        if last is None:
            return ""
        parts = [readings_words(readings_from(last.readings)), last.serial, last.note]
        return ". ".join(part for part in parts if part)

    @property
    def adjusted(self) -> int:
        """Return how many readings were taken after it was called an adjustment."""
        decided = [
            one.reading_id
            for row in self.readings
            for one in row.decisions.all()
            if one.decision == "adjustment"
        ]
        return sum(row.pk > min(decided) for row in self.readings) if decided else 0

    @property
    def state(self) -> LineState:
        """Return what the sign-off asks about this line."""
        last = self.last
        if last is None:
            return LineState()
        decision = self.decision
        waits = decision is None or decision.decision == "ask"
        return LineState(
            result=last.result,
            judged=last.judged,
            missing=_missing(self.line, last),
            note=last.note or last.sentence,
            undecided=waits and last.result == "wrong" and not self.is_to_set,
        )


def _missing(line: SetupLine, last: SetupReading) -> tuple[str, ...]:
    if line.readings is None or last.result != "right":
        return ()
    read = readings_from(last.readings)
    return tuple(
        mid_sentence(POINTS[point].label)
        for point in line.readings.points
        if point not in read
    )


@dataclass(frozen=True)
class SetupPage:
    """One machine's setup. ``newer`` is a later version of its list, offered only."""

    setup: Setup
    lines: tuple[LineRead, ...]
    newer: SetupList | None
    entry: ModelEntry | None

    def facts(
        self, *, today: date, items: Sequence[OpenItem] = (), hold_reason: str = ""
    ) -> SignOffFacts:
        """Return what the sign-off asks."""
        return SignOffFacts(
            lines=[row.line for row in self.lines],
            states={row.line.key: row.state for row in self.lines},
            today=today,
            items=items,
            hold_reason=hold_reason,
        )

    def line(self, key: str) -> LineRead | None:
        """Return the line with this key, or None where the list has none."""
        return next((row for row in self.lines if row.line.key == key), None)

    @property
    def not_right(self) -> list[LineRead]:
        """Return the lines that are not right."""
        return [row for row in self.lines if row.state.result == "wrong"]

    @property
    def to_do(self) -> list[LineRead]:
        """Return the lines that nobody has inspected."""
        return [row for row in self.lines if row.last is None]

    @property
    def all_right(self) -> list[LineRead]:
        """Return the lines that are right, or that the machine does not have."""
        return [row for row in self.lines if row.state.result in {"right", "absent"}]

    @property
    def done(self) -> int:
        """Return how many lines were inspected."""
        return sum(row.last is not None for row in self.lines)

    @property
    def wrong(self) -> int:
        """Return how many lines are not right."""
        return len(self.not_right)


def setup_page(unit: Unit) -> SetupPage | None:
    """Return the setup of this machine, or None before it began.

    Readings under an earlier version of the list count for the lines that stayed.
    """
    setup = (
        Setup.objects.filter(unit=unit)
        .select_related("setup_list", "unit__shipment__location", "unit__crate")
        .order_by("-pk")
        .first()
    )
    if setup is None:
        return None
    read: dict[str, list[SetupReading]] = defaultdict(list)
    for row in _readings_of(unit):
        read[row.line].append(row)
    return SetupPage(
        setup=setup,
        lines=tuple(
            LineRead(line, tuple(read[line.key])) for line in setup.setup_list.rows
        ),
        newer=_newer(setup.setup_list),
        entry=entry_of(unit.model),
    )


def next_line(page: SetupPage) -> LineRead | None:
    """Return the first line that nobody has inspected and that need not wait."""
    waits = {
        row.line.key
        for row in page.lines
        if not row.state.is_right and row.state.result != "absent"
    }
    for row in page.lines:
        if row.last is None and not waits & set(row.line.after):
            return row
    return None


def _readings_of(unit: Unit) -> QuerySet[SetupReading]:
    return (
        SetupReading.objects.filter(setup__unit=unit)
        .select_related("taken_by")
        .prefetch_related(
            Prefetch("decisions", LineDecision.objects.order_by("pk")), "photos"
        )
        .order_by("pk")
    )


def _newer(standing: SetupList) -> SetupList | None:
    last = latest_list(standing.kind)
    return last if last and last.number > standing.number else None


def latest_list(kind: str) -> SetupList | None:
    """Return the last version of this kind's list, or None before it was ever used."""
    return SetupList.objects.filter(kind=kind).order_by("-number").first()


def entry_of(model: str) -> ModelEntry | None:
    """Return the last entry of this model, or None where none is on file."""
    return (
        ModelEntry.objects.filter(name_key=model_key(model)).order_by("-number").first()
    )


def targets_of(entry: ModelEntry | None, line: str) -> list[Target]:
    """Return the targets that the entry has for this line."""
    found = [target_from(record) for record in entry.targets] if entry else []
    return [target for target in found if target.line == line]


def adjusters_of(entry: ModelEntry | None, line: str) -> list[Adjuster]:
    """Return the adjusters that the entry has for this line."""
    found = [adjuster_from(record) for record in entry.adjusters] if entry else []
    return [adjuster for adjuster in found if adjuster.line == line]


def verdict_of(
    page: SetupPage, *, today: date, items: Sequence[OpenItem] = ()
) -> SignOffVerdict:
    """Return whether this machine may be signed off now."""
    hold = Hold.objects.filter(unit=page.setup.unit_id, released_at=None).first()
    return sign_off(
        page.facts(today=today, items=items, hold_reason=hold.reason if hold else "")
    )


@dataclass(frozen=True)
class Progress:
    """How far a setup is, in lines of its list."""

    done: int
    wrong: int
    total: int

    @property
    def words(self) -> str:
        """Return it in words."""
        tail = f", {self.wrong} not right" if self.wrong else ""
        return f"Setup, {self.done} of {self.total} done{tail}"


def progress_of(units: Sequence[Unit]) -> dict[int, Progress]:
    """Return how far each setup that has begun is, in two queries."""
    begun = Setup.objects.filter(unit__in=units).select_related("setup_list")
    lists = {row.unit_id: row.setup_list for row in begun.order_by("pk")}
    results: dict[int, dict[str, str]] = defaultdict(dict)
    read = SetupReading.objects.filter(setup__unit__in=units).order_by("pk")
    for key, line, result in read.values_list("setup__unit_id", "line", "result"):
        results[key][line] = result
    found = {}
    for key, standing in lists.items():
        keys = {record["key"] for record in standing.lines}
        last = {line: one for line, one in results[key].items() if line in keys}
        wrong = list(last.values()).count("wrong")
        found[key] = Progress(len(last), wrong, len(keys))
    return found


def why_not_sign(page: SetupPage) -> str:
    """Return why no open item could release this machine now, or ""."""
    if Hold.objects.filter(unit=page.setup.unit_id, released_at=None).exists():
        return "The machine is on hold."
    first = [
        row.line.label
        for row in page.lines
        if why_not_done(row.line, row.state) and not may_stay_open(row.line, row.state)
    ]
    if not first:
        return ""
    return f"These must be right first: {', '.join(first)}."
