"""The lists of the technician's desk."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q, QuerySet

from claims.models import Finding, Inspection, Setup, SetupReading
from claims.queries.bench.setup_progress import Progress, progress_of
from claims.queries.bench.unopened import UnopenedCrate, unopened_crates
from claims.rules.core.vocabulary import STAGES
from inventory.access import scoped_in_order
from inventory.models import Crate, Handover, Hold, OpenWork, Shipment, Unit, User
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
    open_holds = list(_open_holds(person).values_list("pk", "placed_by_id", "unit_id"))
    keys, hands = _waiting(person, {unit for _, _, unit in open_holds})
    yours = _begun_first([key for key in keys if key in hands.mine], hands)
    others = [key for key in keys if key not in hands.mine]
    shown = _waiting_units([*yours[:LONGEST], *others[:LONGEST]], hands)
    unlisted = list(_opened_without_machine(person))
    hold_keys = [key for key, *_ in open_holds]
    your_keys = [key for key, who, _ in open_holds if who == person.pk]
    holds = _holds({*hold_keys[:LONGEST], *your_keys[:LONGEST]})
    return BenchDesk(
        yours=[row for row in shown if row.is_mine],
        your_machines=len(yours),
        your_holds=[holds[key] for key in your_keys[:LONGEST]],
        your_count=len(yours) + len(your_keys),
        today=[row for row in unopened if _is_due(row)][:LONGEST],
        later=_by_day([row for row in unopened if not _is_due(row)][:LONGEST]),
        unopened_count=len(unopened),
        waiting=[row for row in shown if not row.is_mine],
        waiting_count=len(others) + len(unlisted),
        unlisted=unlisted[:LONGEST],
        holds=[holds[key] for key in hold_keys[:LONGEST]],
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


@dataclass(frozen=True)
class _Hands:
    """What was done to the waiting machines: those begun, uncrated, and this person's."""

    begun: frozenset[int]
    uncrated: frozenset[int]
    mine: frozenset[int]


def _hands_on(person: User, units: Sequence[int]) -> _Hands:
    """Read once whose setups and inspections these machines had."""
    setups = Setup.objects.filter(unit__in=units).values_list(
        "pk", "unit_id", "begun_by_id"
    )
    begun = {pk: (unit, who) for pk, unit, who in setups}
    read = SetupReading.objects.filter(setup__in=begun).values_list(
        "setup_id", "taken_by_id"
    )
    looked = list(
        Inspection.objects.filter(unit__in=units).values_list(
            "unit_id", "looked_by_id", "stage"
        )
    )
    # Whose they are is asked here: the database would read all that this person did.
    hands = [
        *begun.values(),
        *((begun[pk][0], who) for pk, who in read),
        *((unit, who) for unit, who, _ in looked),
    ]
    return _Hands(
        begun=frozenset(unit for unit, _ in begun.values()),
        uncrated=frozenset(
            unit for unit, _, stage in looked if unit and stage == "uncrating"
        ),
        mine=frozenset(unit for unit, who in hands if unit and who == person.pk),
    )


def _begun_first(units: list[int], hands: _Hands) -> list[int]:
    """Return these machines in their order, those first whose setup has begun."""
    return sorted(units, key=lambda key: key not in hands.begun)


def _waiting(person: User, held: set[int]) -> tuple[list[int], _Hands]:
    """Return the machines out of the crate that are not released yet, in their order.

    A machine on hold (``held``) is on its own list: its setup, begun or next, may not
    go on. Few columns are read of all; ``_waiting_units`` joins those that are shown.
    """
    rows = Unit.objects.filter(pk__in=OpenWork.keys("machine")).filter(
        Q(crate=None) | Q(crate__opened_at__isnull=False)
    )
    read = list(rows.order_by().values_list("pk", "shipment_id", "crate__opened_at"))
    come = _bills_come(person, {bill for _, bill, _ in read})
    keys = [key for key, bill, _ in sorted(read, key=_opened_first) if bill in come]
    hands = _hands_on(person, keys)
    stay = held & (hands.uncrated | hands.begun)
    return [key for key in keys if key not in stay], hands


def _opened_first(row: tuple[int, int, datetime | None]) -> tuple[bool, float, int]:
    """Return where a machine stands: without a crate first, then as it was opened."""
    key, _, opened = row
    return opened is not None, opened.timestamp() if opened else 0, key


def _bills_come(person: User, bills: set[int]) -> set[int]:
    """Return which of these bills are this person's and closed on a truck.

    Asked once for each bill, and not for each of its machines.
    """
    own = scoped_in_order(Shipment.everything.filter(pk__in=bills), person)
    here = set(own.order_by().values_list("pk", flat=True))
    closed = Handover.objects.filter(CLOSED, shipment__in=here).order_by()
    return set(closed.values_list("shipment_id", flat=True))


def _waiting_units(keys: Sequence[int], hands: _Hands) -> list[WaitingUnit]:
    """Return these machines as the desk shows them, in the order of the keys."""
    rows = Unit.objects.select_related("shipment__supplier", "crate").in_bulk(keys)
    units = [rows[key] for key in keys]
    progress = progress_of(units)
    return [
        WaitingUnit(
            unit,
            "set-up"
            if unit.pk in hands.uncrated or unit.pk in progress
            else "uncrating",
            unit.pk in hands.mine,
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


def _holds(keys: Iterable[int]) -> dict[int, Hold]:
    """Return these holds by key, with what the desk shows."""
    return Hold.objects.select_related(
        "unit__shipment__carrier",
        "unit__shipment__location",
        "unit__crate",
        "placed_by",
    ).in_bulk(list(keys))


def _without_photos(person: User) -> QuerySet[Finding]:
    return (
        scoped_in_order(
            Finding.objects.filter(pk__in=OpenWork.keys("bare-finding")), person
        )
        .filter(recorded_by=person)
        .select_related("shipment__location", "crate", "unit")
        .order_by("recorded_at", "pk")
    )
