"""Find the cheapest trucks by day where capacity or a minimum stand in the way.

Branch and bound over the number of trucks on each candidate day, from the first;
every complete choice is filled by a least-cost assignment. Bounds never exceed the
true cost, so a search that ends has proved its plan; one that is stopped says so.
"""

from dataclasses import dataclass, field

from inventory.rules.plans.days import (
    Emptying,
    Loads,
    Problem,
    empty_the_yard,
)
from inventory.rules.plans.filling import fill_trucks

MOST_LOOKS = 3_000_000
"""Crates searched before the search is stopped: two or three seconds."""


@dataclass(frozen=True, slots=True)
class Found:
    """The best plan found, and a cost that no plan can go below."""

    loads: Loads
    at_least: int
    is_proved: bool


@dataclass(slots=True)
class _Search:
    """What the search knows while it runs."""

    problem: Problem
    bounds: Emptying
    loads: Loads
    key: tuple[int, int]
    looks: int = 0
    trucks: list[tuple[int, int]] = field(default_factory=list)

    @property
    def is_stopped(self) -> bool:
        return self.looks > MOST_LOOKS


def search(problem: Problem, known: list[Loads]) -> Found:
    """Return the cheapest plan, no dearer than those ``known``.

    Proved at once where the best plan that leaves out all limits keeps them.
    """
    bounds = empty_the_yard(problem, is_relaxed=True)
    known = [{}, empty_the_yard(problem).loads, *known]
    best = min(known, key=problem.cost)
    state = _Search(problem, bounds, best, problem.cost(best))
    nothing_chosen: list[int | None] = [None] * len(problem.first)
    at_least = _bound(state, 0, 0, nothing_chosen)
    if state.key[0] > at_least:
        _branch(state, 0, 0, nothing_chosen)
    if not state.is_stopped:
        at_least = state.key[0]
    return Found(state.loads, at_least, not state.is_stopped)


def _branch(state: _Search, day: int, spent: int, chosen: list[int | None]) -> None:
    """Try every number of trucks on ``day`` that could still be best.

    ``chosen`` holds what leaving on the first truck so far costs each crate.
    """
    state.looks += len(chosen) + 1
    if state.is_stopped or not _is_promising(state, day, spent, chosen):
        return
    problem = state.problem
    if day == len(problem.days):
        _try(state)
        return
    _branch(state, day + 1, spent, chosen)
    joined = [
        problem.leave[crate][day] if cost is None and first <= day else cost
        for crate, (cost, first) in enumerate(zip(chosen, problem.first, strict=True))
    ]
    for number in range(1, _most_trucks(state, day) + 1):
        state.trucks.append((day, number))
        _branch(state, day + 1, spent + number * problem.pickup, joined)
        state.trucks.pop()


def _most_trucks(state: _Search, day: int) -> int:
    """Return the most trucks that can be needed: all but one a day leave full."""
    here = sum(first <= day for first in state.problem.first)
    capacity = state.problem.capacity
    if capacity is not None:
        here -= sum((number - 1) * capacity + 1 for _, number in state.trucks)
    else:
        here -= len(state.trucks)
    return state.problem.trucks_for(max(0, here))


def _is_promising(
    state: _Search, day: int, spent: int, chosen: list[int | None]
) -> bool:
    """Return whether a plan that begins so can still beat the best one known."""
    trucks = sum(number for _, number in state.trucks)
    return (_bound(state, day, spent, chosen), trucks) < state.key


def _bound(state: _Search, day: int, spent: int, chosen: list[int | None]) -> int:
    """Return what a plan that begins so costs at least.

    The higher of two: either each crate on a later truck pays its share of a full
    one, or the crates still to come are planned without limits and the others pay
    no truck.
    """
    problem = state.problem
    share = problem.pickup // (problem.capacity or max(1, len(chosen)))
    by_share, by_coming = spent, spent + state.bounds.from_day[day]
    for crate, now in enumerate(chosen):
        first = problem.first[crate]
        at = max(first, day)
        stays = problem.stay[crate] if now is None else min(now, problem.stay[crate])
        later = problem.leave[crate][at] if at < len(problem.days) else stays
        by_share += min(stays, later + share)
        if first < day:
            by_coming += min(stays, later)
    return max(by_share, by_coming)


def _try(state: _Search) -> None:
    """Fill the trucks chosen, unless that alone would take too long."""
    state.looks += len(state.problem.first) ** 2 * len(state.trucks)
    if state.is_stopped:
        return
    loads = fill_trucks(state.problem, state.trucks)
    if loads is None:
        return
    key = state.problem.cost(loads)
    if key < state.key:
        state.loads, state.key = loads, key
