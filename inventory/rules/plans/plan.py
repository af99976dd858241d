"""On which days to send one supplier's empties back, at the least cost.

The cost is freight, yard, and credit lost by waiting. Crates of different
suppliers go on different trucks, so each supplier is planned separately.

Exact: without a capacity and a minimum by dynamic programming over the days on
which some crate first can leave; with them by branch and bound over the trucks of
those days, each choice filled by a least-cost assignment. Where a very large
question stops the search, the plan says so and gives a lower bound of the cost.
Of the plans of equal cost that it meets it takes the one with fewer trucks; then
each truck is put off as long as that costs nothing.
"""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from inventory.rules.plans.days import Loads, Problem, candidate_days
from inventory.rules.plans.habits import send_weekly, send_when_full
from inventory.rules.plans.period_trucks import PlanError
from inventory.rules.plans.search import search
from inventory.rules.plans.types import (
    MOST_CRATES,
    MOST_DAYS,
    Costs,
    Dispatch,
    Horizon,
    Plan,
    PlanCrate,
    Schedule,
    check_question,
    plan_crate,
)
from inventory.rules.plans.words import plan_steps
from inventory.rules.reckoning.money import Money

__all__ = [
    "MOST_CRATES",
    "MOST_DAYS",
    "Costs",
    "Dispatch",
    "Horizon",
    "Plan",
    "PlanCrate",
    "PlanError",
    "Schedule",
    "plan_crate",
    "plan_returns",
]

ByDay = dict[dt.date, list[int]]
_WEEK = dt.timedelta(days=7)


@dataclass(frozen=True, slots=True)
class _Question:
    """The crates that can be planned, the costs and the days."""

    crates: tuple[PlanCrate, ...]
    costs: Costs
    horizon: Horizon

    def money(self, cents: int) -> Money:
        return Money(cents, self.costs.per_pickup.currency)

    def waiting(self, crate: PlanCrate, on: dt.date) -> int:
        """Return what keeping a crate until ``on`` costs: yard and lost credit."""
        nights = (on - crate.available_on).days
        lost = crate.credits[0].cents - crate.credits[nights].cents
        return nights * self.costs.yard_per_day.cents + lost

    def staying(self, crate: PlanCrate) -> int:
        nights = (self.horizon.last - crate.available_on).days
        return nights * self.costs.yard_per_day.cents + crate.credits[0].cents


def plan_returns(crates: Sequence[PlanCrate], costs: Costs, horizon: Horizon) -> Plan:
    """Return the cheapest schedule for one supplier's crates, and two to compare.

    Every crate that is worth sending is sent within the horizon; one that stays
    earns nothing. All amounts are in the currency of ``costs``. Raise PlanError for
    credits that rise or end too early, a crate twice, and figures below zero.
    """
    given = tuple(crates)
    check_question(given, costs, horizon)
    can_go = tuple(
        crate
        for crate in given
        if not crate.is_held and crate.available_on <= horizon.last
    )
    question = _Question(can_go, costs, horizon)
    weekly = send_weekly(can_go, costs, horizon)
    full = send_when_full(can_go, costs, horizon)
    problem = _problem(question)
    habits = [_as_loads(problem, each) for each in (weekly, full) if each is not None]
    found = search(problem, habits)
    by_day = {problem.days[day]: load for day, load in found.loads.items() if load}
    best = _schedule(question, _put_off(question, by_day))
    plan = Plan(
        best=best,
        weekly=_schedule(question, weekly),
        when_full=None if full is None else _schedule(question, full),
        is_proved=found.is_proved,
        at_least=question.money(found.at_least),
        must_go=_must_go(question, best),
        held=tuple(crate.key for crate in given if crate.is_held),
        later=tuple(
            crate.key
            for crate in given
            if not crate.is_held and crate.available_on > horizon.last
        ),
        steps=(),
    )
    return plan_steps(plan, horizon)


def _problem(question: _Question) -> Problem:
    days, first = candidate_days(
        [crate.available_on for crate in question.crates],
        question.horizon.open_days(),
    )
    freight = question.costs.freight_per_crate.cents
    return Problem(
        days=days,
        first=first,
        leave=tuple(
            tuple(
                freight + question.waiting(crate, day) if place >= start else 0
                for place, day in enumerate(days)
            )
            for crate, start in zip(question.crates, first, strict=True)
        ),
        stay=tuple(question.staying(crate) for crate in question.crates),
        pickup=question.costs.per_pickup.cents,
        capacity=question.costs.capacity,
        minimum=question.costs.minimum,
    )


def _as_loads(problem: Problem, by_day: ByDay) -> Loads:
    """Return a habit's loads, each moved forward to a candidate day."""
    loads: Loads = {}
    for crates in by_day.values():
        day = max(problem.first[crate] for crate in crates)
        loads.setdefault(day, []).extend(crates)
    return loads


def _put_off(question: _Question, by_day: ByDay) -> ByDay:
    """Move each dispatch to the latest day that costs no more, in the same order."""
    moved: ByDay = {}
    days = question.horizon.open_days()
    bound = len(days)
    for day in sorted(by_day, reverse=True):
        crates = [question.crates[place] for place in by_day[day]]
        now = [question.waiting(crate, day) for crate in crates]
        place = days.index(day)
        while place + 1 < bound and now == [
            question.waiting(crate, days[place + 1]) for crate in crates
        ]:
            place += 1
        moved[days[place]] = by_day[day]
        bound = place
    return moved


def _schedule(question: _Question, by_day: ByDay) -> Schedule:
    gone = {place for load in by_day.values() for place in load}
    left = [crate for place, crate in enumerate(question.crates) if place not in gone]
    credit = sum(crate.credits[0].cents for crate in left)
    staying = sum(question.staying(crate) for crate in left)
    return Schedule(
        dispatches=tuple(
            _dispatch(question, day, sorted(by_day[day])) for day in sorted(by_day)
        ),
        stays=tuple(crate.key for crate in left),
        stays_yard=question.money(staying - credit),
        stays_credit_lost=question.money(credit),
    )


def _dispatch(question: _Question, day: dt.date, places: list[int]) -> Dispatch:
    crates = [question.crates[place] for place in places]
    costs, money = question.costs, question.money
    trucks = 1 if costs.capacity is None else -(-len(crates) // costs.capacity)
    nights = sum((day - crate.available_on).days for crate in crates)
    credit = sum(crate.credit_if_left(day).cents for crate in crates)
    full = sum(crate.credits[0].cents for crate in crates)
    return Dispatch(
        on=day,
        keys=tuple(crate.key for crate in crates),
        trucks=trucks,
        pickup=money(trucks * costs.per_pickup.cents),
        freight=money(len(crates) * costs.freight_per_crate.cents),
        yard=money(nights * costs.yard_per_day.cents),
        credit_lost=money(full - credit),
        credit=money(credit),
    )


def _must_go(question: _Question, best: Schedule) -> tuple[tuple[str, Money], ...]:
    """Return the first dispatch's crates that lose credit by missing it, with loss."""
    if not best.dispatches:
        return ()
    first, *rest = best.dispatches
    chance = rest[0].on if rest else min(first.on + _WEEK, question.horizon.last)
    on_it = set(first.keys)
    losses = [
        (crate.key, crate.credit_if_left(first.on) - crate.credit_if_left(chance))
        for crate in question.crates
        if crate.key in on_it
    ]
    return tuple(
        sorted(
            (each for each in losses if each[1].cents),
            key=lambda each: (-each[1].cents, each[0]),
        )
    )
