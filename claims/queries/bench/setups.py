"""A machine's setup as it stands: its list, and each line as last read."""

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
from claims.queries.bench.model_entries import entry_of
from claims.queries.bench.setup_lines import LineRead
from claims.rules.bench.sign_off import OpenItem, SignOffFacts
from inventory.models import Unit


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
