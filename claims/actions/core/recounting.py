"""Counting the deadlines of all freight bills again, by reading only what may differ.

A bill is read where one of its facts was written since it was counted last, where the
rules are others, where its day is over (`CountedBill`), or after a month. Which these are
is found without any lock; what an act writes meanwhile raises the number of changes of
its bill, and the bill is not noted as counted then.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import QuerySet

from claims.actions.core.deadlines import Difference, compared, record_many
from claims.counted_bills import rules_in_force
from claims.models import CountedBill
from inventory.models import Location, Shipment
from inventory.rules.reckoning.moments import dock_day

AT_ONCE = 500
"""How many freight bills are read together."""

TRUSTED = timedelta(days=30)
"""No result is trusted for longer, whatever it rests on: what two acts at once may have
let slip is put right by itself."""

TOGETHER = 40
"""How many are written in one transaction, so that nobody waits long for it."""


@dataclass(frozen=True)
class Recount:
    """What the count of one bill found, or why it could not be counted."""

    shipment: Shipment
    differences: tuple[Difference, ...] = ()
    error: str = ""


def recount_all(
    at: datetime, *, is_dry: bool = False, is_whole: bool = False
) -> Iterator[Recount]:
    """Count what may differ, or all bills, and yield each that does, in order of keys.

    Some bills share a transaction; where it fails, each is counted alone. A dry run
    writes nothing.
    """
    for days in _to_count(at, is_dry=is_dry, is_whole=is_whole):
        keys = sorted(days)
        for first in range(0, len(keys), TOGETHER):
            yield from _counted(keys[first : first + TOGETHER], days, at, is_dry=is_dry)


def _counted(
    keys: Sequence[int], days: Mapping[int, date], at: datetime, *, is_dry: bool
) -> Iterator[Recount]:
    rows = Shipment.standing.in_bulk(keys)
    try:
        found = record_many(days={key: days[key] for key in keys}, at=at, is_dry=is_dry)
    except Exception as error:  # noqa: BLE001 - one bad row must not stop the rest
        if len(keys) == 1:
            yield Recount(rows[keys[0]], error=str(error))
            return
        for key in keys:
            yield from _counted([key], days, at, is_dry=is_dry)
        return
    for key in keys:
        yield Recount(rows[key], tuple(found[key]))


def _to_count(
    at: datetime, *, is_dry: bool, is_whole: bool
) -> Iterator[dict[int, date]]:
    """Yield the bills that count differently, with their day, some at a time.

    Those that do not are noted as counted on the way.
    """
    zones = dict(Location.objects.values_list("pk", "time_zone"))
    today = {key: dock_day(at, ZoneInfo(zone)) for key, zone in zones.items()}
    if not today:
        return
    if is_whole and not is_dry:
        missing = [CountedBill(shipment_id=key) for key in _without_note()]
        CountedBill.objects.bulk_create(missing, ignore_conflicts=True)
    rows = CountedBill.objects.filter(shipment__withdrawn_at=None)
    if not is_whole:
        rows = rows.exclude(
            rules=rules_in_force(),
            counted_for__lte=min(today.values()),
            until__gte=max(today.values()),
        )
    for found in _portions(rows, "shipment__location_id", "changes"):
        days = {key: today[place] for key, place, _ in found}
        until = compared(days)
        if not is_dry:
            _note(until, days, {key: changes for key, _, changes in found})
        yield {key: days[key] for key in days if until[key] is None}


def _note(
    until: Mapping[int, date | None],
    days: Mapping[int, date],
    changes: Mapping[int, int],
) -> None:
    """Note until when each result holds, where nothing was written meanwhile.

    Who writes a fact holds the note of its bill until its act is over: that one is left
    for the next count, and nobody waits for another.
    """
    with transaction.atomic():
        rows = CountedBill.objects.select_for_update(skip_locked=True, of=("self",))
        same: dict[tuple[date, date], list[int]] = {}
        for key, now in rows.filter(pk__in=until).values_list("pk", "changes"):
            day = until[key]
            if day is not None and now == changes[key]:
                last = min(day, days[key] + TRUSTED)
                same.setdefault((days[key], last), []).append(key)
        for (day, last), keys in same.items():
            CountedBill.objects.filter(pk__in=keys).update(
                rules=rules_in_force(), counted_for=day, until=last
            )


def wrong_counts() -> Iterator[str]:
    """Yield a sentence for each bill that is noted as counted and counts differently.

    And for each bill without a note. ``recount_deadlines --all`` mends both.
    """
    for key in _without_note():
        yield f"The derived table claims_countedbill lacks: shipment_id {key}."
    rows = CountedBill.objects.filter(
        rules=rules_in_force(), shipment__withdrawn_at=None
    )
    for found in _portions(rows, "counted_for", "until"):
        first = compared({key: day for key, day, _ in found})
        for key, day, until in found:
            stands = first[key]
            if stands is None or until > stands:
                yield (
                    f"The derived table claims_countedbill has by mistake: shipment_id "
                    f"{key}, counted_for {day}, until {until}. Run manage.py "
                    "recount_deadlines --all."
                )


def _portions(
    rows: QuerySet[CountedBill], *columns: str
) -> Iterator[list[tuple[Any, ...]]]:
    """Yield the key of each bill and these columns, some bills at a time."""
    last = 0
    ordered = rows.order_by("pk").values_list("pk", *columns)
    while found := list(ordered.filter(pk__gt=last)[:AT_ONCE]):
        yield found
        last = found[-1][0]


def _without_note() -> QuerySet[Shipment, int]:
    rows = Shipment.everything.exclude(pk__in=CountedBill.objects.values("pk"))
    return rows.order_by("pk").values_list("pk", flat=True)
