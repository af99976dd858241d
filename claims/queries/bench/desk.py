"""The lists of the technician's desk."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Exists, OuterRef, Q, QuerySet

from claims.models import Finding, FindingPhoto, Inspection
from claims.queries.bench.setups import unreleased
from claims.queries.bench.unopened import UnopenedCrate, unopened_crates
from claims.rules.core.vocabulary import STAGES
from inventory.access import scoped
from inventory.models import Crate, Evidence, Handover, Hold, Unit, User
from inventory.models.deliveries import CLOSED

LONGEST = 50
"""How many rows of a list are shown; the heading has the full count."""


@dataclass(frozen=True)
class WaitingUnit:
    """A machine whose next inspection is due: at uncrating, or at setup."""

    unit: Unit
    stage: str

    @property
    def stage_words(self) -> str:
        """Return the stage as people read it."""
        return STAGES[self.stage]


@dataclass(frozen=True)
class BenchDesk:
    """The four lists of the bench, each with its full count."""

    unopened: list[UnopenedCrate]
    unopened_count: int
    waiting: list[WaitingUnit]
    waiting_count: int
    unlisted: list[Crate]
    holds: list[Hold]
    hold_count: int
    without_photos: list[Finding]


def bench_desk(person: User, today: date) -> BenchDesk:
    """Return today's desk, with the same number of queries at any length."""
    unopened = unopened_crates(person, today)
    units = list(_waiting_units(person))
    uncrated = _uncrated(units)
    waiting = [
        WaitingUnit(unit, "set-up" if unit.pk in uncrated else "uncrating")
        for unit in units
    ]
    holds = list(_open_holds(person))
    return BenchDesk(
        unopened=unopened[:LONGEST],
        unopened_count=len(unopened),
        waiting=waiting[:LONGEST],
        waiting_count=len(waiting),
        unlisted=list(_opened_without_machine(person)[:LONGEST]),
        holds=holds[:LONGEST],
        hold_count=len(holds),
        without_photos=list(_without_photos(person)[:LONGEST]),
    )


def _uncrated(units: list[Unit]) -> set[int | None]:
    rows = Inspection.objects.filter(unit__in=units, stage="uncrating")
    return set(rows.values_list("unit_id", flat=True))


def _waiting_units(person: User) -> QuerySet[Unit]:
    """Return machines out of the crate that are not released yet.

    A machine on hold is on its own list: its setup may not go on.
    """
    signed = Handover.objects.filter(CLOSED, shipment=OuterRef("shipment"))
    held = Hold.objects.filter(unit=OuterRef("pk"), released_at=None)
    looked = Inspection.objects.filter(unit=OuterRef("pk"), stage="uncrating")
    return (
        unreleased(scoped(Unit.objects.all(), person))
        .annotate(
            was_uncrated=Exists(looked),
            is_held=Exists(held),
            has_come=Exists(signed),
        )
        .filter(has_come=True)
        .filter(Q(crate=None) | Q(crate__opened_at__isnull=False))
        .exclude(was_uncrated=True, is_held=True)
        .select_related("shipment__supplier", "crate")
        .order_by("crate__opened_at", "pk")
    )


def _opened_without_machine(person: User) -> QuerySet[Crate]:
    return (
        scoped(Crate.objects.all(), person)
        .filter(opened_at__isnull=False, units=None)
        .exclude(inspections__stage="uncrating")
        .select_related("shipment")
        .order_by("opened_at", "pk")
    )


def _open_holds(person: User) -> QuerySet[Hold]:
    return (
        scoped(Hold.objects.all(), person)
        .filter(released_at=None)
        .select_related(
            "unit__shipment__carrier",
            "unit__shipment__location",
            "unit__crate",
            "placed_by",
        )
        .order_by("placed_at", "pk")
    )


def _without_photos(person: User) -> QuerySet[Finding]:
    linked = FindingPhoto.objects.filter(
        finding=OuterRef("pk"), evidence__in=Evidence.objects.all()
    )
    return (
        scoped(Finding.objects.all(), person)
        .filter(recorded_by=person)
        .exclude(damage_kind__in=["short", "over"])
        .exclude(route="nowhere")
        .annotate(has_photo=Exists(linked))
        .filter(has_photo=False)
        .select_related("shipment__location", "crate", "unit")
        .order_by("recorded_at", "pk")
    )
