"""Two habits to compare a plan with: ship every week, ship when a truck is full.

Both send the rest on the last day on which a truck may go, if it reaches the
supplier's minimum.
"""

import datetime as dt
from collections.abc import Sequence

from inventory.rules.plans.types import Costs, Horizon, PlanCrate

ByDay = dict[dt.date, list[int]]
_DAYS_A_WEEK = 7


def send_weekly(crates: Sequence[PlanCrate], costs: Costs, horizon: Horizon) -> ByDay:
    """Return crates by day, all that are here going every seventh day from the first.

    A week whose day is closed ships on the next open day.
    """
    days = horizon.open_days()
    wanted = [
        horizon.first + dt.timedelta(days=number)
        for number in range(0, (horizon.last - horizon.first).days + 1, _DAYS_A_WEEK)
    ]
    going = {next((day for day in days if day >= want), None) for want in wanted}
    sent: ByDay = {}
    gone: set[int] = set()
    for day in (day for day in days if day in going or day == days[-1]):
        _send(sent, gone, _waiting(crates, gone, day), day=day, least=costs.minimum)
    return sent


def send_when_full(
    crates: Sequence[PlanCrate], costs: Costs, horizon: Horizon
) -> ByDay | None:
    """Return crates by day, full trucks going as soon as they are, oldest first.

    None where a truck takes all there is, so that it is never full.
    """
    if costs.capacity is None:
        return None
    sent: ByDay = {}
    gone: set[int] = set()
    days = horizon.open_days()
    for day in days:
        here = _waiting(crates, gone, day)
        if day != days[-1]:
            here = here[: len(here) - len(here) % costs.capacity]
        _send(sent, gone, here, day=day, least=costs.minimum)
    return sent


def _waiting(crates: Sequence[PlanCrate], gone: set[int], day: dt.date) -> list[int]:
    here = [
        place
        for place, crate in enumerate(crates)
        if place not in gone and crate.available_on <= day
    ]
    return sorted(here, key=lambda place: (crates[place].available_on, place))


def _send(
    sent: ByDay, gone: set[int], load: list[int], *, day: dt.date, least: int
) -> None:
    if load and len(load) >= least:
        sent[day] = load
        gone.update(load)
