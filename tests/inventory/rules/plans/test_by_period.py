"""In which periods to ship: exact, with one order of ties, and told in steps."""

import random
from decimal import Decimal
from fractions import Fraction

import pytest

from inventory.rules.plans import by_period as period_plan
from inventory.rules.plans import period_trucks
from inventory.rules.plans.by_period import PlanError, plan_periods
from tests.inventory.rules.plans.plans_by_trial import (
    best_by_choosing_periods,
    best_by_trial,
)


def dispatched(plan):
    return [(each.period, each.crates) for each in plan.dispatches]


def shipped(plan, periods):
    found = [0] * periods
    for each in plan.dispatches:
        found[each.period - 1] = each.crates
    return tuple(found)


def plan(arrivals, truck, keep, capacity=None):
    count = len(arrivals)
    truck = truck if isinstance(truck, list) else [truck] * count
    keep = keep if isinstance(keep, list) else [keep] * count
    return plan_periods(arrivals, truck, keep, capacity)


def test_a_tie_goes_to_the_fewest_dispatches():
    found = plan([2, 3, 1, 4], 10, 1)  # {4} and {2, 4} both cost 23
    assert (found.cost, dispatched(found)) == (23, [(4, 10)])


def test_then_to_the_latest():
    # Ships at 2 and 3, or at 1 and 3, for the same: 2 is later.
    found = plan([1, 0, 9], 5, [0, 6])
    assert (found.cost, dispatched(found)) == (10, [(2, 1), (3, 9)])


def test_every_dispatch_is_as_late_as_can_be():
    found = plan([1, 0, 1, 0], 5, [0, 9, 0])
    assert (found.cost, dispatched(found)) == (10, [(2, 1), (4, 1)])


def test_a_crate_shipped_in_its_own_period_costs_no_keeping():
    found = plan([3], 7, 100)
    assert (found.cost, found.keeping_cost) == (7, 0)


@pytest.mark.parametrize("arrivals", [[], [0], [0, 0, 0]])
def test_where_no_crate_comes_no_truck_goes(arrivals):
    found = plan(arrivals, 10, 1)
    assert (found.cost, found.dispatches) == (0, ())
    assert found.steps == ("No crates arrive, so no truck goes: the cost is 0.00.",)


def test_all_are_shipped_by_the_last_period_however_dear():
    found = plan([1, 1], [5, 500], 1)
    assert (found.cost, dispatched(found)) == (501, [(2, 2)])


def test_a_cheap_period_after_the_last_crate_is_waited_for():
    assert dispatched(plan([4, 0, 0], [100, 100, 10], 1)) == [(3, 4)]


def test_each_truck_costs_its_period():
    found = plan([5, 0], [10, 4], 1, 2)  # three trucks at 10, or two kept a period
    assert (found.cost, dispatched(found)) == (17, [(2, 5)])
    assert found.dispatches[0].trucks == 3


def test_a_full_truck_may_leave_crates_behind_for_the_next():
    found = plan([5, 3], [10, 10], 1, 4)
    assert (found.cost, dispatched(found)) == (21, [(1, 4), (2, 4)])


def test_a_truck_that_goes_takes_all_that_fits():
    found = plan([3, 4], [1, 10], 0, 5)  # 2 and 5 would cost the same
    assert (found.cost, dispatched(found)) == (11, [(1, 3), (2, 4)])


def test_thirds_and_tenths_are_exact():
    third = Fraction(1, 3)
    found = plan([1, 1, 1], [third] * 3, [Decimal("0.1")] * 3)
    assert found.cost == third + Fraction(3, 10)


def test_the_last_holding_cost_may_be_left_out():
    assert plan([1, 1], [9, 9], [2]).cost == plan([1, 1], [9, 9], [2, 77]).cost == 11


def test_the_steps_name_every_dispatch_and_the_sum():
    assert plan([5, 3, 6], Decimal("10.50"), Decimal("0.125"), 4).steps == (
        "Period 1: 4 crates leave on 1 truck for 10.50; holding crates until then costs 0.00.",
        "Period 2: 4 crates leave on 1 truck for 10.50; holding crates until then costs 0.13.",
        "Period 3: 6 crates leave on 2 trucks for 21.00; holding crates until then costs 0.00.",
        "Trucks 42.00 and holding 0.13 total 42.13, rounded half up to the cent; no plan costs less.",
    )


SEED = 20_261_125


def small_cases(count, most_periods, most_crates):
    dice = random.Random(SEED)
    for _ in range(count):
        periods = dice.randint(1, most_periods)
        arrivals = [dice.choice((0, 0, 1, 2, 3)) for _ in range(periods)]
        while sum(arrivals) > most_crates:
            arrivals[arrivals.index(max(arrivals))] -= 1
        top = dice.choice((0, 2, 9, 30))  # small figures make ties
        truck = [dice.randint(0, top) for _ in range(periods)]
        keep = [dice.randint(0, dice.choice((0, 1, 4))) for _ in range(periods)]
        yield arrivals, truck, keep, dice.choice((None, 1, 2, 3, 4, 99))


def test_a_thousand_small_cases_are_as_good_as_trying_every_shipment():
    wrong = []
    for case in small_cases(1000, 5, 6):
        arrivals, truck, keep, capacity = case
        found = plan(arrivals, truck, keep, capacity)
        answer = (found.cost, shipped(found, len(arrivals)))
        if answer != best_by_trial(*case):
            wrong.append((case, answer))
    assert wrong == []


def test_longer_cases_without_a_capacity_are_as_good_as_every_set_of_periods():
    dice = random.Random(SEED)
    for _ in range(60):
        arrivals = [dice.randint(0, 30) for _ in range(9)]
        truck = [dice.randint(1, 90) for _ in range(9)]
        keep = [dice.randint(0, 4) for _ in range(9)]
        expected = best_by_choosing_periods(arrivals, truck, keep)
        assert plan(arrivals, truck, keep).cost == expected


def test_room_for_all_is_the_same_as_no_capacity():
    for arrivals, truck, keep, _ in small_cases(100, 6, 12):
        crates = sum(arrivals) or 1
        loose = plan(arrivals, truck, keep)
        assert plan(arrivals, truck, keep, crates) == loose


def test_the_two_ways_of_reckoning_agree_where_both_apply():
    for arrivals, truck, keep, _ in small_cases(200, 7, 14):
        crates = sum(arrivals) or 1
        problem = period_plan._problem(arrivals, truck, keep, crates)
        assert period_plan._plan_whole(problem) == period_trucks.plan_by_truck(
            problem, crates
        )


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (([1], [1, 2], [1], None), "dispatch cost for each of the 1 periods"),
        (([1], [1], [1, 2], None), "holding cost for each of the 1 periods"),
        (([-1], [1], [1], None), "cannot be less than zero"),
        (([1], [-1], [1], None), "cannot be less than zero"),
        (([1], [1], [-1], None), "cannot be less than zero"),
        (([1], [1], [1], 0), "at least one crate"),
        (([10**9, 1], [1, 1], [1, 1], None), "at most 1,000,000,000 crates"),
        (([0] * 2001, [1] * 2001, [1] * 2001, None), "at most 2,000 periods"),
        (([10**9], [1], [1], 1), "too much for an exact plan"),
        (([4999] * 400, [1] * 400, [1] * 400, 7), "too much for an exact plan"),
    ],
)
def test_what_cannot_be_planned_is_refused_with_a_sentence(given, words):
    with pytest.raises(PlanError, match=words):
        plan_periods(*given)
