"""Exact plans by period where a truck takes a limited number of crates.

Between two moments with an empty yard all trucks but the last are full, so it is
enough to try one more truck now, which takes all it can, or none. The state is
the period and the crates on hand.
"""

from dataclasses import dataclass
from fractions import Fraction

MOST_STATES = 1_500_000
"""The most (period, crates on hand) pairs searched: some seconds of work."""


class PlanError(ValueError):
    """No plan can be made; the message is one sentence and can be shown."""


@dataclass(frozen=True, slots=True)
class Problem:
    """Crates and costs by period, from period 1; costs whole, in 1/``scale``."""

    arrivals: tuple[int, ...]
    truck: tuple[int, ...]
    keep: tuple[int, ...]
    scale: int
    capacity: int | None

    def cost(self, units: int) -> Fraction:
        """Return whole units as an amount in major units, exact."""
        return Fraction(units, self.scale)


_Key = tuple[int, int, int]
"""Cost, dispatches, and their periods as bits, the first period the highest."""


def plan_by_truck(problem: Problem, capacity: int) -> list[int]:
    """Return the trucks by period where each takes at most ``capacity``.

    The state is the period and the crates on hand; the choice is one more truck now,
    which takes all it can, or on to the next period. Fewer bits early is later.
    """
    layers = _on_hand(problem, capacity)
    count = len(layers)
    after: dict[int, _Key] = {}
    choices: list[dict[int, int]] = []
    for place in range(count - 1, -1, -1):
        stay = _staying(problem, place, layers[place], after)
        bit = 1 << (count - 1 - place)
        after, trucks = _sending(stay, capacity, problem.truck[place], bit)
        choices.append(trucks)
    choices.reverse()
    plan, here = [], 0
    for place, trucks in enumerate(choices):
        here += problem.arrivals[place]
        plan.append(trucks[here])
        here = max(0, here - trucks[here] * capacity)
    return plan


def _on_hand(problem: Problem, capacity: int) -> list[list[int]]:
    """Return, for each period, the possible numbers of crates on hand, rising.

    Trucks are full or empty the yard, so for each remainder by ``capacity`` every
    number up to the highest is possible, and no other.
    """
    layers: list[list[int]] = []
    states, highest = 0, {0: 0}
    for arrived in problem.arrivals:
        highest = {
            (most + arrived) % capacity: most + arrived for most in highest.values()
        }
        highest.setdefault(0, 0)
        states += sum(most // capacity + 1 for most in highest.values())
        if states > MOST_STATES:
            raise PlanError(
                "That is too much for an exact plan with a capacity. Use fewer "
                "periods or fewer crates."
            )
        layers.append(
            sorted(
                crates
                for rest, most in highest.items()
                for crates in range(rest, most + 1, capacity)
            )
        )
    return layers


def _staying(
    problem: Problem, place: int, stock: list[int], after: dict[int, _Key]
) -> dict[int, _Key | None]:
    """Return the best key for each number of crates if no more truck goes now."""
    if place == len(problem.arrivals) - 1:
        return {crates: None if crates else (0, 0, 0) for crates in stock}
    keep, coming = problem.keep[place], problem.arrivals[place + 1]
    found: dict[int, _Key | None] = {}
    for crates in stock:
        cost, dispatches, bits = after[crates + coming]
        found[crates] = (cost + keep * crates, dispatches, bits)
    return found


def _sending(
    stay: dict[int, _Key | None], capacity: int, truck: int, bit: int
) -> tuple[dict[int, _Key], dict[int, int]]:
    """Return the best key and the trucks now, for each number of crates on hand.

    ``more`` holds the best after at least one truck has gone in this period.
    """
    more: dict[int, tuple[_Key, int]] = {}
    keys: dict[int, _Key] = {}
    trucks: dict[int, int] = {}
    for crates, resting in stay.items():
        if not crates and resting is not None:
            more[0] = (resting, 0)
            keys[0], trucks[0] = resting, 0
            continue
        (cost, dispatches, bits), others = more[max(0, crates - capacity)]
        again: _Key = (cost + truck, dispatches, bits)
        first: _Key = (cost + truck, dispatches + 1, bits | bit)
        if resting is not None and resting <= again:
            more[crates] = (resting, 0)
        else:
            more[crates] = (again, others + 1)
        is_better = resting is not None and resting < first
        keys[crates] = resting if is_better and resting is not None else first
        trucks[crates] = 0 if is_better else others + 1
    return keys, trucks
