"""Time the planners on a year: ``python -m tests.bench.plan``. A look, not a test."""

import datetime as dt
import random
import sys
import time

from inventory.rules.plans.by_period import plan_periods
from inventory.rules.plans.plan import Costs, Horizon, PlanCrate, plan_returns
from tests.amounts import usd

DAYS = 365
CRATES = 2000
FIRST = dt.date(2026, 1, 1)
DICE = random.Random(20_261_125)


def timed(words, work):
    start = time.perf_counter()
    answer = work()
    seconds = time.perf_counter() - start
    sys.stdout.write(f"{words}: {seconds:.2f} s. {answer}\n")


def by_period(capacity):
    arrivals = [0] * DAYS
    for _ in range(CRATES):
        arrivals[DICE.randrange(DAYS)] += 1
    plan = plan_periods(arrivals, [300] * DAYS, [1] * DAYS, capacity)
    return f"{len(plan.dispatches)} dispatches, cost {plan.cost}."


def crate(number, count):
    """Return a crate whose credit falls in steps at 60 and 90 days."""
    at = DICE.randrange(count)
    fall = (15000 if day <= 60 else 7500 if day <= 90 else 0 for day in range(count))
    available_on = FIRST + dt.timedelta(days=at)
    return PlanCrate(f"C{number}", available_on, tuple(map(usd, fall))[: count - at])


def by_day(crates, days, capacity):
    costs = Costs(usd(30000), usd(900), usd(20), capacity)
    plan = plan_returns(crates, costs, Horizon(FIRST, FIRST + dt.timedelta(days - 1)))
    proved = "proved" if plan.is_proved else f"none below {plan.at_least}"
    return f"{len(plan.best.dispatches)} dispatches, cost {plan.best.cost}, {proved}."


def time_by_day(number, days, capacity):
    crates = [crate(each, days) for each in range(number)]
    words = f"{days} days, {number} dated crates, capacity {capacity}"
    timed(words, lambda: by_day(crates, days, capacity))


if __name__ == "__main__":
    timed(f"{DAYS} periods, {CRATES} crates", lambda: by_period(None))
    timed(f"{DAYS} periods, {CRATES} crates, capacity 24", lambda: by_period(24))
    time_by_day(CRATES, DAYS, None)
    time_by_day(20, 84, 6)
    time_by_day(60, 84, 24)
    time_by_day(150, 120, 24)
    time_by_day(CRATES, DAYS, 24)
