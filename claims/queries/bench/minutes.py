"""The time booked on a machine: setup, our own cost, and the damage of each finding."""

from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet

from claims.models import BookedMinutes, Finding
from claims.queries.core.facts import Labor, labor_of, rate_of, shop_rate_for
from claims.rules.bench.minutes import Booked, setup_minutes, time_words
from inventory.models import Unit


@dataclass(frozen=True)
class TimeRow:
    """One booking; one that takes another back, or is taken back, stays as it is."""

    row: BookedMinutes
    is_taken_back: bool

    @property
    def words(self) -> str:
        """Return the time in words."""
        return time_words(self.row.minutes)

    @property
    def may_take_back(self) -> bool:
        """Return whether it still counts and may be taken back."""
        return not self.is_taken_back and self.row.minutes > 0


@dataclass(frozen=True)
class DamageTime:
    """The time of one finding, and its labor in the estimate, None without any."""

    finding: Finding
    rows: tuple[TimeRow, ...]
    labor: Labor | None
    rate_cents: int | None


@dataclass(frozen=True)
class TimePage:
    """All the time booked on one machine."""

    setup: tuple[TimeRow, ...]
    setup_minutes: int
    damage: tuple[DamageTime, ...]

    @property
    def setup_words(self) -> str:
        """Return the time of setup in words."""
        return time_words(self.setup_minutes)


def findings_on(unit: Unit) -> QuerySet[Finding]:
    """Return the findings on this machine, with the rows joined that their rate reads."""
    return (
        Finding.objects.filter(unit=unit)
        .select_related("shipment__location")
        .order_by("number")
    )


def time_page(unit: Unit) -> TimePage:
    """Return the time booked on this machine, by what it was for."""
    booked = (
        BookedMinutes.objects.filter(unit=unit)
        .select_related("booked_by", "reverses")
        .order_by("pk")
    )
    findings = findings_on(unit).prefetch_related(Prefetch("booked", booked), "parts")
    setup = list(booked.filter(finding=None))
    return TimePage(
        setup=_rows(setup),
        setup_minutes=setup_minutes(Booked(row.work, row.minutes) for row in setup),
        damage=tuple(_damage(finding) for finding in findings),
    )


def _damage(finding: Finding) -> DamageTime:
    shop_rate = shop_rate_for(finding)
    return DamageTime(
        finding=finding,
        rows=_rows(list(finding.booked.all())),
        labor=labor_of(finding, shop_rate),
        rate_cents=rate_of(finding, shop_rate),
    )


def _rows(rows: list[BookedMinutes]) -> tuple[TimeRow, ...]:
    taken_back = {row.reverses_id for row in rows}
    return tuple(TimeRow(row, row.pk in taken_back) for row in rows)
