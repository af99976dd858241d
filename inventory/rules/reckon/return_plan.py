"""In which periods to ship empties back, from one JSON object.

In::

    {"arrivals": [crates that come in, a period each, from period 1],
     "dispatch_cost": number or list (one truck, in each period),
     "holding_cost": number or list (keeping one crate from a period to the next),
     "capacity": null or crates a truck}

A list has one number a period; the last holding cost is not used and may be left
out. Crates are kept from the period in which they arrive to the end of the period in
which they are shipped; all are shipped by the last period. Out::

    {"cost": "864.00", "dispatch": [{"period": 2, "crates": 135}, ...], "steps": []}

Money is text with two places, rounded half up once at the end. Ties: the fewest
dispatches (periods in which crates leave, each listed once, however many trucks go),
then the latest: the first dispatch as late as can be, then the second, and so on;
then the fewest trucks in the first, then in the second. A truck that goes takes all
crates that are here and fit.
"""

from decimal import Decimal
from typing import Any

from inventory.rules.plans.by_period import (
    MOST_CRATES,
    MOST_PERIODS,
    PlanError,
    plan_periods,
)
from inventory.rules.reckon.reading import Reader, ReckonError, named
from inventory.rules.reckoning.money import two_places

_REQUIRED = ("arrivals", "dispatch_cost", "holding_cost")


def reckon_return_plan(obj: dict[str, Any]) -> dict[str, Any]:
    """Return the cheapest dispatches; raise ReckonError for bad input."""
    reader = Reader(obj, keys=(*_REQUIRED, "capacity"), required=_REQUIRED)
    arrivals = _arrivals(reader)
    try:
        plan = plan_periods(
            arrivals,
            _by_period(reader, "dispatch_cost", len(arrivals)),
            _by_period(reader, "holding_cost", len(arrivals), may_lack_last=True),
            reader.whole("capacity", least=1),
        )
    except PlanError as error:
        raise ReckonError(str(error)) from None
    return {
        "cost": two_places(plan.cost),
        "dispatch": [
            {"period": each.period, "crates": each.crates} for each in plan.dispatches
        ],
        "steps": list(plan.steps),
    }


def _arrivals(reader: Reader) -> list[int]:
    found = reader.decimals("arrivals")
    if len(found) > MOST_PERIODS:
        raise ReckonError(f'"arrivals" holds more than {MOST_PERIODS:,} periods.')
    for place, value in enumerate(found, start=1):
        if value != value.to_integral_value() or not 0 <= value <= MOST_CRATES:
            raise ReckonError(
                f'"arrivals" item {place} is not a whole number from 0 to {MOST_CRATES}.'
            )
    return [int(value) for value in found]


def _by_period(
    reader: Reader, key: str, count: int, *, may_lack_last: bool = False
) -> list[Decimal]:
    """Return one number a period, from a list or from one number for all."""
    if isinstance(reader.raw(key), list):
        found = reader.decimals(key)
        if len(found) not in {count, count - 1 if may_lack_last else count}:
            raise ReckonError(
                f"{named(key)} has {len(found)} numbers for {count} periods."
            )
    else:
        found = [reader.need(reader.decimal, key)] * count
    if any(value < 0 for value in found):
        raise ReckonError(f"{named(key)} is less than zero.")
    return found
