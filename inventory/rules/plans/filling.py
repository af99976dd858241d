"""Put crates on given trucks at the least cost: who goes when there is no room for all.

A least-cost assignment, made by taking in one crate after another, each along the
cheapest chain of moves (successive shortest paths, exact).
"""

from collections.abc import Sequence

from inventory.rules.plans.days import Loads, Problem

_STAYS = -1
_NO_WAY = 10**18


def fill_trucks(problem: Problem, trucks: Sequence[tuple[int, int]]) -> Loads | None:
    """Return the cheapest loads for (day, trucks) pairs; None where none will do.

    Each day named takes at most its trucks' capacity and at least the minimum.
    """
    easy = _without_limits(problem, [day for day, _ in trucks])
    if _fits(problem, easy, trucks):
        return easy
    room = {
        day: len(problem.first)
        if problem.capacity is None
        else number * problem.capacity
        for day, number in trucks
    }
    loads: dict[int, list[int]] = {day: [] for day in room}
    loads[_STAYS] = []
    for crate in range(len(problem.first)):
        _take_in(problem, loads, room, crate)
    loads.pop(_STAYS)
    return loads if _fits(problem, loads, trucks) else None


def _without_limits(problem: Problem, days: Sequence[int]) -> Loads:
    """Return loads where each crate takes its first day, if that beats staying."""
    loads: Loads = {day: [] for day in days}
    for crate, first in enumerate(problem.first):
        day = next((each for each in days if each >= first), None)
        if day is not None and problem.leave[crate][day] < problem.stay[crate]:
            loads[day].append(crate)
    return loads


def _fits(problem: Problem, loads: Loads, trucks: Sequence[tuple[int, int]]) -> bool:
    return all(
        len(loads[day]) >= max(problem.minimum, 1)
        and (problem.capacity is None or len(loads[day]) <= number * problem.capacity)
        for day, number in trucks
    )


def _price(problem: Problem, crate: int, place: int) -> int:
    if place == _STAYS:
        return problem.stay[crate]
    return problem.leave[crate][place] if place >= problem.first[crate] else _NO_WAY


def _take_in(problem: Problem, loads: Loads, room: dict[int, int], crate: int) -> None:
    """Add one crate along the cheapest chain of moves that ends where there is room."""
    places = list(loads)
    far = {place: _price(problem, crate, place) for place in places}
    came: dict[int, tuple[int, int]] = {}
    moves = {
        (here, there): _cheapest_move(problem, loads[here], here, there)
        for here in places
        for there in places
        if here != there and loads[here]
    }
    for _ in places:
        for (here, there), (extra, moved) in moves.items():
            if far[here] + extra < far[there] and far[here] < _NO_WAY // 2:
                far[there] = far[here] + extra
                came[there] = (here, moved)
    end = min(
        places, key=lambda place: far[place] + _ending(problem, loads, room, place)
    )
    while end in came:
        here, moved = came[end]
        loads[here].remove(moved)
        loads[end].append(moved)
        end = here
    loads[end].append(crate)


def _cheapest_move(
    problem: Problem, crates: list[int], here: int, there: int
) -> tuple[int, int]:
    return min(
        (_price(problem, crate, there) - _price(problem, crate, here), crate)
        for crate in crates
    )


def _ending(problem: Problem, loads: Loads, room: dict[int, int], place: int) -> int:
    """Return what it costs to end in a place: a prize while its minimum is not met."""
    if place == _STAYS:
        return 0
    if len(loads[place]) < max(problem.minimum, 1):
        return -_NO_WAY // 1000
    return 0 if len(loads[place]) < room[place] else _NO_WAY
