"""Crates on given trucks: as cheap as trying every place for every crate."""

import datetime as dt
import random
from itertools import product

from inventory.rules.plans.days import Problem
from inventory.rules.plans.filling import fill_trucks

SEED = 20_261_125


def rising(dice, length):
    figures = [dice.randint(0, 9)]
    while len(figures) < length:
        figures.append(figures[-1] + dice.choice((0, 0, 1, 6, 20)))
    return tuple(figures)


def problems(count):
    dice = random.Random(SEED)
    for _ in range(count):
        crates, days = dice.randint(1, 6), dice.randint(1, 3)
        yield (
            Problem(
                days=tuple(dt.date(2026, 1, 1 + n) for n in range(days)),
                first=tuple(dice.randint(0, days) for _ in range(crates)),
                leave=tuple(rising(dice, days) for _ in range(crates)),
                stay=tuple(dice.randint(0, 40) for _ in range(crates)),
                pickup=0,
                capacity=dice.choice((1, 2, 3, None)),
                minimum=dice.choice((0, 0, 2)),
            ),
            [(day, dice.randint(1, 2)) for day in range(days)],
        )


def least_by_trial(problem, trucks):
    """Return the least cost of a way to fill them all, or None."""
    most = dict(trucks)
    costs = []
    for choice in product((None, *most), repeat=len(problem.first)):
        if any(
            day is not None and day < first
            for day, first in zip(choice, problem.first, strict=True)
        ):
            continue
        counts = {day: choice.count(day) for day in most}
        if all(
            max(1, problem.minimum) <= counts[day]
            and (problem.capacity is None or counts[day] <= number * problem.capacity)
            for day, number in trucks
        ):
            costs.append(
                sum(
                    problem.stay[crate] if day is None else problem.leave[crate][day]
                    for crate, day in enumerate(choice)
                )
            )
    return min(costs, default=None)


def test_no_way_to_fill_the_trucks_costs_less():
    full = 0
    for problem, trucks in problems(400):
        loads = fill_trucks(problem, trucks)
        least = least_by_trial(problem, trucks)
        if loads is None:
            assert least is None
            continue
        full += 1
        assert problem.cost(loads)[0] == least
        placed = [crate for crates in loads.values() for crate in crates]
        assert len(placed) == len(set(placed))
        for day, number in trucks:
            assert all(problem.first[crate] <= day for crate in loads[day])
            assert problem.trucks_for(len(loads[day])) <= number
    assert full > 100
