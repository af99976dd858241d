"""A return plan in sentences, each with its numbers."""

from dataclasses import replace

from inventory.rules.plans.types import Dispatch, Horizon, Plan, Schedule
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.counts import pieces_in_words


def plan_steps(plan: Plan, horizon: Horizon) -> Plan:
    """Return the plan with its steps."""
    best = plan.best
    steps = [
        _opening(plan, horizon),
        *(_dispatch_words(each) for each in best.dispatches),
        *_staying_words(best),
        _sum_words(best),
        _proof_words(plan),
        _habit_words("every week", plan.weekly, best),
    ]
    if plan.when_full is not None:
        steps.append(_habit_words("when a truck is full", plan.when_full, best))
    steps += [
        f"{key} must be on the first truck; missing it loses {loss}."
        for key, loss in plan.must_go
    ]
    return replace(plan, steps=tuple(steps))


def _crates(count: int) -> str:
    return pieces_in_words(count, "crate")


def _opening(plan: Plan, horizon: Horizon) -> str:
    gone = sum(len(each.keys) for each in plan.best.dispatches)
    words = (
        f"{_crates(gone + len(plan.best.stays))} can leave from "
        f"{in_words(horizon.first)} to {in_words(horizon.last)}"
    )
    if plan.held:
        words += f"; {_crates(len(plan.held))} held, not planned"
    if plan.later:
        words += f"; {_crates(len(plan.later))} not here in time"
    return f"{words}."


def _dispatch_words(sent: Dispatch) -> str:
    return (
        f"{in_words(sent.on)}: {_crates(len(sent.keys))} on "
        f"{pieces_in_words(sent.trucks, 'truck')}. Pick-up {sent.pickup}, freight "
        f"{sent.freight}, yard {sent.yard}, credit lost {sent.credit_lost}."
    )


def _staying_words(best: Schedule) -> list[str]:
    if not best.stays:
        return []
    why = (
        f"a truck would cost more than their credit of {best.stays_credit_lost}, or "
        "there are too few for a pick-up"
    )
    return [f"{_crates(len(best.stays))} not sent: {why}."]


def _sum_words(best: Schedule) -> str:
    return (
        f"Freight {best.freight}, yard {best.yard} and lost credit "
        f"{best.credit_lost} total {best.cost}."
    )


def _proof_words(plan: Plan) -> str:
    if plan.is_proved:
        return (
            "No plan costs less. Each truck leaves as late as it can at no extra cost."
        )
    return (
        "The search stopped before every plan was ruled out. No plan costs less "
        f"than {plan.at_least}."
    )


def _habit_words(habit: str, schedule: Schedule, best: Schedule) -> str:
    more = schedule.cost - best.cost
    if not more.cents:
        return f"Shipping {habit} costs the same."
    return f"Shipping {habit} costs {schedule.cost}, {more} more."
