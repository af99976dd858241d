"""In which periods to ship empties, at the least cost of trucks and of keeping them.

Crates come in by period, are kept, and leave on trucks: lot sizing mirrored in
time (H. M. Wagner and T. M. Whitin, Management Science 5(1), 1958, 89-96). Both
ways of reckoning here are exact dynamic programming over whole numbers.

Among plans of equal cost the one is taken that has, in this order:

1. the fewest dispatches: periods in which crates leave, however many trucks go;
2. the latest dispatches: the first dispatch as late as can be, then the second, ...;
3. the fewest trucks in the first dispatch, then in the second, and so on.

A truck that goes takes every crate that is here, up to its capacity: that never
costs more, since a crate that stays has to be kept and has to leave later.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import accumulate
from math import lcm

from inventory.rules.plans.period_trucks import PlanError, Problem, plan_by_truck
from inventory.rules.reckoning.money import two_places

__all__ = [
    "MOST_CRATES",
    "MOST_PERIODS",
    "PeriodDispatch",
    "PeriodPlan",
    "PlanError",
    "plan_periods",
]

MOST_PERIODS = 2_000
MOST_CRATES = 10**9


@dataclass(frozen=True, slots=True)
class PeriodDispatch:
    """The crates that leave at the end of a period (from 1), and on how many trucks."""

    period: int
    crates: int
    trucks: int


@dataclass(frozen=True, slots=True)
class PeriodPlan:
    """The cheapest plan: dispatches in order, exact costs in major units, steps."""

    dispatches: tuple[PeriodDispatch, ...]
    trucks_cost: Fraction
    keeping_cost: Fraction
    steps: tuple[str, ...]

    @property
    def cost(self) -> Fraction:
        """Return the whole cost, exact."""
        return self.trucks_cost + self.keeping_cost


def plan_periods(
    arrivals: Sequence[int],
    dispatch_costs: Sequence[Decimal | Fraction],
    holding_costs: Sequence[Decimal | Fraction],
    capacity: int | None = None,
) -> PeriodPlan:
    """Return the cheapest plan that ships all crates by the last period.

    ``dispatch_costs`` are for one truck, one figure a period. ``holding_costs`` are for
    keeping one crate from a period to the next, one figure a period; the last is not
    used and may be left out. A crate shipped in its own period costs no keeping.
    Raise PlanError for lists that do not fit, figures below zero, and for a
    capacity with too many crates and periods to search.
    """
    problem = _problem(arrivals, dispatch_costs, holding_costs, capacity)
    if capacity is None or capacity >= sum(arrivals):
        trucks = _plan_whole(problem)
    else:
        trucks = plan_by_truck(problem, capacity)
    return _told(problem, trucks)


def _problem(
    arrivals: Sequence[int],
    dispatch_costs: Sequence[Decimal | Fraction],
    holding_costs: Sequence[Decimal | Fraction],
    capacity: int | None,
) -> Problem:
    count = len(arrivals)
    if count > MOST_PERIODS:
        raise PlanError(f"A plan has at most {MOST_PERIODS:,} periods.")
    if len(dispatch_costs) != count:
        raise PlanError(f"Give a dispatch cost for each of the {count} periods.")
    if len(holding_costs) not in {count, count - 1}:
        raise PlanError(f"Give a holding cost for each of the {count} periods.")
    figures = [*arrivals, *dispatch_costs, *holding_costs]
    if any(figure < 0 for figure in figures):
        raise PlanError("Crates and costs cannot be less than zero.")
    if sum(arrivals) > MOST_CRATES:
        raise PlanError(f"A plan has at most {MOST_CRATES:,} crates.")
    if capacity is not None and capacity < 1:
        raise PlanError("A truck must take at least one crate.")
    truck = [Fraction(each) for each in dispatch_costs]
    keep = [Fraction(each) for each in holding_costs]
    scale = lcm(*(each.denominator for each in (*truck, *keep)))
    return Problem(
        arrivals=tuple(arrivals),
        truck=tuple(int(each * scale) for each in truck),
        keep=tuple(int(each * scale) for each in keep),
        scale=scale,
        capacity=capacity,
    )


def _plan_whole(problem: Problem) -> list[int]:
    """Return the trucks by period, 0 or 1, where one truck takes everything.

    A dispatch then takes all crates, so the state is the last period shipped. Solved
    backward: the key is cost, dispatches, and the first dispatch as late as possible.
    """
    count = len(problem.arrivals)
    come = [0, *accumulate(problem.arrivals)]
    best: list[tuple[int, int]] = [(0, 0)] * (count + 1)
    following = [count] * (count + 1)
    for done in range(count - 1, -1, -1):
        if come[done] == come[count]:
            continue
        key: tuple[int, int, int] | None = None
        kept = 0
        for at in range(done + 1, count + 1):
            crates = come[at] - come[done]
            if crates:
                cost, dispatches = best[at]
                found = (cost + kept + problem.truck[at - 1], dispatches + 1, -at)
                key = found if key is None else min(key, found)
            if at < count:
                kept += problem.keep[at - 1] * crates
        if key is not None:
            best[done], following[done] = key[:2], -key[2]
    trucks, done = [0] * count, 0
    while come[done] < come[count]:
        done = following[done]
        trucks[done - 1] = 1
    return trucks


def _told(problem: Problem, trucks: list[int]) -> PeriodPlan:
    """Return the plan of these trucks, with its costs and its steps."""
    dispatches: list[PeriodDispatch] = []
    steps: list[str] = []
    here = kept = kept_since = trucks_cost = 0
    for place, going in enumerate(trucks):
        here += problem.arrivals[place]
        if going:
            most = here if problem.capacity is None else going * problem.capacity
            sent = PeriodDispatch(place + 1, min(here, most), going)
            price = going * problem.truck[place]
            dispatches.append(sent)
            steps.append(_dispatch_words(problem, sent, price, kept_since))
            here -= sent.crates
            trucks_cost += price
            kept_since = 0
        if place < len(trucks) - 1:
            kept += here * problem.keep[place]
            kept_since += here * problem.keep[place]
    plan = PeriodPlan(
        dispatches=tuple(dispatches),
        trucks_cost=problem.cost(trucks_cost),
        keeping_cost=problem.cost(kept),
        steps=(),
    )
    return PeriodPlan(
        plan.dispatches,
        plan.trucks_cost,
        plan.keeping_cost,
        (*steps, _total_words(plan)),
    )


def _dispatch_words(
    problem: Problem, sent: PeriodDispatch, price: int, kept: int
) -> str:
    crates = "1 crate leaves" if sent.crates == 1 else f"{sent.crates} crates leave"
    trucks = "1 truck" if sent.trucks == 1 else f"{sent.trucks} trucks"
    return (
        f"Period {sent.period}: {crates} on {trucks} for "
        f"{two_places(problem.cost(price))}; holding crates until then costs "
        f"{two_places(problem.cost(kept))}."
    )


def _total_words(plan: PeriodPlan) -> str:
    if not plan.dispatches:
        return "No crates arrive, so no truck goes: the cost is 0.00."
    return (
        f"Trucks {two_places(plan.trucks_cost)} and holding {two_places(plan.keeping_cost)} "
        f"total {two_places(plan.cost)}, rounded half up to the cent; no plan costs less."
    )
