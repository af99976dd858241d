"""The lists of the technician's desk."""

from collections.abc import Container, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Q, QuerySet

from claims.models import Finding, Inspection, Setup, SetupReading
from claims.queries.bench.setup_progress import Progress, progress_of
from claims.queries.bench.unopened import UnopenedCrate, unopened_crates
from claims.rules.core.vocabulary import STAGES
from inventory.access import scoped_in_order
from inventory.models import Crate, Handover, Hold, OpenWork, Unit, User
from inventory.models.deliveries import CLOSED

LONGEST = 50
"""How many rows of a list are shown; the heading has the full count."""


@dataclass(frozen=True)
class WaitingUnit:
    """A machine whose next inspection is due: at uncrating, or at setup.

    ``is_mine`` where this person began its setup, or inspected it before.
    """

    unit: Unit
    stage: str
    is_mine: bool
    progress: Progress | None

    @property
    def stage_words(self) -> str:
        """Return the stage as people read it."""
        return self.progress.words if self.progress else STAGES[self.stage]


@dataclass(frozen=True)
class BenchDesk:
    """The lists of the bench, what is this person's first; each with its full count.

    ``today`` are closed crates whose last day to open is today or past, ``later`` the
    others by that day.
    """

    yours: list[WaitingUnit]
    your_machines: int
    your_holds: list[Hold]
    your_count: int
    today: list[UnopenedCrate]
    later: list[tuple[date | None, list[UnopenedCrate]]]
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
    keys = _waiting_keys(person)
    mine = _handled_by(person, keys)
    yours = _begun_first([key for key in keys if key in mine])
    others = [key for key in keys if key not in mine]
    shown = _waiting_units([*yours[:LONGEST], *others[:LONGEST]], mine)
    unlisted = list(_opened_without_machine(person))
    hold_keys = list(_open_holds(person).values_list("pk", "placed_by_id"))
    your_keys = [key for key, who in hold_keys if who == person.pk]
    holds = _holds([key for key, _ in hold_keys[:LONGEST]])
    your_holds = _holds(your_keys[:LONGEST])
    return BenchDesk(
        yours=[row for row in shown if row.is_mine],
        your_machines=len(yours),
        your_holds=your_holds,
        your_count=len(yours) + len(your_keys),
        today=[row for row in unopened if _is_due(row)][:LONGEST],
        later=_by_day([row for row in unopened if not _is_due(row)][:LONGEST]),
        unopened_count=len(unopened),
        waiting=[row for row in shown if not row.is_mine],
        waiting_count=len(others) + len(unlisted),
        unlisted=unlisted[:LONGEST],
        holds=holds,
        hold_count=len(hold_keys),
        without_photos=list(_without_photos(person)[:LONGEST]),
    )


def _is_due(row: UnopenedCrate) -> bool:
    return row.days_left is not None and row.days_left <= 0


def _by_day(
    rows: list[UnopenedCrate],
) -> list[tuple[date | None, list[UnopenedCrate]]]:
    """Return the crates by their last day to open, the earliest first, none last."""
    days = sorted({row.last_day for row in rows if row.last_day})
    return [
        (day, found)
        for day in (*days, None)
        if (found := [row for row in rows if row.last_day == day])
    ]


def _handled_by(person: User, units: Sequence[int]) -> set[int | None]:
    """Return the machines whose setup or inspection this person has in hand."""
    begun = Setup.objects.filter(unit__in=units)
    read = SetupReading.objects.filter(setup__unit__in=units)
    looked = Inspection.objects.filter(unit__in=units)
    # Whose they are is asked here: the database would read all that this person did.
    hands = [
        *begun.values_list("unit_id", "begun_by_id"),
        *read.values_list("setup__unit_id", "taken_by_id"),
        *looked.values_list("unit_id", "looked_by_id"),
    ]
    return {unit for unit, who in hands if who == person.pk}


def _begun_first(units: list[int]) -> list[int]:
    """Return these machines in their order, those first whose setup has begun."""
    begun = _begun(units)
    return sorted(units, key=lambda key: key not in begun)


def _begun(units: Sequence[int]) -> set[int]:
    rows = Setup.objects.filter(unit__in=units)
    return set(rows.values_list("unit_id", flat=True))


def _uncrated(units: Sequence[int]) -> set[int | None]:
    rows = Inspection.objects.filter(unit__in=units, stage="uncrating")
    return set(rows.values_list("unit_id", flat=True))


def _waiting_keys(person: User) -> list[int]:
    """Return the machines out of the crate that are not released yet, in their order.

    A machine on hold is on its own list: its setup, begun or next, may not go on. Few
    columns are read of all; ``_waiting_units`` joins those that are shown.
    """
    rows = scoped_in_order(
        Unit.objects.filter(pk__in=OpenWork.keys("machine")), person
    ).filter(Q(crate=None) | Q(crate__opened_at__isnull=False))
    read = list(
        rows.order_by("crate__opened_at", "pk").values_list("pk", "shipment_id")
    )
    bills = Handover.objects.filter(CLOSED, shipment__in={bill for _, bill in read})
    come = set(bills.values_list("shipment_id", flat=True))
    holds = Hold.objects.filter(unit__in=[key for key, _ in read], released_at=None)
    held = list(holds.values_list("unit_id", flat=True))
    stay = {*held} & {*_uncrated(held), *_begun(held)}
    return [key for key, bill in read if bill in come and key not in stay]


def _waiting_units(
    keys: Sequence[int], mine: Container[int | None]
) -> list[WaitingUnit]:
    """Return these machines as the desk shows them, in the order of the keys."""
    rows = Unit.objects.select_related("shipment__supplier", "crate").in_bulk(keys)
    units = [rows[key] for key in keys]
    uncrated, progress = _uncrated(keys), progress_of(units)
    return [
        WaitingUnit(
            unit,
            "set-up" if unit.pk in uncrated or unit.pk in progress else "uncrating",
            unit.pk in mine,
            progress.get(unit.pk),
        )
        for unit in units
    ]


def _opened_without_machine(person: User) -> QuerySet[Crate]:
    return (
        scoped_in_order(
            Crate.objects.filter(pk__in=OpenWork.keys("bare-crate")), person
        )
        .select_related("shipment")
        .order_by("opened_at", "pk")
    )


def _open_holds(person: User) -> QuerySet[Hold]:
    rows = scoped_in_order(Hold.objects.filter(released_at=None), person)
    return rows.order_by("placed_at", "pk")


def _holds(keys: Sequence[int]) -> list[Hold]:
    """Return these holds with what the desk shows, in the order of the keys."""
    rows = Hold.objects.select_related(
        "unit__shipment__carrier",
        "unit__shipment__location",
        "unit__crate",
        "placed_by",
    ).in_bulk(keys)
    return [rows[key] for key in keys]


def _without_photos(person: User) -> QuerySet[Finding]:
    return (
        scoped_in_order(
            Finding.objects.filter(pk__in=OpenWork.keys("bare-finding")), person
        )
        .filter(recorded_by=person)
        .select_related("shipment__location", "crate", "unit")
        .order_by("recorded_at", "pk")
    )
