"""When empties go home: before credit lapses, together, and not at any price."""

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest

from inventory.rules.deposits.credit import Facts, Terms, credit_on
from inventory.rules.plans.plan import (
    Costs,
    Horizon,
    PlanCrate,
    PlanError,
    plan_crate,
    plan_returns,
)
from inventory.rules.reckoning.money import Money
from tests.amounts import usd

FIRST = dt.date(2026, 11, 25)
HORIZON = Horizon(FIRST, FIRST + dt.timedelta(days=27))
COSTS = Costs(usd(40000), usd(1000), usd(0))


def day(number):
    return FIRST + dt.timedelta(days=number)


def crate(key, full_to, *, at=0, deposit=20000, is_held=False):
    """Return a crate with full credit to a day of the horizon, then half."""
    fall = [deposit if n <= full_to else deposit // 2 for n in range(at, 28)]
    return PlanCrate(key, day(at), tuple(map(usd, fall)), is_held)


def sent(schedule):
    return [(each.on, each.keys) for each in schedule.dispatches]


def test_one_truck_goes_on_the_last_day_for_full_credit():
    plan = plan_returns(
        [crate("A", 10), crate("B", 20), crate("C", 15)], COSTS, HORIZON
    )
    assert sent(plan.best) == [(day(10), ("A", "B", "C"))]
    assert plan.best.cost == usd(43000)
    assert plan.is_proved


def test_a_yard_that_costs_sends_them_at_once():
    costs = replace(COSTS, yard_per_day=usd(50))
    plan = plan_returns(
        [crate("A", 10), crate("B", 20), crate("C", 15)], costs, HORIZON
    )
    assert sent(plan.best) == [(FIRST, ("A", "B", "C"))]


def test_a_truck_waits_for_a_crate_that_is_expected():
    crates = [crate("A", 10), crate("B", 10), crate("C", 27, at=9)]
    plan = plan_returns(crates, COSTS, HORIZON)
    assert sent(plan.best) == [(day(10), ("A", "B", "C"))]


def test_credit_is_given_up_where_a_second_truck_costs_more():
    crates = [crate("A", 3), crate("B", 27, at=9), crate("C", 27, at=9)]
    plan = plan_returns(crates, COSTS, HORIZON)
    (only,) = plan.best.dispatches
    assert (only.credit_lost, only.keys) == (usd(10000), ("A", "B", "C"))
    assert plan.best.cost == usd(53000)


def test_a_cheap_truck_goes_twice_instead():
    crates = [crate("A", 3), crate("B", 27, at=9), crate("C", 27, at=9)]
    plan = plan_returns(crates, replace(COSTS, per_pickup=usd(4000)), HORIZON)
    assert sent(plan.best) == [(day(3), ("A",)), (day(27), ("B", "C"))]


def test_no_truck_goes_on_a_closed_day():
    shut = replace(HORIZON, closed=frozenset({day(9), day(10)}))
    plan = plan_returns([crate("A", 10), crate("B", 10), crate("C", 10)], COSTS, shut)
    assert sent(plan.best) == [(day(8), ("A", "B", "C"))]


def test_where_there_is_no_room_for_all_those_go_first_that_would_lose():
    crates = [crate("A", 27), crate("B", 5), crate("C", 27), crate("D", 5)]
    crates += [crate("E", 27, at=9), crate("F", 27, at=9)]
    costs = replace(COSTS, per_pickup=usd(9000), capacity=3)
    plan = plan_returns(crates, costs, HORIZON)
    first, second = plan.best.dispatches
    assert (first.on, second.on, len(first.keys)) == (day(5), day(27), 3)
    assert {"B", "D"} < set(first.keys)
    assert plan.best.credit_lost == usd(0)


def test_a_second_truck_may_go_on_the_same_day():
    crates = [crate(key, 5) for key in "ABCD"]
    costs = replace(COSTS, per_pickup=usd(9000), capacity=3)
    (only,) = plan_returns(crates, costs, HORIZON).best.dispatches
    assert (only.on, only.trucks, only.pickup) == (day(5), 2, usd(18000))


def test_a_pickup_waits_for_the_suppliers_minimum():
    crates = [crate("A", 3), crate("B", 3), crate("C", 27, at=9)]
    costs = replace(COSTS, per_pickup=usd(4000), minimum=3)
    plan = plan_returns(crates, costs, HORIZON)
    assert sent(plan.best) == [(day(27), ("A", "B", "C"))]


def test_what_earns_less_than_its_truck_stays():
    plan = plan_returns([crate("A", 27)], COSTS, HORIZON)
    assert sent(plan.best) == []
    assert (plan.best.stays, plan.best.stays_credit_lost) == (("A",), usd(20000))
    assert any(step.startswith("1 crate not sent") for step in plan.steps)


def test_held_crates_and_those_that_come_too_late_are_not_planned():
    late = PlanCrate("L", day(28), ())
    crates = [crate("A", 9), crate("B", 9), crate("C", 9), late]
    plan = plan_returns([*crates, crate("H", 5, is_held=True)], COSTS, HORIZON)
    assert (plan.held, plan.later) == (("H",), ("L",))
    assert sent(plan.best) == [(day(9), ("A", "B", "C"))]
    assert plan.steps[0] == (
        "3 crates can leave from Wed 25 Nov 2026 to Tue 22 Dec 2026; 1 crate held, "
        "not planned; 1 crate not here in time."
    )


def test_those_that_lose_by_missing_the_next_truck_are_named_dearest_first():
    crates = [crate("A", 5), crate("B", 5, deposit=30000), crate("C", 20)]
    plan = plan_returns(crates, COSTS, HORIZON)
    assert plan.best.dispatches[0].on == day(5)
    assert plan.must_go == (("B", usd(15000)), ("A", usd(10000)))
    assert "B must be on the first truck; missing it loses USD 150.00." in plan.steps


def test_the_loss_runs_to_the_next_truck_of_the_plan():
    crates = [crate("A", 3), crate("B", 27, at=9), crate("C", 27, at=9)]
    plan = plan_returns(crates, replace(COSTS, per_pickup=usd(4000)), HORIZON)
    assert plan.must_go == (("A", usd(10000)),)


def test_shipping_every_week_sends_what_is_here_every_seventh_day():
    crates = [crate("A", 10), crate("B", 27, at=3), crate("C", 27, at=22)]
    weekly = plan_returns(crates, COSTS, HORIZON).weekly
    assert sent(weekly) == [(FIRST, ("A",)), (day(7), ("B",)), (day(27), ("C",))]
    assert weekly.cost == usd(3 * 41000)


def test_shipping_when_full_sends_full_trucks_oldest_first_and_the_rest_last():
    crates = [crate("A", 27, at=1), crate("B", 27), crate("C", 27, at=1)]
    plan = plan_returns(crates, replace(COSTS, capacity=2), HORIZON)
    assert plan.when_full is not None
    assert sent(plan.when_full) == [(day(1), ("A", "B")), (day(27), ("C",))]
    assert plan_returns(crates, COSTS, HORIZON).when_full is None


def test_the_steps_tell_the_plan_and_what_habits_cost_more():
    crates = [crate("A", 10), crate("B", 20), crate("C", 20, at=3)]
    plan = plan_returns(crates, replace(COSTS, capacity=3), HORIZON)
    assert plan.steps == (
        "3 crates can leave from Wed 25 Nov 2026 to Tue 22 Dec 2026.",
        "Sat 5 Dec 2026: 3 crates on 1 truck. Pick-up USD 400.00, freight USD 30.00, yard USD 0.00, credit lost USD 0.00.",
        "Freight USD 430.00, yard USD 0.00 and lost credit USD 0.00 total USD 430.00.",
        "No plan costs less. Each truck leaves as late as it can at no extra cost.",
        "Shipping every week costs USD 830.00, USD 400.00 more.",
        "Shipping when a truck is full costs the same.",
        "A must be on the first truck; missing it loses USD 100.00.",
    )


def test_no_crate_is_no_cost():
    plan = plan_returns([], COSTS, HORIZON)
    assert (plan.best.cost, plan.must_go, plan.is_proved) == (usd(0), (), True)


def test_a_horizon_without_an_open_day_sends_nothing():
    shut = Horizon(FIRST, day(1), frozenset({FIRST, day(1)}))
    plan = plan_returns([crate("A", 9)], COSTS, shut)
    assert (sent(plan.best), plan.best.stays) == ([], ("A",))


def test_a_crate_made_from_terms_has_the_credit_of_its_terms():
    terms = Terms(
        "receipt",
        "receipt",
        90,
        decline="steps",
        steps=((90, Decimal(50)),),
        ends_day=180,
        transit_days=5,
    )
    facts = Facts(usd(20000), received_on=day(-80))
    made = plan_crate("A", terms, facts, available_on=FIRST, last=day(27))
    assert len(made.credits) == 28
    for number in (0, 5, 6, 27):
        found = credit_on(terms, replace(facts, leaves_on=day(number)))
        assert made.credit_if_left(day(number)) == found.credited
    twins = [replace(made, key=key) for key in "ABC"]
    assert sent(plan_returns(twins, COSTS, HORIZON).best) == [(day(5), ("A", "B", "C"))]


@pytest.mark.parametrize(
    ("crates", "costs", "horizon", "words"),
    [
        ([], COSTS, Horizon(FIRST, day(-1)), "from 1 to 400 days"),
        ([], COSTS, Horizon(FIRST, day(400)), "from 1 to 400 days"),
        ([crate("A", 1)] * 2, COSTS, HORIZON, "twice"),
        ([], replace(COSTS, capacity=0), HORIZON, "at least one crate"),
        ([], replace(COSTS, per_pickup=usd(-1)), HORIZON, "cannot be less than zero"),
        ([], replace(COSTS, minimum=-1), HORIZON, "cannot be less than zero"),
        ([PlanCrate("A", day(-1), ())], COSTS, HORIZON, "before the plan begins"),
        ([PlanCrate("A", FIRST, (usd(1),))], COSTS, HORIZON, "end before the plan"),
        (
            [PlanCrate("A", day(26), (usd(1), usd(2)))],
            COSTS,
            HORIZON,
            "rises, or is below",
        ),
        (
            [PlanCrate("A", day(27), (Money(1, "CAD"),))],
            COSTS,
            HORIZON,
            "credited in CAD",
        ),
    ],
)
def test_what_cannot_be_planned_is_refused_with_a_sentence(
    crates, costs, horizon, words
):
    with pytest.raises(PlanError, match=words):
        plan_returns(crates, costs, horizon)
