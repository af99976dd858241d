"""Deadlines as pages show them: running ones first, with our own dates."""

from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from claims.models import Deadline, DeadlineOverride
from claims.queries.core.labels import deadline_label
from claims.queries.deadlines.lapses import standing_on


@dataclass(frozen=True)
class Clock:
    """One duty for the deadlines part of a page."""

    pk: int
    duty: str
    label: str
    where: str
    owed_by: str
    starts_on: date | None
    due: date
    safe: date
    send_by: date | None
    today: date
    state: str
    words: str
    steps: tuple[str, ...]
    notes: tuple[str, ...]
    inputs: tuple[tuple[str, str], ...]
    effect: str
    authority: str
    confidence: str
    rule: str
    met_on: date | None
    overrides: tuple[DeadlineOverride, ...]

    @property
    def day(self) -> date:
        """Return the day that counts, as the desk has it: the safe day or our own."""
        own = self.overrides[-1].due if self.overrides else self.safe
        return min(self.safe, own) if self.owed_by == "us" else self.due

    @property
    def is_running(self) -> bool:
        """Return whether the duty is still to be done."""
        return self.met_on is None


def clocks_of(rows: QuerySet[Deadline], today: date) -> list[Clock]:
    """Return the current duties: those still to be done first, by their day."""
    standing = (
        rows.filter(superseded_at=None)
        .select_related("delivery", "shipment")
        .prefetch_related("overrides__decided_by")
        .order_by("safe", "pk")
    )
    clocks = [_clock(row, today) for row in standing]
    return sorted(clocks, key=lambda one: (not one.is_running, one.safe, one.pk))


def _truck(day: date) -> str:
    return f"truck {day:%a} {day.day} {day:%b %Y}"


def _clock(row: Deadline, today: date) -> Clock:
    overrides = tuple(row.overrides.all())
    is_ours = row.owed_by == "claimant"
    standing = standing_on(row, today)
    return Clock(
        pk=row.pk,
        duty=row.duty,
        label=deadline_label(row),
        where=_truck(row.delivery.arrived_on) if row.delivery else "",
        owed_by="us" if is_ours else "the carrier",
        starts_on=row.starts_on,
        due=row.due,
        safe=row.safe,
        send_by=row.send_by if is_ours and row.met_on is None else None,
        today=today,
        state=standing.state,
        words=standing.words,
        steps=tuple(row.steps),
        notes=tuple(row.notes),
        inputs=tuple(sorted(row.inputs.items())),
        effect=row.effect,
        authority=row.authority,
        confidence=row.confidence,
        rule=f"{row.record_key}, rules of {row.rule_version}",
        met_on=row.met_on,
        overrides=overrides,
    )
