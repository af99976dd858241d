"""The dated plan costs as little as trying every day for every crate."""

import datetime as dt
import random
from itertools import product

import pytest

from inventory.rules.plans import plan as return_plan
from inventory.rules.plans import search as return_plan_search
from inventory.rules.plans.plan import Costs, Horizon, PlanCrate, plan_returns
from tests.amounts import usd

FIRST = dt.date(2026, 11, 25)
SEED = 20_261_125


def day(number):
    return FIRST + dt.timedelta(days=number)


def least_by_trial(crates, costs, horizon):
    """Return the least cost over every assignment of crates to days, or to none."""
    days = horizon.open_days()
    choices = [[None, *(d for d in days if d >= c.available_on)] for c in crates]
    keys = (cost_and_trucks(c, crates, costs, horizon) for c in product(*choices))
    return min(key for key in keys if key is not None)[0]


def cost_and_trucks(choice, crates, costs, horizon):
    cost = trucks = 0
    for crate, going in zip(crates, choice, strict=True):
        last = going or horizon.last
        nights = (last - crate.available_on).days
        cost += nights * costs.yard_per_day.cents
        if going is None:
            cost += crate.credits[0].cents
        else:
            cost += crate.credits[0].cents - crate.credits[nights].cents
            cost += costs.freight_per_crate.cents
    for going in set(choice) - {None}:
        count = choice.count(going)
        if count < costs.minimum:
            return None
        trucks += 1 if costs.capacity is None else -(-count // costs.capacity)
    return cost + trucks * costs.per_pickup.cents, trucks


def falling(dice, length):
    """Return credits that never rise: flat, in steps, straight, or worth nothing."""
    top = dice.choice((0, 5, 20, 60))
    amounts = [top]
    while len(amounts) < length:
        drop = dice.choice((0, 0, 0, 1, 5, 60))
        amounts.append(max(0, amounts[-1] - drop))
    return tuple(usd(each) for each in amounts)


def small_cases(count, most_crates):
    dice = random.Random(SEED)
    for _ in range(count):
        length = dice.randint(1, 5)
        shut = frozenset(day(n) for n in range(length) if dice.random() < 0.2)
        horizon = Horizon(FIRST, day(length - 1), shut)
        crates = []
        for number in range(dice.randint(0, most_crates)):
            at = dice.randrange(length)
            fall = falling(dice, length - at)
            crates.append(PlanCrate(f"C{number}", day(at), fall))
        costs = Costs(
            per_pickup=usd(dice.choice((0, 10, 25, 70))),
            freight_per_crate=usd(dice.choice((0, 0, 3))),
            yard_per_day=usd(dice.choice((0, 1, 4))),
            capacity=dice.choice((None, 1, 2, 3)),
            minimum=dice.choice((0, 0, 0, 2, 3)),
        )
        yield crates, costs, horizon


def trucks_of(schedule):
    return sum(each.trucks for each in schedule.dispatches)


def test_no_assignment_of_crates_to_days_costs_less():
    wrong = []
    for case in small_cases(600, 5):
        plan = plan_returns(*case)
        least = least_by_trial(*case)
        if not plan.is_proved or plan.best.cost.cents != least:
            wrong.append((case, plan.best.cost, least))
    assert wrong == []


def test_every_schedule_shown_can_be_done_and_costs_what_it_says():
    for crates, costs, horizon in small_cases(300, 9):
        plan = plan_returns(crates, costs, horizon)
        for schedule in (plan.best, plan.weekly, plan.when_full):
            if schedule is None:
                continue
            went = {k: d.on for d in schedule.dispatches for k in d.keys}
            assert len(went) + len(schedule.stays) == len(crates)
            assert {*went, *schedule.stays} == {crate.key for crate in crates}
            choice = tuple(went.get(crate.key) for crate in crates)
            assert all(
                on is None or on >= crate.available_on
                for on, crate in zip(choice, crates, strict=True)
            )
            assert not horizon.closed & set(choice)
            expected = (schedule.cost.cents, trucks_of(schedule))
            assert cost_and_trucks(choice, crates, costs, horizon) == expected
            assert plan.best.cost <= schedule.cost


def test_each_truck_is_put_off_as_long_as_that_costs_nothing():
    for crates, costs, horizon in small_cases(150, 5):
        best = plan_returns(crates, costs, horizon).best
        went = {k: d.on for d in best.dispatches for k in d.keys}
        leaving = [sent.on for sent in best.dispatches]
        for sent in best.dispatches:
            following = min((d for d in leaving if d > sent.on), default=None)
            for later in horizon.open_days():
                if later <= sent.on or (following and later >= following):
                    continue
                moved = tuple(
                    later if went.get(c.key) == sent.on else went.get(c.key)
                    for c in crates
                )
                cost, _ = cost_and_trucks(moved, crates, costs, horizon)
                assert cost > best.cost.cents


def test_a_search_that_is_stopped_says_so_and_how_low_any_plan_could_go(monkeypatch):
    monkeypatch.setattr(return_plan_search, "MOST_LOOKS", 0)
    stopped = 0
    for case in small_cases(200, 4):
        plan = plan_returns(*case)
        least = least_by_trial(*case)
        assert plan.at_least.cents <= least <= plan.best.cost.cents
        stopped += not plan.is_proved
        if not plan.is_proved:
            assert any("search stopped" in step for step in plan.steps)
    assert stopped > 10


def test_a_truck_that_is_put_off_does_not_run_into_the_next():
    flat = tuple(usd(50) for _ in range(28))
    crates = (PlanCrate("A", FIRST, flat), PlanCrate("B", FIRST, flat))
    costs = Costs(usd(1), usd(0), usd(0), capacity=1)
    question = return_plan._Question(crates, costs, Horizon(FIRST, day(27)))
    moved = return_plan._put_off(question, {FIRST: [0], day(9): [1]})
    assert moved == {day(26): [0], day(27): [1]}


@pytest.mark.parametrize("minimum", [0, 4])
def test_a_yard_full_of_crates_is_planned_and_proved(minimum):
    dice = random.Random(SEED)
    horizon = Horizon(FIRST, day(83))
    crates = []
    for number in range(40):
        at = dice.choice((0, 0, 7, 14, 21, 35, 49))
        full = dice.randint(5, 60)
        fall = tuple(
            usd(15000 if n <= full else 7500 if n <= full + 30 else 0)
            for n in range(84 - at)
        )
        crates.append(PlanCrate(f"C{number}", day(at), fall))
    costs = Costs(usd(42000), usd(900), usd(15), capacity=24, minimum=minimum)
    plan = plan_returns(crates, costs, horizon)
    assert plan.is_proved
    assert plan.best.cost < plan.weekly.cost
