"""Find the best plan of shipments by trying every one: slow, and hard to get wrong."""

from itertools import product


def shipments(arrivals):
    """Yield every way to ship whole crates that have come, all by the end."""

    def ship(place, here):
        here += arrivals[place]
        if place == len(arrivals) - 1:
            yield (here,)
            return
        for going in range(here + 1):
            for rest in ship(place + 1, here - going):
                yield (going, *rest)

    return ship(0, 0) if arrivals else iter([()])


def cost_of(plan, arrivals, truck, keep, *, capacity=None):
    here = cost = 0
    for place, going in enumerate(plan):
        here += arrivals[place] - going
        cost += truck[place] * trucks_for(going, capacity)
        if place < len(plan) - 1:
            cost += here * keep[place]
    return cost


def trucks_for(going, capacity):
    return int(going > 0) if capacity is None else -(-going // capacity)


def best_by_trial(arrivals, truck, keep, capacity=None):
    """Return cost and plan by the written order of ties, over all shipments."""

    def key(plan):
        periods = [place for place, going in enumerate(plan) if going]
        return (
            cost_of(plan, arrivals, truck, keep, capacity=capacity),
            len(periods),
            [-place for place in periods],
            [trucks_for(going, capacity) for going in plan],
            [-going for going in plan],
        )

    plan = min(shipments(arrivals), key=key)
    return key(plan)[0], plan


def best_by_choosing_periods(arrivals, truck, keep):
    """Return the least cost over every set of periods, each taking all there is."""
    costs = []
    for goes in product((False, True), repeat=len(arrivals)):
        here, plan = 0, []
        for arrived, is_going in zip(arrivals, goes, strict=True):
            here += arrived
            plan.append(here if is_going else 0)
            here -= plan[-1]
        if not here:
            costs.append(cost_of(plan, arrivals, truck, keep))
    return min(costs)
