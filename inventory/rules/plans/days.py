"""The dated planner's problem in whole cents, and its exact plan without a capacity.

Waiting never pays for a crate: its credit never rises and the yard costs nothing
or more. So a truck may be moved forward to the first day on which all its crates
can leave, and it is enough to look at days on which some crate first can.
"""

import datetime as dt
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

Loads = dict[int, list[int]]
"""Crates by the candidate day on which they leave; the rest stays."""


@dataclass(frozen=True, slots=True)
class Problem:
    """Crates and candidate days by number, all amounts in cents.

    ``first`` is the first day each crate can leave, ``len(days)`` where it cannot.
    ``leave`` is what leaving costs it by day (freight, yard, credit lost), never
    falling; entries before ``first`` are not used. ``stay`` is what staying costs.
    """

    days: tuple[dt.date, ...]
    first: tuple[int, ...]
    leave: tuple[tuple[int, ...], ...]
    stay: tuple[int, ...]
    pickup: int
    capacity: int | None = None
    minimum: int = 0

    def trucks_for(self, crates: int) -> int:
        """Return how many trucks so many crates need."""
        if self.capacity is None:
            return int(crates > 0)
        return -(-crates // self.capacity)

    def cost(self, loads: Loads) -> tuple[int, int]:
        """Return the whole cost of a plan, and its trucks."""
        trucks = sum(self.trucks_for(len(crates)) for crates in loads.values())
        total = trucks * self.pickup + sum(self.stay)
        for day, crates in loads.items():
            total += sum(self.leave[each][day] - self.stay[each] for each in crates)
        return total, trucks


def candidate_days(
    available: Sequence[dt.date], open_days: Sequence[dt.date]
) -> tuple[tuple[dt.date, ...], tuple[int, ...]]:
    """Return the days on which some crate first can leave, and each crate's own.

    ``open_days`` are in order. A crate that no open day is left for gets the number
    beyond the last.
    """
    places = [bisect_left(open_days, day) for day in available]
    used = sorted({place for place in places if place < len(open_days)})
    number = {place: index for index, place in enumerate(used)}
    return (
        tuple(open_days[place] for place in used),
        tuple(number.get(place, len(used)) for place in places),
    )


@dataclass(frozen=True, slots=True)
class Emptying:
    """The best plan that empties the yard of what is worth sending at each dispatch.

    ``from_day`` is its cost for the crates that can first leave on a day or later:
    the last entry, for none, counts crates that can never leave.
    """

    from_day: tuple[int, ...]
    loads: Loads


def empty_the_yard(problem: Problem, *, is_relaxed: bool = False) -> Emptying:
    """Return the cheapest plan in which no crate worth sending misses a truck.

    ``is_relaxed`` leaves out capacity and minimum: then no plan at all costs less,
    and each ``from_day`` is a lower bound. From behind, by the next dispatch.
    """
    count = len(problem.days)
    minimum = 0 if is_relaxed else problem.minimum
    staying = _summed_from(problem, problem.stay)
    sums, goers = _by_dispatch(problem)
    keys: list[tuple[int, int]] = [(staying[count], 0)] * (count + 1)
    chosen = [count] * (count + 1)
    for done in range(count - 1, -1, -1):
        keys[done] = (staying[done], 0)
        for at in range(done, count):
            going = goers[at][-1] - goers[at][done]
            if not going or going < minimum:
                continue
            trucks = 1 if is_relaxed else problem.trucks_for(going)
            cost, others = keys[at + 1]
            cost += trucks * problem.pickup + sums[at][-1] - sums[at][done]
            if (cost, others + trucks) <= keys[done]:
                keys[done], chosen[done] = (cost, others + trucks), at
    return Emptying(tuple(cost for cost, _ in keys), _loads(problem, chosen))


def _summed_from(problem: Problem, amounts: Sequence[int]) -> list[int]:
    """Return, for each day, the sum over crates that can first leave then or later."""
    found = [0] * (len(problem.days) + 1)
    for first, amount in zip(problem.first, amounts, strict=True):
        found[first] += amount
    for day in range(len(problem.days) - 1, -1, -1):
        found[day] += found[day + 1]
    return found


def _by_dispatch(problem: Problem) -> tuple[list[list[int]], list[list[int]]]:
    """Return for each dispatch day running sums of cost and of crates worth sending.

    Entry n sums the crates that can first leave before day n, up to the dispatch day.
    """
    count = len(problem.days)
    sums = [[0] * (day + 2) for day in range(count)]
    goers = [[0] * (day + 2) for day in range(count)]
    for first, leave, stay in zip(
        problem.first, problem.leave, problem.stay, strict=True
    ):
        for day in range(first, count):
            if leave[day] < stay:
                sums[day][first + 1] += leave[day]
                goers[day][first + 1] += 1
            else:
                sums[day][first + 1] += stay
    for row in (*sums, *goers):
        for place in range(1, len(row)):
            row[place] += row[place - 1]
    return sums, goers


def _loads(problem: Problem, chosen: list[int]) -> Loads:
    loads: Loads = {}
    day, count = 0, len(problem.days)
    while day < count and chosen[day] < count:
        at = chosen[day]
        loads[at] = [
            crate
            for crate, first in enumerate(problem.first)
            if day <= first <= at and problem.leave[crate][at] < problem.stay[crate]
        ]
        day = at + 1
    return loads
